//! `/firing/ID`: one firing and what was in it.
use super::{counts, kiln_name};
use crate::event::values::Piece;
use crate::ids::FiringId;
use crate::units::Length;
use crate::view::route::Parts;
use crate::view::text::{self, length};
use crate::view::{FormState, HistoryLine, Link, PageData, Tab, history};
use crate::world::{Firing, Subject, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct OneFiring {
    /// "glaze firing to cone 10 on 2026-03-14".
    pub said: String,
    /// "12 shelves and 36 posts".
    pub counts: String,
    /// In the user's words.
    pub note: String,
    /// The plan it was loaded by.
    pub plan: Option<Link>,
    /// The lines of the plan's check that were overruled, with the reasons.
    pub overruled: Vec<String>,
    /// The kiln's racks.
    pub kiln: Link,
    /// What was in it: the shelves, then the posts of each nominal height.
    pub groups: Vec<Group>,
    /// What came out of it, to be looked over.
    pub after: Link,
    /// The entries that made it what it is.
    pub history: Vec<HistoryLine>,
}

/// Pieces that are listed together.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Group {
    /// "12 shelves", "posts of 150 mm: 24".
    pub said: String,
    /// Their cards, by code.
    pub pieces: Vec<Link>,
}

/// The page.
///
/// # Errors   A firing that is not on record, or no longer counts.
pub fn page(world: &World, id: &str) -> Result<Parts, String> {
    let firing = find(world, id)?;
    let name = kiln_name(world, firing);
    let plan = firing.plan.and_then(|id| world.plans.get(&id));
    let overruled = plan.iter().flat_map(|plan| plan.overruled.values());
    let data = OneFiring {
        plan: plan.map(|plan| Link {
            href: crate::view::plans::path(plan.id),
            text: format!("Loaded by the plan {}", plan.name),
        }),
        overruled: overruled.map(|one| format!("{} Overruled: {}", one.said, one.reason)).collect(),
        said: format!("{} firing to cone {} on {}", firing.ware.said(), firing.cone, firing.fired_on),
        counts: counts(&firing.pieces),
        note: firing.note.clone(),
        kiln: Link { href: format!("/rack?kiln={}", firing.kiln), text: format!("The racks of {name}") },
        groups: groups(world, &firing.pieces),
        after: Link { href: format!("/firing/{}/after", firing.id), text: after_said(firing) },
        history: history::lines(world, Subject::Firing(firing.id)),
    };
    let title = format!("{name}, {}", firing.fired_on);
    let subtitle = format!("{} to cone {}", firing.ware.said(), firing.cone);
    let data = PageData::Firing(data);
    Ok(Parts { title, subtitle, tab: Tab::Firings, data, form: FormState::default() })
}

/// The firing under this id.
pub(crate) fn find<'a>(world: &'a World, id: &str) -> Result<&'a Firing, String> {
    let known = id.parse().ok().and_then(|id: FiringId| world.firings.get(&id));
    known.ok_or_else(|| "no firing is on record under this address; it may have been taken back".to_owned())
}

fn after_said(firing: &Firing) -> String {
    match firing.checked {
        None => "Look over what came out".to_owned(),
        Some(stamp) => format!("Looked over on {}; look again", text::day(stamp.at)),
    }
}

fn groups(world: &World, pieces: &[Piece]) -> Vec<Group> {
    let unit = history::unit_of(world);
    let mut shelves = Vec::new();
    let mut posts: BTreeMap<Length, Vec<Link>> = BTreeMap::new();
    for piece in pieces {
        let link = |kind: &str, code: &str| Link { href: format!("/{kind}/{code}"), text: code.to_owned() };
        match piece {
            Piece::Shelf(id) => {
                shelves.extend(world.shelves.get(id).map(|shelf| link("shelf", shelf.code.as_str())));
            }
            Piece::Post(id) => {
                if let Some(post) = world.posts.get(id) {
                    posts.entry(post.nominal).or_default().push(link("post", post.code.as_str()));
                }
            }
        }
    }
    let group = |said: String, mut pieces: Vec<Link>| {
        pieces.sort_by(|a, b| a.text.cmp(&b.text));
        Group { said: format!("{said}: {}", pieces.len()), pieces }
    };
    let shelves = (!shelves.is_empty()).then(|| group("shelves".to_owned(), shelves));
    let posts =
        posts.into_iter().map(|(nominal, posts)| group(format!("posts of {}", length(nominal, unit)), posts));
    shelves.into_iter().chain(posts).collect()
}
