//! `/firings`: the firings, newest first; `/firings/new`: what was in one; `/firing/ID`: one of them,
//! and `/firing/ID/after`: what came out of it.

pub mod after;
pub mod new;
pub mod one;

use super::add::{KilnChoice, kilns};
use super::route::{Parts, Request};
use super::{FormState, Mark, PageData, Row, Shape, Tab, text};
use crate::event::values::Piece;
use crate::world::{Firing, World};
use serde::{Deserialize, Serialize};

/// Firings on one page. House choice: a season of a busy kiln.
const PAGE: usize = 60;

/// The page at `/firings`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Firings {
    /// The kilns that a firing can be logged of.
    pub kilns: Vec<KilnChoice>,
    /// "214 firings".
    pub said: String,
    /// One line a firing, newest first.
    pub rows: Vec<Row>,
    /// The page of older ones.
    pub older: Option<String>,
}

/// The page, which goes on with `?before=ID`.
///
/// # Errors   A firing that is not on record.
pub fn page(world: &World, request: &Request) -> Result<Parts, String> {
    let mut firings: Vec<&Firing> = world.firings.values().collect();
    firings.sort_by_key(|firing| std::cmp::Reverse((firing.fired_on, firing.stamp.at, firing.id)));
    let start = match request.query("before") {
        "" => 0,
        id => firings
            .iter()
            .position(|firing| firing.id.to_string() == id)
            .map(|at| at + 1)
            .ok_or("this firing is not on record; open the list again")?,
    };
    let shown: Vec<&Firing> = firings.iter().skip(start).take(PAGE).copied().collect();
    let more = start + shown.len() < firings.len();
    let data = Firings {
        kilns: kilns(world),
        said: text::count(firings.len() as u64, "firing on record", "firings on record"),
        rows: shown.iter().map(|firing| row(world, firing)).collect(),
        older: shown.last().filter(|_| more).map(|last| format!("/firings?before={}", last.id)),
    };
    Ok(Parts {
        title: "Firings".to_owned(),
        subtitle: "each counts one on every piece that was in it".to_owned(),
        tab: Tab::Firings,
        data: PageData::Firings(data),
        form: FormState::default(),
    })
}

fn row(world: &World, firing: &Firing) -> Row {
    let note = if firing.note.is_empty() { String::new() } else { format!("; {}", firing.note) };
    Row {
        href: format!("/firing/{}", firing.id),
        code: firing.fired_on.to_string(),
        said: format!("{}, {} to cone {}", kiln_name(world, firing), firing.ware.said(), firing.cone),
        more: format!("{}{note}", counts(&firing.pieces)),
        mark: Mark::new(Shape::Plain, ""),
    }
}

/// "12 shelves and 36 posts".
fn counts(pieces: &[Piece]) -> String {
    let n_shelves = pieces.iter().filter(|piece| matches!(piece, Piece::Shelf(_))).count();
    let shelves = text::count(n_shelves as u64, "shelf", "shelves");
    let posts = text::count((pieces.len() - n_shelves) as u64, "post", "posts");
    format!("{shelves} and {posts}")
}

fn kiln_name(world: &World, firing: &Firing) -> String {
    world.kilns.get(&firing.kiln).map_or_else(|| "a kiln not on record".to_owned(), |kiln| kiln.name.clone())
}
