//! `/kiln/ID`: a kiln with its inside drawn to scale; `/kiln/ID/inside`: its form.
//!
//! A kiln is found by its id, or by its name as it is spoken. What this does not do: judge what stands in it.

pub mod draw;
pub mod inside;
pub mod lay_out;

use super::figure::Figure;
use super::route::Parts;
use super::text::{LengthUnit, length};
use super::{FormState, Link, PageData, Tab, history};
use crate::event::plan::{Chamber, KeepOut, StackPlace};
use crate::ids::KilnId;
use crate::settings::Settings;
use crate::units::Length;
use crate::world::{Kiln, KilnInside, World};
use draw::Kept;
use serde::{Deserialize, Serialize};

/// The page of a kiln.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct KilnPage {
    /// The kiln.
    pub kiln: KilnId,
    /// Where its inside is entered.
    pub form: String,
    /// Its inside; none where it was never entered.
    pub inside: Option<Drawn>,
    /// Its racks, its plans.
    pub links: Vec<Link>,
}

/// A kiln's inside, drawn and said.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Drawn {
    /// "arched: 960 mm wide, 800 mm deep, ..."
    pub said: String,
    /// From above.
    pub above: Figure,
    /// In section.
    pub section: Figure,
    /// One line a place.
    pub places: Vec<[String; 2]>,
    /// One line a part to keep clear of, in the order of their numbers: what it is, and where and how far.
    pub keep_outs: Vec<[String; 2]>,
}

/// Every part with the distance in force.
#[must_use]
pub fn kept<'a>(settings: &Settings, keep_outs: &'a [KeepOut]) -> Vec<Kept<'a>> {
    let clear = |one: &KeepOut| one.clearance_nm.unwrap_or_else(|| settings.clearance(one.kind));
    keep_outs.iter().map(|one| (one, clear(one))).collect()
}

/// The kiln under an address: its id, or its name however it is spelt in capitals.
///
/// # Errors   None is on record under it.
pub fn find<'a>(world: &'a World, text: &str) -> Result<&'a Kiln, String> {
    let by_id = text.parse().ok().and_then(|id: KilnId| world.kilns.get(&id));
    let named = || world.kilns.values().find(|kiln| kiln.name.eq_ignore_ascii_case(text.trim()));
    by_id.or_else(named).ok_or_else(|| format!("no kiln is called {text}; the rack lists them"))
}

/// The page.
///
/// # Errors   A kiln that is not on record.
pub fn page(world: &World, text: &str) -> Result<Parts, String> {
    let kiln = find(world, text)?;
    let unit = history::unit_of(world);
    let link = |href: String, text: &str| Link { href, text: text.to_owned() };
    let data = KilnPage {
        kiln: kiln.id,
        form: format!("/kiln/{}/inside", kiln.id),
        inside: kiln.inside.as_ref().map(|inside| drawn(&world.settings, inside, unit)),
        links: vec![
            link(format!("/plans?kiln={}", kiln.id), "Plans of its loads"),
            link(format!("/rack?kiln={}", kiln.id), "Its racks"),
        ],
    };
    Ok(Parts {
        title: kiln.name.clone(),
        subtitle: about(kiln),
        tab: Tab::Rack,
        data: PageData::Kiln(Box::new(data)),
        form: FormState::default(),
    })
}

/// "gas kiln, usually to cone 10".
#[must_use]
pub fn about(kiln: &Kiln) -> String {
    format!("{} kiln, usually to cone {}", kiln.fuel.said(), kiln.usual_cone)
}

/// The inside, drawn and said.
#[must_use]
pub fn drawn(settings: &Settings, inside: &KilnInside, unit: LengthUnit) -> Drawn {
    let kept = kept(settings, &inside.keep_outs);
    let place = |one: &StackPlace| {
        let size = format!("{} × {}", length(one.length_nm, unit), length(one.width_nm, unit));
        [one.name.clone(), format!("{size}, {}", corner(one.at.x_nm, one.at.y_nm, unit))]
    };
    Drawn {
        said: said(&inside.chamber, unit),
        above: draw::above(&inside.chamber, &inside.places, &kept, unit),
        section: draw::section(&inside.chamber, &inside.places, &kept, unit),
        places: inside.places.iter().map(place).collect(),
        keep_outs: kept.iter().map(|(one, clear)| keep_out(one, *clear, unit)).collect(),
    }
}

fn keep_out(one: &KeepOut, clear: Length, unit: LengthUnit) -> [String; 2] {
    let own = if one.clearance_nm.is_some() { "this kiln\u{2019}s own" } else { "the usual" };
    let (from, to) = (length(one.from_nm, unit), length(one.to_nm, unit));
    let where_said = corner(one.at.x_nm, one.at.y_nm, unit);
    let size = format!("{} × {}", length(one.length_nm, unit), length(one.width_nm, unit));
    let keep = format!("keep {} off ({own})", length(clear, unit));
    [one.kind.said().to_owned(), format!("{size}, {where_said}, from {from} to {to} up; {keep}")]
}

fn corner(x: Length, y: Length, unit: LengthUnit) -> String {
    format!("{} in from the left, {} from the front", length(x, unit), length(y, unit))
}

/// "arched: 960 mm wide, 800 mm deep, 1150 mm to the crown, spring line at 900 mm".
#[must_use]
pub fn said(chamber: &Chamber, unit: LengthUnit) -> String {
    let l = |value: Length| length(value, unit);
    match *chamber {
        Chamber::Box { width_nm, depth_nm, height_nm } => {
            format!("box: {} wide, {} deep, {} high", l(width_nm), l(depth_nm), l(height_nm))
        }
        Chamber::Cylinder { diameter_nm, height_nm } => {
            format!("round: {} across, {} high", l(diameter_nm), l(height_nm))
        }
        Chamber::Arched { width_nm, depth_nm, height_nm, spring_nm } => format!(
            "arched: {} wide, {} deep, {} to the crown, spring line at {}",
            l(width_nm),
            l(depth_nm),
            l(height_nm),
            l(spring_nm)
        ),
    }
}
