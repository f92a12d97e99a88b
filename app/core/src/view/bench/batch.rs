//! `/bench/batch`: one entry for several pieces at once; each becomes an event of its own, all of them or none.
//!
//! The address says what is ticked to begin with: `job=` for the pieces with that job open, `firing=last` (or an
//! id) for what came out of a firing. What this does not do: release or retire. A wet shelf is never cleared by
//! the dozen, and why a piece was set aside is said of each.
use crate::event::values::{Face, GrindMethod, Mask, Piece};
use crate::jobs::{self, Job};
use crate::units::Length;
use crate::view::add::{KilnChoice, Start, kilns};
use crate::view::bench::BenchPage;
use crate::view::firings::after;
use crate::view::remember::Bench;
use crate::view::route::{Parts, Request};
use crate::view::text::length;
use crate::view::{FormState, Link, PageData, Tab, history, shelf};
use crate::world::{Firing, Post, Shelf, Subject, World};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The form's `do` value.
pub const FORM: &str = "batch";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Batch {
    /// What is to be logged; none where it is still to be chosen.
    pub act: Option<Act>,
    /// What can be chosen.
    pub choices: Vec<Link>,
    /// What to tick to begin with: those with the job open, all of the last firing, none.
    pub picks: Vec<Link>,
    /// The pieces to tick: the shelves, then the posts of each nominal height.
    pub groups: Vec<Group>,
}

/// What is logged of each.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Ground on the face that is up.
    Ground {
        /// Wet or dry, mask and minutes, as last time.
        like: Option<Bench>,
        /// The shelves of silicon carbide, which wet grinding puts on hold.
        wet_holds: Vec<String>,
        /// The heaviest of them with what is to be said about lifting it; empty where all are light.
        lifting: String,
    },
    /// Washed on the face that is up.
    Washed,
    /// Turned over.
    Flipped,
    /// Tapped.
    Tapped,
    /// On hold.
    Held,
    /// Moved.
    Moved {
        /// The kilns.
        kilns: Vec<KilnChoice>,
    },
    /// Ends dressed.
    Dressed {
        /// Wet or dry, mask and minutes, as last time.
        like: Option<Bench>,
    },
}

/// Every action: the last part of its address, what the button says, the job that it closes.
const ACTIONS: [(&str, &str, Option<Job>); 7] = [
    ("ground", "Ground", Some(Job::Grind)),
    ("washed", "Washed", Some(Job::Wash)),
    ("flipped", "Turned over", Some(Job::Flip)),
    ("tapped", "Tapped", Some(Job::Tap)),
    ("held", "On hold", None),
    ("moved", "Moved", None),
    ("dressed", "Post ends dressed", Some(Job::Dress)),
];

/// Pieces that are ticked together.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Group {
    /// "shelves", "posts of 150 mm".
    pub said: String,
    /// The pieces, by code.
    pub pieces: Vec<Pick>,
}

/// One piece to tick.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Pick {
    /// The piece.
    pub piece: Piece,
    /// Its code, which the form posts.
    pub code: String,
    /// The face of a shelf that is up.
    pub up: Option<Face>,
    /// What is to be known before it is ticked: "on hold: wet", "wash on face A"; empty where nothing is.
    pub known: String,
    /// Why it cannot be logged so; empty where it can.
    pub barred: String,
    /// Whether it is ticked to begin with.
    pub ticked: bool,
}

/// The page at `/bench/batch` and `/bench/batch/ACTION`.
///
/// # Errors   No such action, job or firing.
pub fn page(world: &World, request: &Request, action: &str) -> Result<Parts, String> {
    let chosen = ACTIONS.iter().find(|(key, ..)| *key == action);
    if chosen.is_none() && !action.is_empty() {
        return Err(format!("no batch is called {action}"));
    }
    let picked = picked(world, request)?;
    let groups = chosen.map_or_else(Vec::new, |(key, ..)| groups(world, key, &picked));
    let act = chosen.map(|(key, ..)| act(world, key, &groups));
    let link = |(key, text, _): &(&str, &str, Option<Job>)| Link {
        href: format!("/bench/batch/{key}"),
        text: (*text).to_owned(),
    };
    let data = Batch {
        choices: if act.is_none() { ACTIONS.iter().map(link).collect() } else { Vec::new() },
        picks: chosen.map_or_else(Vec::new, |(key, _, job)| picks(world, key, *job)),
        act,
        groups,
    };
    let title = chosen.map_or("Several at once".to_owned(), |(_, text, _)| format!("{text}: several"));
    Ok(Parts {
        title,
        subtitle: "each gets an entry of its own, all or none".to_owned(),
        tab: Tab::NextLoad,
        data: PageData::Bench(BenchPage::Batch(data)),
        form: FormState { action: String::new(), values: Start::new(), problems: Vec::new() },
    })
}

/// What the query ticks.
fn picked(world: &World, request: &Request) -> Result<BTreeSet<Piece>, String> {
    let mut picked = BTreeSet::new();
    if !request.query("job").is_empty() {
        let key = request.query("job");
        let job = Job::from_key(key).ok_or_else(|| format!("no bench job is called {key}"))?;
        picked.extend(jobs::all(world).iter().filter(|open| open.job == job).filter_map(
            |open| match open.on {
                Subject::Shelf(id) => Some(Piece::Shelf(id)),
                Subject::Post(id) => Some(Piece::Post(id)),
                _ => None,
            },
        ));
    }
    let firing = match request.query("firing") {
        "" => None,
        "last" => after::last_of(world, |_| true),
        id => Some(crate::view::firings::one::find(world, id)?),
    };
    picked.extend(firing.iter().flat_map(|firing| firing.pieces.iter().copied()));
    Ok(picked)
}

fn picks(world: &World, action: &str, job: Option<Job>) -> Vec<Link> {
    let to = |query: &str, text: String| Link { href: format!("/bench/batch/{action}{query}"), text };
    let open = job.map(|job| to(&format!("?job={}", job.key()), format!("Those to {}", job.said())));
    let of_firing = |firing: &Firing| {
        let kiln = world.kilns.get(&firing.kiln).map_or("", |kiln| kiln.name.as_str());
        to("?firing=last", format!("All of the last firing ({kiln}, {})", firing.fired_on))
    };
    let firing = after::last_of(world, |_| true).map(of_firing);
    open.into_iter().chain(firing).chain([to("", "None".to_owned())]).collect()
}

fn act(world: &World, action: &str, groups: &[Group]) -> Act {
    match action {
        "ground" => {
            let shelves: Vec<&Shelf> = groups
                .iter()
                .flat_map(|group| &group.pieces)
                .filter_map(|pick| match pick.piece {
                    Piece::Shelf(id) => world.shelves.get(&id),
                    Piece::Post(_) => None,
                })
                .collect();
            let conducting = shelves.iter().filter(|shelf| shelf.material.is_silicon_carbide());
            let kg = |shelf: &&&Shelf| crate::judge::shelf::material::about_kg(shelf);
            let heaviest = shelves.iter().max_by(|a, b| kg(a).total_cmp(&kg(b)));
            Act::Ground {
                like: Bench::of_grinding(world),
                wet_holds: conducting.map(|shelf| shelf.code.to_string()).collect(),
                lifting: heaviest.map_or_else(String::new, |shelf| {
                    let said = shelf::log::lifting(shelf);
                    if said.is_empty() { said } else { format!("The heaviest, {}: {said}", shelf.code) }
                }),
            }
        }
        "washed" => Act::Washed,
        "flipped" => Act::Flipped,
        "tapped" => Act::Tapped,
        "held" => Act::Held,
        "moved" => Act::Moved { kilns: kilns(world) },
        _ => Act::Dressed { like: Bench::of_dressing(world) },
    }
}

fn groups(world: &World, action: &str, picked: &BTreeSet<Piece>) -> Vec<Group> {
    let unit = history::unit_of(world);
    let (with_shelves, with_posts) = match action {
        "held" | "moved" => (true, true),
        "dressed" => (false, true),
        _ => (true, false),
    };
    let shelves: Vec<Pick> = world
        .shelves_in_service()
        .filter(|_| with_shelves)
        .map(|one| pick_shelf(action, one, picked.contains(&Piece::Shelf(one.id))))
        .collect();
    let mut posts: BTreeMap<Length, Vec<Pick>> = BTreeMap::new();
    for one in world.posts_in_service().filter(|_| with_posts) {
        posts.entry(one.nominal).or_default().push(pick_post(one, picked.contains(&Piece::Post(one.id))));
    }
    let shelves = std::iter::once(("shelves".to_owned(), shelves));
    let posts =
        posts.into_iter().map(|(nominal, posts)| (format!("posts of {}", length(nominal, unit)), posts));
    let filled = shelves.chain(posts).filter(|(_, pieces)| !pieces.is_empty());
    filled
        .map(|(said, mut pieces)| {
            pieces.sort_by(|a, b| a.code.cmp(&b.code));
            Group { said, pieces }
        })
        .collect()
}

fn pick_shelf(action: &str, one: &Shelf, ticked: bool) -> Pick {
    let hold = one.hold.as_ref().map(|hold| format!("on hold: {}", hold.reason.said()));
    let washed = action == "flipped" && one.washes.contains_key(&one.up);
    let barred =
        if washed { format!("there is wash on {}: strip it first", one.up.said()) } else { String::new() };
    Pick {
        piece: Piece::Shelf(one.id),
        code: one.code.to_string(),
        up: Some(one.up),
        known: hold.unwrap_or_default(),
        ticked: ticked && barred.is_empty(),
        barred,
    }
}

fn pick_post(one: &Post, ticked: bool) -> Pick {
    let hold = one.hold.as_ref().map(|hold| format!("on hold: {}", hold.reason.said()));
    let (known, barred) = (hold.unwrap_or_default(), String::new());
    Pick { piece: Piece::Post(one.id), code: one.code.to_string(), up: None, known, barred, ticked }
}

/// How grinding begins where none is on record: as the trade does it outside, and nobody's mask guessed.
pub const DRY: (GrindMethod, Mask) = (GrindMethod::Dry, Mask::NotNoted);

/// Wet or dry, mask and minutes as last time; else as work of this kind begins.
#[must_use]
pub fn usual(like: Option<Bench>, begin: (GrindMethod, Mask)) -> (GrindMethod, Mask, String) {
    let minutes = like.and_then(|like| like.minutes).map_or_else(String::new, |n| n.to_string());
    let (method, mask) = like.map_or(begin, |like| (like.method, like.mask));
    (method, mask, minutes)
}
