//! `/rack`: every shelf, set and post, kiln by kiln; a shelf is drawn with the bow that was measured.
//!
//! `?kiln=` shows one kiln's racks, `?show=shelves|posts|sets|retired` one kind of piece. What this does not
//! do: judge; each row bears the mark that [`crate::judge`] gives the piece.

mod rows;
mod slab;

pub use rows::{kiln_of_set, outline_said, post_row, set_row, shelf_row};
use slab::Scale;
pub use slab::{HALF_HEIGHT, Slab, WIDTH};

use super::route::{Parts, Request};
use super::text::{LengthUnit, count, length};
use super::{FormState, Link, PageData, Row, Tab, history};
use crate::event::values::Material;
use crate::ids::KilnId;
use crate::judge::shelf::ShelfJudgement;
use crate::judge::{post, post_set, shelf};
use crate::outline::Outline;
use crate::units::Length;
use crate::world::{Kiln, Shelf, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Rack {
    /// All kilns, then each of them; the current one has an empty address.
    pub kilns: Vec<Link>,
    /// Everything, then each kind of piece with its count; the current one has an empty address.
    pub shows: Vec<Link>,
    /// The racks, kiln by kiln; those with nothing to show are left out.
    pub racks: Vec<KilnRack>,
    /// How many times the bows are exaggerated, where any is drawn.
    pub bow_times: Option<u32>,
    /// The kind of piece that was asked for; empty for everything.
    pub show: String,
}

/// One kiln's racks.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct KilnRack {
    /// The kiln.
    pub kiln: KilnId,
    /// The kiln's name.
    pub name: String,
    /// Its shelves, those alike in material and outline together.
    pub shelves: Vec<Alike>,
    /// Its sets.
    pub sets: Vec<Row>,
    /// Its posts by nominal height, the lowest first.
    pub posts: Vec<Nominal>,
    /// What was set aside, with the reason.
    pub retired: Vec<Row>,
}

/// Shelves of one material and outline.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Alike {
    /// "cordierite, 600 × 300 mm: 12 shelves".
    pub said: String,
    /// The shelves, by code.
    pub rows: Vec<ShelfRow>,
}

/// A shelf's row and its drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct ShelfRow {
    /// The row.
    pub row: Row,
    /// The drawing.
    pub slab: Slab,
}

/// The posts of one nominal height.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Nominal {
    /// "150 mm, 24 posts".
    pub said: String,
    /// The run that measures them.
    pub run: String,
    /// The posts.
    pub rows: Vec<Row>,
}

/// Which pieces are shown.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Show {
    InService,
    Shelves,
    Posts,
    Sets,
    Retired,
}

impl Show {
    const ALL: [Self; 5] = [Self::InService, Self::Shelves, Self::Posts, Self::Sets, Self::Retired];

    const fn key(self) -> &'static str {
        match self {
            Self::InService => "",
            Self::Shelves => "shelves",
            Self::Posts => "posts",
            Self::Sets => "sets",
            Self::Retired => "retired",
        }
    }

    fn shows(self, kind: Self) -> bool {
        self == kind || (self == Self::InService && kind != Self::Retired)
    }
}

/// The page at `/rack`.
///
/// # Errors   A kiln or a kind of piece that is not there.
pub fn page(world: &World, request: &Request) -> Result<Parts, String> {
    let asked = request.query("show");
    let show = Show::ALL.into_iter().find(|show| show.key() == asked);
    let show = show.ok_or_else(|| {
        format!("the rack has no {asked:?}; it shows shelves, posts, sets or retired pieces")
    })?;
    let kiln = match request.query("kiln") {
        "" => None,
        text => Some(kiln(world, text)?.id),
    };
    let here: Vec<&Kiln> = world.kilns.values().filter(|one| kiln.is_none_or(|id| one.id == id)).collect();
    let shelves = judged_shelves(world, kiln, show);
    let scale = Scale::of(shelves.iter().map(|(shelf, judged)| (*shelf, judged)));
    let racks = here.into_iter().map(|one| {
        let of_kiln: Vec<_> = shelves.iter().filter(|(shelf, _)| shelf.kiln == one.id).collect();
        rack(world, one, show, alike(world, &of_kiln, scale))
    });
    let racks: Vec<KilnRack> = racks.filter(|rack| !rack.is_empty()).collect();
    Ok(Parts {
        title: "Rack".to_owned(),
        subtitle: kiln
            .and_then(|id| world.kilns.get(&id))
            .map_or_else(String::new, |kiln| format!("{}, to cone {}", kiln.name, kiln.usual_cone)),
        tab: Tab::Rack,
        data: PageData::Rack(Rack {
            kilns: kilns(world, kiln, show),
            shows: shows(world, kiln, show),
            racks,
            bow_times: scale.times,
            show: show.key().to_owned(),
        }),
        form: FormState::default(),
    })
}

fn kiln<'a>(world: &'a World, text: &str) -> Result<&'a Kiln, String> {
    let known = text.parse().ok().and_then(|id: KilnId| world.kilns.get(&id));
    known.ok_or_else(|| "no kiln is on record under this address; look at all racks".to_owned())
}

impl KilnRack {
    fn is_empty(&self) -> bool {
        self.shelves.is_empty() && self.sets.is_empty() && self.posts.is_empty() && self.retired.is_empty()
    }
}

/// The shelves to show, by code, each judged once.
fn judged_shelves(world: &World, kiln: Option<KilnId>, show: Show) -> Vec<(&Shelf, ShelfJudgement)> {
    if !show.shows(Show::Shelves) {
        return Vec::new();
    }
    let here = world.shelves_in_service().filter(|shelf| kiln.is_none_or(|id| shelf.kiln == id));
    let mut shelves: Vec<&Shelf> = here.collect();
    shelves.sort_by(|a, b| a.code.cmp(&b.code));
    shelves.into_iter().map(|one| (one, shelf::judge(world, one))).collect()
}

/// Shelves alike together, in the order of the first code of each kind.
fn alike(world: &World, shelves: &[&(&Shelf, ShelfJudgement)], scale: Scale) -> Vec<Alike> {
    let mut kinds: Vec<(Material, Outline, Vec<ShelfRow>)> = Vec::new();
    for (shelf, judged) in shelves {
        let row = ShelfRow { row: shelf_row(world, shelf, judged), slab: Slab::of(shelf, judged, scale) };
        let known = kinds.iter_mut().find(|kind| (kind.0, kind.1) == (shelf.material, shelf.outline));
        match known {
            Some((_, _, rows)) => rows.push(row),
            None => kinds.push((shelf.material, shelf.outline, vec![row])),
        }
    }
    let unit = history::unit_of(world);
    let said = |material: Material, outline: &Outline, n_shelves: usize| {
        let shelves = count(n_shelves as u64, "shelf", "shelves");
        format!("{}, {}: {shelves}", material.said(), rows::outline_said(outline, unit))
    };
    let kinds = kinds.into_iter();
    kinds
        .map(|(material, outline, rows)| Alike { said: said(material, &outline, rows.len()), rows })
        .collect()
}

fn rack(world: &World, kiln: &Kiln, show: Show, shelves: Vec<Alike>) -> KilnRack {
    let name = kiln.name.clone();
    let mut rack =
        KilnRack { kiln: kiln.id, name, shelves, sets: Vec::new(), posts: Vec::new(), retired: Vec::new() };
    if show.shows(Show::Sets) {
        let mut sets: Vec<_> =
            world.sets_together().filter(|set| kiln_of_set(world, set) == Some(kiln.id)).collect();
        sets.sort_by(|a, b| a.code.cmp(&b.code));
        rack.sets = sets.into_iter().map(|set| set_row(world, set, &post_set::judge(world, set))).collect();
    }
    if show.shows(Show::Posts) {
        rack.posts = nominals(world, kiln);
    }
    if show == Show::Retired {
        rack.retired = rows::retired(world, kiln.id);
    }
    rack
}

fn nominals(world: &World, kiln: &Kiln) -> Vec<Nominal> {
    let unit = history::unit_of(world);
    let mut by_height: BTreeMap<Length, Vec<_>> = BTreeMap::new();
    for one in world.posts_in_service().filter(|post| post.kiln == kiln.id) {
        by_height.entry(one.nominal).or_default().push(one);
    }
    let group = |(nominal, mut posts): (Length, Vec<&crate::world::Post>)| {
        posts.sort_by(|a, b| a.code.cmp(&b.code));
        Nominal {
            said: nominal_said(nominal, posts.len(), unit),
            run: format!("/posts/measure?nominal={}", nominal.0),
            rows: posts.iter().map(|one| post_row(world, one, &post::judge(world, one))).collect(),
        }
    };
    by_height.into_iter().map(group).collect()
}

/// "150 mm, 24 posts".
fn nominal_said(nominal: Length, n_posts: usize, unit: LengthUnit) -> String {
    format!("{}, {}", length(nominal, unit), count(n_posts as u64, "post", "posts"))
}

/// The address of the rack with these filters.
fn address(kiln: Option<KilnId>, show: Show) -> String {
    let kiln = kiln.map(|id| format!("kiln={id}"));
    let show = (show != Show::InService).then(|| format!("show={}", show.key()));
    let query: Vec<String> = kiln.into_iter().chain(show).collect();
    if query.is_empty() { "/rack".to_owned() } else { format!("/rack?{}", query.join("&")) }
}

fn kilns(world: &World, current: Option<KilnId>, show: Show) -> Vec<Link> {
    let link = |id: Option<KilnId>, text: &str| Link {
        href: if id == current { String::new() } else { address(id, show) },
        text: text.to_owned(),
    };
    if world.kilns.len() < 2 {
        return Vec::new();
    }
    let each = world.kilns.values().map(|kiln| link(Some(kiln.id), &kiln.name));
    std::iter::once(link(None, "all kilns")).chain(each).collect()
}

fn shows(world: &World, kiln: Option<KilnId>, current: Show) -> Vec<Link> {
    let here = |id: KilnId| kiln.is_none_or(|kiln| kiln == id);
    let (shelves, posts) = (world.shelves.values(), world.posts.values());
    let n_shelves = world.shelves_in_service().filter(|shelf| here(shelf.kiln)).count();
    let n_posts = world.posts_in_service().filter(|post| here(post.kiln)).count();
    let n_sets = world.sets_together().filter(|set| kiln_of_set(world, set).is_none_or(here)).count();
    let n_retired = shelves.filter(|shelf| shelf.retired.is_some() && here(shelf.kiln)).count()
        + posts.filter(|post| post.retired.is_some() && here(post.kiln)).count();
    let text = |show| match show {
        Show::InService => "everything".to_owned(),
        Show::Shelves => count(n_shelves as u64, "shelf", "shelves"),
        Show::Posts => count(n_posts as u64, "post", "posts"),
        Show::Sets => count(n_sets as u64, "set", "sets"),
        Show::Retired => format!("{n_retired} retired"),
    };
    let link = |show| Link {
        href: if show == current { String::new() } else { address(kiln, show) },
        text: text(show),
    };
    Show::ALL.into_iter().map(link).collect()
}

#[cfg(test)]
mod tests;
