//! Labels: which pieces want one, the sheet to print, the table of grids, the marking guide, and what a
//! scanned label leads to.
//!
//! The printed label goes on the rack slot, a metal tag or a bundle tag, never on what is fired: paper does
//! not survive. What this does not do: lay a sheet out; [`crate::label::sheet`] does.

pub mod choose;
pub mod grids;
pub mod marking;
pub mod sheet;

pub use sheet::scanned;

use super::history::unit_of;

use super::route::{Parts, Request};
use super::{FormState, PageData, Tab, shelf, text};
use crate::event::values::Labelled;
use crate::world::World;
use serde::{Deserialize, Serialize};

/// One of the pages about labels.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LabelsPage {
    /// Which labels to make.
    Choose(Box<choose::Choose>),
    /// A sheet to print.
    Sheet(sheet::SheetPage),
    /// The table of grids.
    Grids(grids::Grids),
    /// One grid.
    Grid(grids::GridPage),
    /// How to mark the pieces themselves.
    Marking(marking::Marking),
}

/// The page at `/labels` and below.
///
/// # Errors   What the page says instead.
pub fn page(world: &World, request: &Request, below: &[&str]) -> Result<Parts, String> {
    let (title, subtitle, data) = match below {
        [] => (
            "Labels",
            "for rack slots and tags",
            LabelsPage::Choose(Box::new(choose::choose(world, request))),
        ),
        ["sheet", id] => {
            ("Sheet of labels", "print it at full size", LabelsPage::Sheet(sheet::page(world, id)?))
        }
        ["grids"] => ("Label grids", "how labels lie on a sheet", LabelsPage::Grids(grids::list(world))),
        ["grids", "one"] => ("A label grid", "", LabelsPage::Grid(grids::one(world, request)?)),
        ["marking"] => ("Marking", "marks that survive a firing", LabelsPage::Marking(marking::page(world))),
        _ => return Err(format!("no page is called {}", request.path)),
    };
    let form = match &data {
        LabelsPage::Grid(grid) => grid.begin(unit_of(world)),
        _ => FormState::default(),
    };
    let (title, subtitle) = (title.to_owned(), subtitle.to_owned());
    Ok(Parts { title, subtitle, tab: Tab::More, data: PageData::Labels(data), form })
}

/// Kind and size, as printed: "cordierite 600 × 300 × 19 mm", "set of three 150 mm posts".
fn what(world: &World, on: Labelled) -> String {
    let unit = unit_of(world);
    match on {
        Labelled::Shelf(id) => world.shelves.get(&id).map_or_else(String::new, |one| {
            format!("{} {}", one.material.said(), shelf::size_said(one, unit))
        }),
        Labelled::Post(id) => world.posts.get(&id).map_or_else(String::new, |one| {
            format!("{} post, {}", text::length(one.nominal, unit), one.material.said())
        }),
        Labelled::Set(id) => world.sets.get(&id).map_or_else(String::new, |set| {
            let posts: Vec<_> = set.posts.iter().filter_map(|id| world.posts.get(id)).collect();
            let codes: Vec<String> = posts.iter().map(|post| post.code.to_string()).collect();
            let height = posts.first().map_or_else(String::new, |post| text::length(post.nominal, unit));
            format!("set of {height} posts {}", codes.join(" "))
        }),
    }
}

#[cfg(test)]
mod tests;
