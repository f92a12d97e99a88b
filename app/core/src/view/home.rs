//! The first page: what stands between now and the next load, or what to do first.
use super::route::{Parts, Request};
use super::{PageData, Row, Tab};
use crate::view::text::count;
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The first page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Home {
    /// Whether nothing is on record yet.
    pub empty: bool,
    /// One sentence: "3 things stand between you and the next load".
    pub sentence: String,
    /// One line a thing, the worst first.
    pub jobs: Vec<Row>,
}

/// The page at `/`.
#[must_use]
pub fn page(world: &World, _request: &Request) -> Parts {
    let shelves = world.shelves_in_service().count() as u64;
    let posts = world.posts_in_service().count() as u64;
    let subtitle = format!("{}, {}", count(shelves, "shelf", "shelves"), count(posts, "post", "posts"));
    Parts {
        title: "Next load".to_owned(),
        subtitle,
        tab: Tab::NextLoad,
        data: PageData::Home(Home { empty: world.kilns.is_empty(), sentence: String::new(), jobs: Vec::new() }),
        form: super::FormState::default(),
    }
}
