//! `/firing/ID/after`: everything that came out of a firing, fine unless something is ticked.
use super::one;
use super::{counts, kiln_name};
use crate::event::Body;
use crate::event::values::{Flaw, Piece};
use crate::ids::FiringId;
use crate::jobs;
use crate::units::Length;
use crate::view::route::Parts;
use crate::view::text::{self, length};
use crate::view::{FormState, PageData, Tab, history};
use crate::world::{Firing, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's `do` value.
pub const FORM: &str = "after";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct After {
    /// The firing.
    pub firing: FiringId,
    /// "glaze firing to cone 10 on 2026-03-14: 12 shelves and 36 posts".
    pub said: String,
    /// "looked over on 2026-03-15"; empty where nobody did yet.
    pub checked: String,
    /// What was in it and is in service still: the shelves, then the posts of each nominal height.
    pub groups: Vec<AfterGroup>,
}

/// Pieces that are looked over together.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct AfterGroup {
    /// "shelves", "posts of 150 mm".
    pub said: String,
    /// The pieces, by code.
    pub pieces: Vec<Seen>,
}

/// One piece that came out.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Seen {
    /// The piece.
    pub piece: Piece,
    /// Its code.
    pub code: String,
    /// Whether it is on hold already.
    pub is_held: bool,
    /// What was noted on it after this firing so far.
    pub noted: Vec<String>,
}

/// What can be seen on such a piece, in the order in which a form offers it.
pub fn flaws(piece: Piece) -> impl Iterator<Item = Flaw> {
    Flaw::ALL.iter().copied().filter(move |flaw| flaw.fits(piece))
}

/// The flaws that put a piece on hold, said: "drip or run, stuck pot, ...".
#[must_use]
pub fn holding_said(piece: Piece) -> String {
    let holding = flaws(piece).filter(|flaw| jobs::holds(*flaw).is_some());
    holding.map(Flaw::said).collect::<Vec<_>>().join(", ")
}

/// The page.
///
/// # Errors   A firing that is not on record, or no longer counts.
pub fn page(world: &World, id: &str) -> Result<Parts, String> {
    let firing = one::find(world, id)?;
    let day = |stamp: crate::world::Stamp| format!("looked over on {}", text::day(stamp.at));
    let data = After {
        firing: firing.id,
        said: format!(
            "{} firing to cone {} on {}: {}",
            firing.ware.said(),
            firing.cone,
            firing.fired_on,
            counts(&firing.pieces)
        ),
        checked: firing.checked.map(day).unwrap_or_default(),
        groups: groups(world, firing),
    };
    Ok(Parts {
        title: format!("After {}", kiln_name(world, firing)),
        subtitle: format!("the firing of {}", firing.fired_on),
        tab: Tab::Firings,
        data: PageData::AfterFiring(data),
        form: FormState::default(),
    })
}

fn groups(world: &World, firing: &Firing) -> Vec<AfterGroup> {
    let unit = history::unit_of(world);
    let mut shelves = Vec::new();
    let mut posts: BTreeMap<Length, Vec<Seen>> = BTreeMap::new();
    for piece in &firing.pieces {
        match piece {
            Piece::Shelf(id) => {
                let one = world.shelves.get(id).filter(|one| one.retired.is_none());
                shelves.extend(one.map(|one| seen(world, firing, *piece, one.hold.is_some())));
            }
            Piece::Post(id) => {
                if let Some(one) = world.posts.get(id).filter(|one| one.retired.is_none()) {
                    let seen = seen(world, firing, *piece, one.hold.is_some());
                    posts.entry(one.nominal).or_default().push(seen);
                }
            }
        }
    }
    let shelves = std::iter::once(("shelves".to_owned(), shelves));
    let posts =
        posts.into_iter().map(|(nominal, posts)| (format!("posts of {}", length(nominal, unit)), posts));
    let filled = shelves.chain(posts).filter(|(_, pieces)| !pieces.is_empty());
    filled
        .map(|(said, mut pieces)| {
            pieces.sort_by(|a, b| a.code.cmp(&b.code));
            AfterGroup { said, pieces }
        })
        .collect()
}

fn seen(world: &World, firing: &Firing, piece: Piece, is_held: bool) -> Seen {
    let noted = world.history(piece.into()).filter_map(|entry| match entry.counting() {
        Some(Body::FindingNoted(b)) if b.firing == Some(firing.id) => Some(b.flaw.said().to_owned()),
        _ => None,
    });
    Seen { piece, code: world.code_of(piece), is_held, noted: noted.collect() }
}

/// The newest firing of each kiln that nobody looked over yet, newest first.
#[must_use]
pub fn to_look_over(world: &World) -> Vec<&Firing> {
    let mut newest: Vec<&Firing> = world
        .kilns
        .keys()
        .filter_map(|kiln| last_of(world, |firing| firing.kiln == *kiln))
        .filter(|firing| firing.checked.is_none())
        .collect();
    newest.sort_by_key(|firing| std::cmp::Reverse(when(firing)));
    newest
}

/// The newest firing of those wanted.
pub(crate) fn last_of(world: &World, wanted: impl Fn(&Firing) -> bool) -> Option<&Firing> {
    world.firings.values().filter(|firing| wanted(firing)).max_by_key(|firing| when(firing))
}

fn when(firing: &Firing) -> (jiff::civil::Date, jiff::Timestamp, FiringId) {
    (firing.fired_on, firing.stamp.at, firing.id)
}

#[cfg(test)]
#[path = "after_tests.rs"]
mod tests;
