//! `/sets/new`: three or four posts of one height are put together, and judged while they are ticked.
//!
//! The address carries what was ticked (`p_P07=yes`), the shelf and the inset, so that "judge these" works
//! as a plain link. What this does not do: judge; the page asks [`crate::judge::post_set`], in the browser
//! too.
use super::choose::{Stand, usual_inset};
use crate::code::{Code, next_free};
use crate::event::{Body, SetMade};
use crate::grouping::{Rules, SetSize, best_sets};
use crate::ids::PostId;
use crate::judge::post_set::{Limits, SetPost, arrange, coarsest, spread_guard};
use crate::units::Length;
use crate::view::history::unit_of;
use crate::view::post::{nominal_of, nominals};
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::{LengthUnit, length, length_input};
use crate::view::{FormState, Link, PageData, Tab};
use crate::world::World;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's `do` value.
pub const FORM: &str = "set";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetNew {
    /// The nominal heights, each a link; the chosen one is marked.
    pub heights: Vec<(Link, bool)>,
    /// The chosen one.
    pub nominal: Option<Length>,
    /// Its posts, by height.
    pub posts: Vec<Pick>,
    /// The limits in force.
    pub limits: Limits,
    /// Shelf and inset.
    pub stand: Stand,
    /// The code that the set is given unless another is typed.
    pub code: String,
    /// Every code in use.
    pub taken: Vec<Code>,
    /// Threes of free posts that go together, the tightest first.
    pub suggestions: Vec<Link>,
    /// The code of the set that is being corrected; empty otherwise.
    pub correcting: String,
}

/// A post to tick.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Pick {
    /// The post.
    pub post: PostId,
    /// What is known of it.
    pub known: SetPost,
    /// The set it is in now, which would be taken apart; empty where it is free.
    pub in_set: String,
    /// Whether the address or the correction ticks it.
    pub ticked: bool,
}

impl Pick {
    /// The name of its box.
    #[must_use]
    pub fn field(&self) -> String {
        format!("p_{}", self.known.code)
    }
}

impl SetNew {
    /// The ticked posts in the places where they stand best, on this shelf at this inset.
    #[must_use]
    pub fn in_place<'a>(&'a self, ticked: &[&'a Pick], shelf: &str, inset: Length) -> Vec<&'a Pick> {
        let known: Vec<SetPost> = ticked.iter().map(|pick| pick.known.clone()).collect();
        let outline = self.stand.with_code(shelf).map(|shelf| &shelf.outline);
        let order = arrange(&self.limits, &known, outline, inset);
        order.into_iter().filter_map(|at| ticked.get(at).copied()).collect()
    }
}

/// The values of the form for a set on record.
#[must_use]
pub fn values_of(world: &World, body: &SetMade, unit: LengthUnit) -> BTreeMap<String, Vec<String>> {
    let one = |name: &str, value: String| (name.to_owned(), vec![value]);
    let shelf = body.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.code.to_string());
    let ticks = body.posts.iter().filter_map(|id| world.posts.get(id));
    let ticks = ticks.map(|post| one(&format!("p_{}", post.code), "yes".to_owned()));
    let rest = [
        one("code", body.code.to_string()),
        one("shelf", shelf.unwrap_or_default()),
        one("inset", length_input(body.inset_nm, unit)),
    ];
    ticks.chain(rest).collect()
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let unit = unit_of(world);
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::SetMade(body) => Some(body),
        _ => None,
    });
    let of = |body: &SetMade| body.posts.first().and_then(|id| world.posts.get(id)).map(|post| post.nominal);
    let nominal = corrected.as_ref().and_then(of).or_else(|| nominal_of(request.query("nominal")));
    let (shelf, inset) = match &corrected {
        Some(body) => (body.shelf, body.inset_nm),
        None => (None, usual_inset(world)),
    };
    let stand = Stand::of(world, request, shelf, inset);
    let limits = Limits::of(&world.settings);
    let posts = picks(world, request, nominal, corrected.as_ref());
    let suggestions = suggestions(&posts, &limits, nominal, &stand);
    let code = next_free('K', world.codes.keys(), 1).first().map_or_else(String::new, ToString::to_string);
    let values = corrected.as_ref().map(|body| values_of(world, body, unit)).unwrap_or_default();
    let heights = nominals(world).into_iter().map(|height| {
        let link = Link { href: format!("/sets/new?nominal={}", height.0), text: length(height, unit) };
        (link, Some(height) == nominal)
    });
    let data = SetNew {
        heights: heights.collect(),
        nominal,
        posts,
        limits,
        stand,
        code,
        taken: world.codes.keys().cloned().collect(),
        suggestions,
        correcting: corrected.as_ref().map(|body| body.code.to_string()).unwrap_or_default(),
    };
    let action = if values.is_empty() { "" } else { FORM };
    Parts {
        title: corrected.map_or_else(|| "New set".to_owned(), |body| format!("Correct {}", body.code)),
        subtitle: nominal.map_or_else(String::new, |nominal| format!("of {} posts", length(nominal, unit))),
        tab: Tab::Rack,
        data: PageData::SetNew(Box::new(data)),
        form: FormState { action: action.to_owned(), values, problems: Vec::new() },
    }
}

/// The posts of one height by their height, those not measured last.
fn picks(
    world: &World,
    request: &Request,
    nominal: Option<Length>,
    corrected: Option<&SetMade>,
) -> Vec<Pick> {
    let in_it = |id: &PostId| corrected.is_some_and(|body| body.posts.contains(id));
    let wanted = |post: &&crate::world::Post| {
        (Some(post.nominal) == nominal && post.retired.is_none()) || in_it(&post.id)
    };
    let mut picks: Vec<Pick> = world
        .posts
        .values()
        .filter(wanted)
        .map(|post| {
            let set = world.set_of(post.id).filter(|set| corrected.is_none_or(|body| body.set != set.id));
            let known = SetPost::of(&world.settings, post);
            let ticked = in_it(&post.id) || !request.query(&format!("p_{}", known.code)).is_empty();
            let in_set = set.map_or_else(String::new, |set| set.code.to_string());
            Pick { post: post.id, known, in_set, ticked }
        })
        .collect();
    picks.sort_by_key(|pick| (pick.known.height.is_none(), pick.known.height, pick.known.code.clone()));
    picks
}

/// The most suggestions shown. House choice: what fits on a phone above the boxes.
const MOST_SUGGESTIONS: usize = 4;

/// Threes of free, measured posts: the most sets that hold by more than the guard band, the tightest first.
fn suggestions(posts: &[Pick], limits: &Limits, nominal: Option<Length>, stand: &Stand) -> Vec<Link> {
    let free: Vec<(&Pick, Length)> = posts
        .iter()
        .filter(|pick| pick.in_set.is_empty() && pick.known.barred.is_empty())
        .filter_map(|pick| pick.known.height.map(|height| (pick, height)))
        .collect();
    let known: Vec<SetPost> = free.iter().map(|(pick, _)| pick.known.clone()).collect();
    let guard = coarsest(&known).map_or(Length::ZERO, |(_, u)| spread_guard(u));
    let heights: Vec<i64> = free.iter().map(|(_, height)| height.0).collect();
    let tolerance = (limits.accepted - guard).0;
    let found = best_sets(&heights, &Rules { set_size: SetSize::Three, tolerance, dress_max: 0 });
    let mut threes: Vec<(i64, Vec<&str>)> = found
        .sets()
        .map(|set| {
            let spread = spread_of(set.iter().filter_map(|at| heights.get(*at)));
            (
                spread,
                set.iter().filter_map(|at| free.get(*at)).map(|(pick, _)| pick.known.code.as_str()).collect(),
            )
        })
        .collect();
    if threes.is_empty() {
        // `posts` are in order of height, so the closest three stand next to each other.
        let windows = free.windows(3).map(|three| {
            let codes = three.iter().map(|(pick, _)| pick.known.code.as_str()).collect();
            (spread_of(three.iter().map(|(_, height)| &height.0)), codes)
        });
        threes.extend(windows.min_by_key(|(spread, _)| *spread));
    }
    threes.sort();
    threes.truncate(MOST_SUGGESTIONS);
    let link = |(spread, codes): (i64, Vec<&str>)| {
        let ticks: Vec<String> = codes.iter().map(|code| format!("p_{code}=yes")).collect();
        let nominal = nominal.map_or(0, |nominal| nominal.0);
        let inset = stand.inset_text.replace(' ', "+");
        Link {
            href: format!(
                "/sets/new?nominal={nominal}&shelf={}&inset={inset}&{}",
                stand.shelf,
                ticks.join("&")
            ),
            text: format!("{}: {} apart", codes.join(", "), length(Length(spread), limits.unit)),
        }
    };
    threes.into_iter().map(link).collect()
}

fn spread_of<'a>(heights: impl Iterator<Item = &'a i64> + Clone) -> i64 {
    heights.clone().max().zip(heights.min()).map_or(0, |(high, low)| high - low)
}
