//! Entering a stock: a kiln, shelves ten at a time, posts a dozen at a time.
//!
//! Each page begins with what was entered last, so that the next batch differs by a tap or two, and
//! carries every code that is taken, so that its form can be read without asking the server.
//!
//! What this does not do: measure. A stock is entered from its invoice and by eye.

pub mod kiln;
pub mod posts;
pub mod shelves;

use super::route::Request;
use crate::code::{self, Code};
use crate::event::{Body, Event};
use crate::form::quantity;
use crate::ids::KilnId;
use crate::world::{LogEntry, Standing, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The most shelves entered at once. House choice: a large order for a car kiln; more is more batches.
pub const MOST_SHELVES: u32 = 60;
/// The most posts entered at once. House choice: two digits of a code's number.
pub const MOST_POSTS: u32 = 99;

/// A kiln to choose.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KilnChoice {
    /// The kiln.
    pub id: KilnId,
    /// What people call it.
    pub name: String,
}

/// Every kiln, in the order in which they were added.
#[must_use]
pub fn kilns(world: &World) -> Vec<KilnChoice> {
    world.kilns.values().map(|kiln| KilnChoice { id: kiln.id, name: kiln.name.clone() }).collect()
}

/// Which codes a batch will get, before it is saved: "they will be F11 to F20".
#[must_use]
pub fn given(letter: char, taken: &[Code], count_text: &str, most: u32) -> String {
    let count = quantity::read_count(count_text, most).unwrap_or(0) as usize;
    let codes = code::next_free(letter, taken.iter(), count.max(1));
    match (count, codes.as_slice()) {
        (1, [only]) => format!("its code will be {only}"),
        (2.., [first, .., last]) => format!("their codes will be {first} to {last}"),
        (_, [first, ..]) => format!("codes are given from {first} on"),
        _ => String::new(),
    }
}

/// A form's values to begin with.
pub type Start = BTreeMap<String, Vec<String>>;

/// Puts one value into a form's start.
pub(crate) fn put(start: &mut Start, name: &str, value: impl Into<String>) {
    start.insert(name.to_owned(), vec![value.into()]);
}

/// The newest entry of a kind that still counts, and how many like it were recorded in the same breath:
/// by the same device at the same moment.
fn last_batch(world: &World, is_kind: impl Fn(&Body) -> bool) -> Option<(Arc<Event>, usize)> {
    let counting = |entry: &&LogEntry| match &entry.standing {
        Standing::Stands | Standing::Corrected { .. } => is_kind(&entry.event.body),
        Standing::Withdrawn { .. } | Standing::Correction { .. } => false,
    };
    let last = world.log.iter().rev().find(counting)?;
    let moment = (last.event.device, last.event.observed_at);
    let batch = world.log.iter().rev().filter(counting);
    let n_batch = batch.take_while(|entry| (entry.event.device, entry.event.observed_at) == moment).count();
    let event = match &last.standing {
        Standing::Corrected { by } => Arc::clone(by),
        _ => Arc::clone(&last.event),
    };
    Some((event, n_batch))
}

/// The kiln that the query names, the last batch's, or the first one.
fn chosen_kiln(world: &World, request: &Request, last: Option<KilnId>) -> Option<KilnId> {
    let asked = request.query("kiln").parse::<KilnId>().ok();
    asked.filter(|id| world.kilns.contains_key(id)).or(last).or_else(|| world.kilns.keys().next().copied())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_said_before_they_are_given() {
        let taken: Vec<Code> = ["F09", "F10", "P31"].iter().filter_map(|t| Code::read(t).ok()).collect();
        assert_eq!(given('F', &taken, "10", 60), "their codes will be F11 to F20");
        assert_eq!(given('F', &taken, " 1 ", 60), "its code will be F11");
        assert_eq!(given('P', &taken, "twelve", 99), "codes are given from P32 on");
        assert_eq!(given('P', &taken, "100", 99), "codes are given from P32 on");
        assert_eq!(given('K', &[], "0", 99), "codes are given from K01 on");
    }
}
