//! The pages of one shelf: its card, and the forms that log what happens to it.
//!
//! Every page is reached by the shelf's code or by its id. What this does not do: hold, release, move,
//! retire, return and note, which are the same for every piece and stand in a file of their own.

pub mod bend;
pub mod card;
pub mod crack;
pub mod drawing;
pub mod log;
pub mod measure;
pub mod wear;

use super::bench::keep;
use super::route::{Parts, Request};
use super::text::{LengthUnit, length, length_bare};
use super::{FormState, PageData, Tab, history};
use crate::code::Code;
use crate::event::values::Piece;
use crate::event::{Against, Body, SurfaceReading};
use crate::form::quantity::Feelers;
use crate::form::shelf::values_of;
use crate::ids::ShelfId;
use crate::outline::Outline;
use crate::world::{Shelf, Subject, World};
use serde::{Deserialize, Serialize};

/// One of a shelf's pages.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShelfPage {
    /// Everything about it.
    Card(Box<card::Card>),
    /// How it bends under a load.
    Bend(Box<bend::Bend>),
    /// A reading of its flatness.
    Measure(measure::Measure),
    /// A crack.
    Crack(crack::CrackPage),
    /// Grinding.
    Ground(log::Ground),
    /// Kiln wash.
    Washed(log::Washed),
    /// A tap test.
    Tapped(log::Named),
    /// A turn.
    Flipped(log::Flipped),
    /// A grade by eye.
    Graded(log::Named),
}

/// The shelf with this code or id.
///
/// # Errors   One line that says what was looked for.
pub fn named<'a>(world: &'a World, text: &str) -> Result<&'a Shelf, String> {
    let by_id = text.parse::<ShelfId>().ok();
    let by_code = || match Code::read(text).ok().and_then(|code| world.by_code(&code)) {
        Some(Subject::Shelf(id)) => Some(id),
        _ => None,
    };
    by_id
        .or_else(by_code)
        .and_then(|id| world.shelves.get(&id))
        .ok_or_else(|| format!("no shelf has the code {text}"))
}

/// Where a shelf's card is: by its code, or by its id where another piece had the code first.
#[must_use]
pub fn path(world: &World, shelf: &Shelf) -> String {
    if world.by_code(&shelf.code) == Some(Subject::Shelf(shelf.id)) {
        format!("/shelf/{}", shelf.code)
    } else {
        format!("/shelf/{}", shelf.id)
    }
}

/// "600 × 300 × 19 mm", "420 × 16 mm, round".
#[must_use]
pub fn size_said(shelf: &Shelf, unit: LengthUnit) -> String {
    let thickness = length(shelf.thickness_now(), unit);
    match shelf.outline {
        Outline::Rectangle { length_nm, width_nm } => {
            let (length, width) = (length_bare(length_nm, unit), length_bare(width_nm, unit));
            format!("{length} \u{d7} {width} \u{d7} {thickness}")
        }
        Outline::Round { diameter_nm } => {
            format!("{} \u{d7} {thickness}, round", length_bare(diameter_nm, unit))
        }
        Outline::HalfRound { diameter_nm } => {
            format!("{} \u{d7} {thickness}, half-round", length_bare(diameter_nm, unit))
        }
    }
}

/// The page at `/shelf/CODE` and `/shelf/CODE/WHAT`.
///
/// # Errors   What the page says instead: no such shelf, no such page.
pub fn page(world: &World, request: &Request, code: &str, what: Option<&str>) -> Result<Parts, String> {
    let shelf = named(world, code)?;
    let (title, mut data) = match what {
        None => (shelf.code.to_string(), ShelfPage::Card(Box::new(card::card(world, shelf, request.today)))),
        Some("bend") => (
            format!("How {} bends", shelf.code),
            ShelfPage::Bend(Box::new(bend::bend(world, request, shelf))),
        ),
        Some("measure") => {
            (format!("Read {}", shelf.code), ShelfPage::Measure(measure::measure(world, request, shelf)))
        }
        Some("crack") => (format!("Crack in {}", shelf.code), ShelfPage::Crack(crack::crack(world, shelf))),
        Some("ground") => {
            (format!("{} was ground", shelf.code), ShelfPage::Ground(log::ground(world, shelf)))
        }
        Some("washed") => {
            (format!("{} was washed", shelf.code), ShelfPage::Washed(log::washed(world, shelf)))
        }
        Some("tapped") => {
            (format!("{} was tapped", shelf.code), ShelfPage::Tapped(log::Named::of(world, shelf)))
        }
        Some("flipped") => {
            (format!("{} was turned over", shelf.code), ShelfPage::Flipped(log::flipped(world, shelf)))
        }
        Some("graded") => {
            (format!("Grade {} by eye", shelf.code), ShelfPage::Graded(log::Named::of(world, shelf)))
        }
        Some(other) => return Err(format!("no page of a shelf is called {other}")),
    };
    if request.query("bench") == "yes" {
        keep_bench(&mut data);
    }
    let form = correcting(world, request).map_or_else(FormState::default, |body| begin(world, &body));
    let kiln = world.kilns.get(&shelf.kiln).map_or(String::new(), |kiln| format!(", {}", kiln.name));
    let place = if shelf.place.is_empty() { String::new() } else { format!(", {}", shelf.place) };
    let size = size_said(shelf, history::unit_of(world));
    let subtitle = format!("{} {size}{kiln}{place}", shelf.material.said());
    Ok(Parts { title, subtitle, tab: Tab::Rack, data: PageData::Shelf(data), form })
}

/// Keeps bench mode in the links of a shelf's page.
fn keep_bench(data: &mut ShelfPage) {
    let named = match data {
        ShelfPage::Card(card) => {
            let usual = card.usual.iter_mut().filter_map(|one| match one {
                card::Usual::Form(link) => Some(link),
                card::Usual::GroundFine => None,
            });
            usual.chain(&mut card.actions).for_each(|link| link.href = keep(&link.href));
            return;
        }
        ShelfPage::Bend(_) => return,
        ShelfPage::Measure(data) => {
            data.ways.iter_mut().for_each(|link| link.href = keep(&link.href));
            &mut data.named
        }
        ShelfPage::Crack(data) => &mut data.named,
        ShelfPage::Ground(data) => &mut data.named,
        ShelfPage::Washed(data) => &mut data.named,
        ShelfPage::Flipped(data) => &mut data.named,
        ShelfPage::Tapped(named) | ShelfPage::Graded(named) => named,
    };
    named.path = keep(&named.path);
}

/// What a correction begins with.
fn begin(world: &World, body: &Body) -> FormState {
    let mut values = values_of(body, history::unit_of(world), &Feelers::of(&world.settings));
    if let Body::ShelfMeasured(body) = body
        && let SurfaceReading::Lines { against: Against::Shelf { other }, .. } = &body.reading
    {
        values.insert("other".to_owned(), vec![world.code_of(Piece::Shelf(*other))]);
    }
    FormState { action: "record".to_owned(), values, problems: Vec::new() }
}

/// The entry that this page's form corrects, as it counts now.
fn correcting(world: &World, request: &Request) -> Option<Body> {
    super::route::correcting(world, request).map(|correcting| correcting.body)
}

#[cfg(test)]
mod tests;
