//! `/labels`: which pieces get a label, on which grid.
use super::super::Link;
use super::super::route::Request;
use super::super::text::{count, moment};
use crate::code::Code;
use crate::event::values::Labelled;
use crate::ids::StudioId;
use crate::label::Grid;
use crate::world::World;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The form's `do` value.
pub const FORM: &str = "labels";
/// House choice: sheets listed to print again.
const SHEETS: usize = 8;
/// Where a studio's server is found unless it was told otherwise: the name and port that `tripoise serve --lan`
/// begins with.
pub const USUAL_ADDRESS: &str = "https://tripoise.local:7443";

/// The page.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Choose {
    /// The studio's id, name and address, once it has them.
    pub studio: Option<(StudioId, String, String)>,
    /// Everything that can bear a label, by code.
    pub pieces: Vec<Candidate>,
    /// The racks, by name.
    pub racks: Vec<String>,
    /// The grids offered.
    pub grids: Vec<Grid>,
    /// The one piece that the address asks for; empty otherwise.
    pub one: String,
    /// How many have no label yet, in words.
    pub said: String,
    /// Sheets made before, the newest first.
    pub sheets: Vec<Link>,
}

/// A piece that can bear a label.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Candidate {
    /// The piece.
    pub on: Labelled,
    /// Its code.
    pub code: String,
    /// Its rack; empty where none is on record.
    pub rack: String,
    /// Whether it has a label.
    pub has: bool,
}

impl Candidate {
    /// Which tick it belongs to: "shelf", "post", "set".
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self.on {
            Labelled::Shelf(_) => "shelf",
            Labelled::Post(_) => "post",
            Labelled::Set(_) => "set",
        }
    }
}

/// The page's data.
#[must_use]
pub fn choose(world: &World, request: &Request) -> Choose {
    let pieces = candidates(world);
    let racks: BTreeSet<&str> =
        pieces.iter().map(|piece| piece.rack.as_str()).filter(|rack| !rack.is_empty()).collect();
    let n_new = pieces.iter().filter(|piece| !piece.has).count() as u64;
    let said = match n_new {
        0 => "Everything in service has a label.".to_owned(),
        n => format!("{} no label yet.", count(n, "piece in service has", "pieces in service have")),
    };
    let mut sheets: Vec<_> = world.labels.sheets.iter().collect();
    sheets.sort_by_key(|(id, sheet)| std::cmp::Reverse((sheet.made.at, **id)));
    let sheets = sheets.into_iter().take(SHEETS).map(|(id, sheet)| {
        let n = count(sheet.labels.len() as u64, "label", "labels");
        Link { href: format!("/labels/sheet/{id}"), text: format!("{}, {n}", moment(sheet.made.at)) }
    });
    let one = Code::read(request.query("on")).ok().filter(|code| world.by_code(code).is_some());
    Choose {
        studio: world.labels.studio.as_ref().map(|s| (s.id, s.name.clone(), s.address.clone())),
        racks: racks.into_iter().map(str::to_owned).collect(),
        grids: world
            .labels
            .grids()
            .into_iter()
            .filter(|(_, offered)| *offered)
            .map(|(grid, _)| grid)
            .collect(),
        one: one.map_or_else(String::new, |code| code.to_string()),
        said,
        sheets: sheets.collect(),
        pieces,
    }
}

/// Everything in service, by code: shelves, posts, sets that are together.
fn candidates(world: &World) -> Vec<Candidate> {
    let one = |on: Labelled, place: &str| Candidate {
        code: world.code_on(on),
        rack: rack(place),
        has: world.labels.of(on).is_some(),
        on,
    };
    let shelves = world.shelves_in_service().map(|shelf| one(Labelled::Shelf(shelf.id), &shelf.place));
    let posts = world.posts_in_service().map(|post| one(Labelled::Post(post.id), &post.place));
    let sets = world.sets_together().map(|set| {
        let first = set.posts.first().and_then(|id| world.posts.get(id));
        one(Labelled::Set(set.id), first.map_or("", |post| post.place.as_str()))
    });
    let mut all: Vec<Candidate> = shelves.chain(posts).chain(sets).collect();
    all.sort_by_key(|piece| natural(&piece.code));
    all
}

/// "rack B slot 4" stands in rack B.
fn rack(place: &str) -> String {
    place.split(" slot").next().unwrap_or_default().trim().to_owned()
}

/// Letters, then the number: F9 before F10.
fn natural(code: &str) -> (String, u64, String) {
    let letters: String = code.chars().take_while(char::is_ascii_alphabetic).collect();
    let digits: String = code.chars().skip(letters.len()).take_while(char::is_ascii_digit).collect();
    (letters, digits.parse().unwrap_or(0), code.to_owned())
}
