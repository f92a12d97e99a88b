//! The shelves and sets that a layer may get: what counts of each, and what keeps one out.
//!
//! What this does not do: weigh one against another; [`super::question`] does, with [`super::weights`].
use super::mend::Shimming;
use super::sets::{LoadPost, LoadSet};
use super::wanted::Wanted;
use crate::cone_name::ConeName;
use crate::event::values::{Fuel, Material, Use};
use crate::geometry::crack;
use crate::ids::{PostId, SetId, ShelfId};
use crate::judge::shelf::care::{cordierite_at, stiffness_left};
use crate::judge::shelf::cracks::{CrackClass, class, nearest_post, tip};
use crate::judge::shelf::material::life_band;
use crate::judge::shelf::material::too_soft;
use crate::judge::shelf::surface;
use crate::judge::shelf::{ShelfJudgement, fitness, judge};
use crate::outline::Outline;
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::text::length_by_eye;
use crate::world::{Kiln, Shelf, World};
use serde::{Deserialize, Serialize};

/// Outlines that differ by no more than this are one kind: their posts stand over one another.
///
/// # Source   common practice: post over post, centre to centre, within 6 mm is good.
const ONE_KIND: Length = Length(6_000_000);

/// A shelf that may be chosen.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct ShelfOption {
    /// Which.
    pub shelf: ShelfId,
    /// Its code.
    pub code: String,
    /// Its outline.
    pub outline: Outline,
    /// Which of the outlines that fit together it is.
    pub kind: usize,
    /// Its thickness now.
    pub thickness: Length,
    /// How far its middle hangs down.
    pub sag: Length,
    /// Its flatness, where it was read.
    pub flatness: Option<Length>,
    /// Whether the reading shows too little, or there is none.
    pub unread: bool,
    /// The most demanding use that it is fit for, where that is known.
    pub fit_for: Option<Use>,
    /// The gravest class of its cracks.
    pub crack: Option<Cracked>,
    /// How worn it is: 0 new, 1 at the end of its life.
    pub worn: f64,
    /// Whether it is cordierite past the studio's cone for it.
    pub hot: bool,
}

/// Where a cracked shelf may lie.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Cracked {
    /// In the upper half of its stack.
    UpperHalf,
    /// On top, for bisque.
    TopForBisque,
}

/// A set that may be chosen.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetOption {
    /// The present set; none where it is not made yet.
    pub set: Option<SetId>,
    /// Its code, or its posts' codes.
    pub code: String,
    /// The nominal height.
    pub nominal: Length,
    /// Its posts with their heights, the lowest first.
    pub posts: Vec<(PostId, Length)>,
    /// A shim on top of the first.
    pub shim: Length,
    /// Highest less lowest, the shim counted.
    pub spread: Length,
    /// The lowest, the shim counted.
    pub low: Length,
    /// The highest, the shim counted.
    pub high: Length,
    /// Whether a post of it is cordierite past the studio's cone for it.
    pub hot: bool,
}

/// What keeps a material out of a kiln at a cone.
fn barred(material: Material, fuel: Fuel, cone: ConeName) -> Option<String> {
    if material.is_silicon_carbide() && fuel == Fuel::Electric {
        return Some("silicon carbide conducts electricity: never in an electric kiln".to_owned());
    }
    too_soft(material, cone)
}

/// A shelf as an option.
///
/// # Errors   why it cannot be chosen for any layer, in one line.
pub fn shelf_option(
    world: &World,
    wanted: &Wanted,
    kiln: &Kiln,
    shelf: &Shelf,
    inset: Length,
) -> Result<ShelfOption, String> {
    if let Some(retired) = &shelf.retired {
        return Err(format!("retired, {}", retired.reason.said()));
    }
    if let Some(hold) = &shelf.hold {
        return Err(format!("on hold, {}", hold.reason.said()));
    }
    if let Some(why) = barred(shelf.material, kiln.fuel, wanted.cone) {
        return Err(why);
    }
    if shelf.thickness_now().0 <= 0 {
        return Err("more ground off on record than it was thick: correct the entry".to_owned());
    }
    let judged = judge(world, shelf);
    if judged.fit_for == Some(Use::NoUse) {
        let why = judged.findings.first().map_or("fit for nothing", |finding| finding.said.as_str());
        return Err(why.to_owned());
    }
    let crack = cracked(world, wanted, shelf, inset)?;
    let view = judged.flatness.as_ref().filter(|view| !view.stale);
    let sag = view.map_or(Length::ZERO, |view| surface::sag(shelf, view));
    Ok(ShelfOption {
        shelf: shelf.id,
        code: shelf.code.to_string(),
        outline: shelf.outline,
        kind: 0,
        thickness: shelf.thickness_now(),
        sag,
        flatness: view.map(|view| view.flatness).or_else(|| by_eye(world, shelf, &judged)),
        unread: view.is_none_or(|view| view.only_at_least()),
        fit_for: judged.fit_for,
        crack,
        worn: worn(wanted, shelf),
        hot: cordierite_at(world, shelf, wanted.cone).is_some(),
    })
}

/// A grade by eye says no more than that it is within the limit of its use.
fn by_eye(world: &World, shelf: &Shelf, judged: &ShelfJudgement) -> Option<Length> {
    let (_, limit) = fitness::keys(judged.fit_for?)?;
    Some(fitness::on_span(&world.settings, limit, shelf.outline.span()))
}

/// The worse of stiffness lost by grinding, and firings got of those that its material is said to last.
fn worn(wanted: &Wanted, shelf: &Shelf) -> f64 {
    let lost = shelf.ground_off.mm() / shelf.thickness.mm().max(f64::MIN_POSITIVE);
    let by_grinding = 1.0 - stiffness_left(lost);
    let by_firings = life_band(shelf.material, wanted.cone)
        .map_or(0.0, |band| f64::from(shelf.firings()) / f64::from(band.high.max(1)));
    by_grinding.max(by_firings).clamp(0.0, 1.0)
}

/// Where its cracks still let it lie.
fn cracked(world: &World, wanted: &Wanted, shelf: &Shelf, inset: Length) -> Result<Option<Cracked>, String> {
    let settings = &world.settings;
    let posts = shelf.outline.post_spots(wanted.size.posts(), inset);
    let mut gravest = None;
    for found in shelf.cracks.values() {
        let size = crack::measure(&shelf.outline, found.from, found.to);
        let unit = crate::view::history::unit_of(world);
        let (_, end) = tip(&shelf.outline, found);
        let near = nearest_post(&posts, end);
        if near.is_none_or(|near| near > settings.length(SettingKey::CrackPost)) {
            return Err(format!(
                "crack {}, and no post within {} of its end at the usual inset",
                length_by_eye(size.length, unit),
                length_by_eye(settings.length(SettingKey::CrackPost), unit)
            ));
        }
        gravest = match class(settings, &size) {
            CrackClass::Watch => gravest.or(Some(Cracked::UpperHalf)),
            CrackClass::BisqueOnly => Some(Cracked::TopForBisque),
            CrackClass::CutDown => {
                return Err("cracked over half across: cut it down or retire it".to_owned());
            }
        };
    }
    Ok(gravest)
}

/// Says of each shelf which outlines it goes with, and gives the least outline of each kind.
pub fn kinds(shelves: &mut [ShelfOption]) -> Vec<Outline> {
    let key = |outline: &Outline| {
        let shape = match outline {
            Outline::Rectangle { .. } => 0_u8,
            Outline::Round { .. } => 1,
            Outline::HalfRound { .. } => 2,
        };
        (shape, outline.bounds())
    };
    let mut order: Vec<usize> = (0..shelves.len()).collect();
    order.sort_by_key(|at| key(&shelves[*at].outline));
    let mut found: Vec<Outline> = Vec::new();
    for at in order {
        let (shape, (long, wide)) = key(&shelves[at].outline);
        let goes = |first: &Outline| {
            let (other, (length, width)) = key(first);
            other == shape && (long - length).abs() <= ONE_KIND && (wide - width).abs() <= ONE_KIND
        };
        shelves[at].kind = found.iter().position(goes).unwrap_or_else(|| {
            found.push(shelves[at].outline);
            found.len() - 1
        });
    }
    found
}

/// A set as an option.
///
/// # Errors   why it cannot be chosen, in one line.
pub fn set_option(
    world: &World,
    wanted: &Wanted,
    kiln: &Kiln,
    nominal: Length,
    set: &LoadSet,
) -> Result<SetOption, String> {
    let code = set.present.and_then(|id| world.sets.get(&id)).map(|set| set.code.to_string());
    option(world, wanted, kiln, nominal, &set.posts, (set.present, code, Length::ZERO))
}

/// A set that stands with a shim, as an option.
///
/// # Errors   why it cannot be chosen, in one line.
pub fn shimmed_option(
    world: &World,
    wanted: &Wanted,
    kiln: &Kiln,
    nominal: Length,
    shim: &Shimming,
) -> Result<SetOption, String> {
    option(world, wanted, kiln, nominal, &shim.posts, (None, None, shim.amount))
}

fn option(
    world: &World,
    wanted: &Wanted,
    kiln: &Kiln,
    nominal: Length,
    posts: &[LoadPost],
    (set, code, shim): (Option<SetId>, Option<String>, Length),
) -> Result<SetOption, String> {
    let mut hot = false;
    for post in posts.iter().filter_map(|post| world.posts.get(&post.post)) {
        if let Some(why) = barred(post.material, kiln.fuel, wanted.cone) {
            return Err(why);
        }
        let hottest = world.settings.get(SettingKey::CordieriteCone);
        hot |= post.material == Material::Cordierite && i64::from(wanted.cone.rank()) > hottest;
    }
    let codes: Vec<&str> = posts.iter().map(LoadPost::code).collect();
    let tops: Vec<Length> = posts
        .iter()
        .enumerate()
        .map(|(at, post)| if at == 0 { post.height + shim } else { post.height })
        .collect();
    let low = tops.iter().min().copied().unwrap_or_default();
    let high = tops.iter().max().copied().unwrap_or_default();
    Ok(SetOption {
        set,
        code: code.unwrap_or_else(|| codes.join(" ")),
        nominal,
        posts: posts.iter().map(|post| (post.post, post.height)).collect(),
        shim,
        spread: high - low,
        low,
        high,
        hot,
    })
}

/// How a shelf of this outline lies in a place: the quarter turns, where it fits at all.
#[must_use]
pub fn turns(outline: &Outline, length: Length, width: Length) -> Option<u8> {
    let (long, wide) = outline.bounds();
    if long <= length && wide <= width {
        Some(0)
    } else if wide <= length && long <= width {
        Some(1)
    } else {
        None
    }
}
