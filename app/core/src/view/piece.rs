//! What can be logged of a shelf and of a post alike: hold, release, move, retire, return, note,
//! a photo, something wrong.
//!
//! The pages stand at `/shelf/CODE/hold` and so on, and for posts at `/post/CODE/hold`. What this does not
//! do: clear a wet shelf. It asks what a release rests on, and keeps the answer.
use super::add::{KilnChoice, Start, kilns, put};
use super::firings::after::{Seen, last_of};
use super::route::{Parts, Request, correcting};
use super::text::{count, day, money_input};
use super::{FormState, PageData, Tab};
use crate::code::Code;
use crate::event::Body;
use crate::event::values::{HoldReason, Material, Piece};
use crate::ids::FiringId;
use crate::world::{Hold, Post, Retired, Shelf, Subject, World};
use serde::{Deserialize, Serialize};

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PiecePage {
    /// The piece.
    pub piece: Piece,
    /// Its code.
    pub code: String,
    /// Its card.
    pub card: String,
    /// How it stands: "on hold since 2026-03-01: wet (left in the rain)".
    pub standing: String,
    /// What is to be logged.
    pub act: Act,
}

/// What is to be logged.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// It goes on hold.
    Hold,
    /// It comes off hold.
    Release {
        /// Whether it is of silicon carbide and on hold because it is wet.
        wet_silicon_carbide: bool,
        /// Whether it is of the dense thin kind, which bursts when wet.
        dense_thin: bool,
        /// The dry mass in grams that the last release noted.
        last_dry_g: Option<u32>,
    },
    /// It goes to another rack or kiln.
    Move {
        /// The kilns.
        kilns: Vec<KilnChoice>,
    },
    /// It is set aside for good.
    Retire {
        /// What it has cost per firing, where its price is known.
        cost: String,
        /// The set that it leaves short.
        set: String,
    },
    /// It comes back into use.
    Return,
    /// Somebody writes something down.
    Note,
    /// A photo of it.
    Photo,
    /// Something is wrong with it.
    Found {
        /// The piece as it is looked over.
        seen: Seen,
        /// The last firing that it was in.
        firing: Option<FiringId>,
    },
}

impl Act {
    /// The last part of the page's address, and the form's `do` value.
    #[must_use]
    pub const fn key(&self) -> &'static str {
        match self {
            Self::Hold => "hold",
            Self::Release { .. } => "release",
            Self::Move { .. } => "move",
            Self::Retire { .. } => "retire",
            Self::Return => "return",
            Self::Note => "note",
            Self::Photo => "photo",
            Self::Found { .. } => "found",
        }
    }
}

/// A shelf or post, by its code or id.
enum Found<'a> {
    Shelf(&'a Shelf),
    Post(&'a Post),
}

impl<'a> Found<'a> {
    fn find(world: &'a World, kind: &str, text: &str) -> Result<Self, String> {
        let subject = Code::read(text).ok().and_then(|code| world.by_code(&code));
        let found = match kind {
            "shelf" => {
                let by_code = if let Some(Subject::Shelf(id)) = subject { Some(id) } else { None };
                let id = text.parse().ok().or(by_code);
                id.and_then(|id| world.shelves.get(&id)).map(Self::Shelf)
            }
            _ => {
                let by_code = if let Some(Subject::Post(id)) = subject { Some(id) } else { None };
                let id = text.parse().ok().or(by_code);
                id.and_then(|id| world.posts.get(&id)).map(Self::Post)
            }
        };
        found.ok_or_else(|| format!("no {kind} has the code {text}"))
    }

    const fn piece(&self) -> Piece {
        match self {
            Self::Shelf(shelf) => Piece::Shelf(shelf.id),
            Self::Post(post) => Piece::Post(post.id),
        }
    }

    const fn code(&self) -> &Code {
        match self {
            Self::Shelf(shelf) => &shelf.code,
            Self::Post(post) => &post.code,
        }
    }

    const fn hold(&self) -> Option<&Hold> {
        match self {
            Self::Shelf(shelf) => shelf.hold.as_ref(),
            Self::Post(post) => post.hold.as_ref(),
        }
    }

    const fn retired(&self) -> Option<&Retired> {
        match self {
            Self::Shelf(shelf) => shelf.retired.as_ref(),
            Self::Post(post) => post.retired.as_ref(),
        }
    }

    const fn material(&self) -> Material {
        match self {
            Self::Shelf(shelf) => shelf.material,
            Self::Post(post) => post.material,
        }
    }

    fn firings(&self) -> u32 {
        match self {
            Self::Shelf(shelf) => shelf.firings(),
            Self::Post(post) => post.firings(),
        }
    }

    /// Where it is: the kiln's id and the place.
    fn kept(&self) -> (String, &str) {
        match self {
            Self::Shelf(shelf) => (shelf.kiln.to_string(), &shelf.place),
            Self::Post(post) => (post.kiln.to_string(), &post.place),
        }
    }
}

/// The page at `/shelf/CODE/VERB` or `/post/CODE/VERB`.
///
/// # Errors   What the page says instead: no such piece.
pub fn page(world: &World, request: &Request, kind: &str, code: &str, verb: &str) -> Result<Parts, String> {
    let found = Found::find(world, kind, code)?;
    let (title, act) =
        act(world, &found, verb).ok_or_else(|| format!("no page is called {}", request.path))?;
    let mut values = match correcting(world, request) {
        Some(correcting) => crate::form::piece::values_of(&correcting.body),
        None => Start::new(),
    };
    if values.is_empty() && act.key() == "move" {
        let (kiln, place) = found.kept();
        put(&mut values, "kiln", kiln);
        put(&mut values, "place", place);
    }
    let form = FormState { action: act.key().to_owned(), values, problems: Vec::new() };
    let card = format!("/{kind}/{code}");
    let standing = standing(&found);
    let data = PiecePage { piece: found.piece(), code: found.code().to_string(), card, standing, act };
    let subtitle = format!("{kind}, {}", found.material().said());
    Ok(Parts { title, subtitle, tab: Tab::Rack, data: PageData::Piece(data), form })
}

fn act(world: &World, found: &Found<'_>, verb: &str) -> Option<(String, Act)> {
    let code = found.code();
    Some(match verb {
        "hold" => (format!("Put {code} on hold"), Act::Hold),
        "release" => {
            let wet = found.hold().is_some_and(|hold| hold.reason == HoldReason::Wet);
            let act = Act::Release {
                wet_silicon_carbide: wet && found.material().is_silicon_carbide(),
                dense_thin: found.material() == Material::DenseThinSic,
                last_dry_g: last_dry_g(world, found.piece()),
            };
            (format!("Take {code} off hold"), act)
        }
        "move" => (format!("Move {code}"), Act::Move { kilns: kilns(world) }),
        "retire" => {
            let act = Act::Retire { cost: cost(found), set: set_left_short(world, found) };
            (format!("Retire {code}"), act)
        }
        "return" => (format!("Bring {code} back"), Act::Return),
        "note" => (format!("Note on {code}"), Act::Note),
        "photo" => (format!("Photo of {code}"), Act::Photo),
        "found" => {
            let piece = found.piece();
            let firing = last_of(world, |firing| firing.pieces.contains(&piece)).map(|firing| firing.id);
            let is_held = found.hold().is_some();
            let seen = Seen { piece, code: code.to_string(), is_held, noted: Vec::new() };
            (format!("Something wrong with {code}"), Act::Found { seen, firing })
        }
        _ => return None,
    })
}

fn standing(found: &Found<'_>) -> String {
    let note = |text: &str| if text.is_empty() { String::new() } else { format!(" ({text})") };
    match (found.retired(), found.hold()) {
        (Some(gone), _) => {
            format!("retired on {}: {}{}", day(gone.stamp.at), gone.reason.said(), note(&gone.note))
        }
        (None, Some(hold)) => {
            format!("on hold since {}: {}{}", day(hold.since.at), hold.reason.said(), note(&hold.note))
        }
        (None, None) => format!("in use, {}", count(u64::from(found.firings()), "firing", "firings")),
    }
}

/// "84 over 61 firings is 1.38 a firing", empty where the price is not known.
fn cost(found: &Found<'_>) -> String {
    let price = match found {
        Found::Shelf(shelf) => shelf.price_cents,
        Found::Post(post) => post.price_cents,
    };
    let firings = i64::from(found.firings());
    match price {
        None => String::new(),
        Some(cents) if firings == 0 => format!("it cost {}, and no firing is on record", money_input(cents)),
        Some(cents) => {
            let each = (cents + firings / 2) / firings;
            let over = count(u64::from(found.firings()), "firing", "firings");
            format!("it cost {} over {over}: {} a firing", money_input(cents), money_input(each))
        }
    }
}

fn set_left_short(world: &World, found: &Found<'_>) -> String {
    match found {
        Found::Post(post) => world.set_of(post.id).map_or_else(String::new, |set| set.code.to_string()),
        Found::Shelf(_) => String::new(),
    }
}

/// The dry mass that the newest release of a piece noted, where one did.
fn last_dry_g(world: &World, piece: Piece) -> Option<u32> {
    let releases = world.history(piece.into()).rev().filter(|entry| super::entry::counts(entry));
    releases
        .filter_map(|entry| match &entry.event.body {
            Body::PieceReleased(body) => crate::form::piece::dry_mass_g(&body.because),
            _ => None,
        })
        .next()
}
