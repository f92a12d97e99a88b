//! `/match`: sets for a load, so many layers of each height, from one kiln's racks.
//!
//! The address carries what was asked (`?kiln=…&h150000000=3&mode=keep&size=3`). What this does not do: match, or find what
//! is to be ground; [`crate::planning`] does, and says what is proved.
use super::ASK;
use super::shown::{Shown, shown};
use crate::grouping::SetSize;
use crate::ids::KilnId;
use crate::planning::sets_of;
use crate::units::Length;
use crate::view::history::unit_of;
use crate::view::route::Request;
use crate::view::text::{count, length};
use crate::view::{FormState, Link};
use crate::world::World;
use crate::world::check::Problem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The `do` value of the form that makes the ticked sets.
pub const FORM: &str = "make";
/// The most layers of one height. House choice: a plan has 60 in all.
const MOST: u32 = 60;

/// Sets for a load.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Load {
    /// The kilns with posts in their racks, each a link; the chosen one is marked.
    pub kilns: Vec<(Link, bool)>,
    /// What was asked, where a kiln is chosen.
    pub asked: Option<LoadAsked>,
    /// The answer; none where no layer is asked for, or what was typed is wrong.
    pub answer: Option<LoadAnswer>,
}

/// What was asked.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct LoadAsked {
    /// The kiln's id.
    pub kiln: String,
    /// For each height in its racks: the field's name, its label and what was typed.
    pub layers: Vec<[String; 3]>,
    /// Whether present sets are kept where they hold.
    pub keep: bool,
    /// Posts to a set: 3 or 4.
    pub size: u8,
}

/// The answer.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LoadAnswer {
    /// "5 sets of the 7 wanted: 4 stand as they are, 1 is new, 2 are missing".
    pub said: String,
    /// One entry for each height.
    pub heights: Vec<Shown>,
    /// Posts that cannot be loaded: code, why.
    pub left_out: Vec<[String; 2]>,
    /// This very address, to come back to.
    pub here: String,
}

/// What a request asks for, with the form's state.
pub(super) fn load(world: &World, request: &Request) -> (Load, FormState) {
    let unit = unit_of(world);
    let mut racks: BTreeMap<KilnId, Vec<Length>> = BTreeMap::new();
    for post in world.posts_in_service() {
        racks.entry(post.kiln).or_default().push(post.nominal);
    }
    let mut kilns: Vec<(KilnId, &str)> =
        racks.keys().filter_map(|id| world.kilns.get(id)).map(|kiln| (kiln.id, kiln.name.as_str())).collect();
    kilns.sort_by_key(|(_, name)| *name);
    let asked_for = request.query("kiln").parse::<KilnId>().ok().filter(|id| racks.contains_key(id));
    // With one kiln there is nothing to choose.
    let chosen = asked_for.or_else(|| kilns.first().filter(|_| kilns.len() == 1).map(|(id, _)| *id));
    let link = |(id, name): &(KilnId, &str)| {
        let link = Link { href: format!("/match?kiln={id}"), text: (*name).to_owned() };
        (link, Some(*id) == chosen)
    };
    let links = kilns.iter().map(link).collect();
    let Some(kiln) = chosen else {
        return (Load { kilns: links, asked: None, answer: None }, FormState::default());
    };
    let mut heights = racks.remove(&kiln).unwrap_or_default();
    heights.sort_unstable();
    heights.dedup();
    let size = if request.query("size") == "4" { SetSize::Four } else { SetSize::Three };
    let keep = request.query("mode") != "fresh";
    let (mut layers, mut wanted, mut problems) = (Vec::new(), Vec::new(), Vec::new());
    for nominal in heights {
        let (name, typed) = (format!("h{}", nominal.0), request.query(&format!("h{}", nominal.0)).trim());
        match typed.parse::<u32>() {
            _ if typed.is_empty() => {}
            Ok(0) => {}
            Ok(n) if n <= MOST => wanted.push((nominal, n as usize)),
            _ => problems.push(Problem::new(
                name.clone(),
                format!("{typed:?} is not a number of layers; give 0 to {MOST}"),
            )),
        }
        layers.push([name, length(nominal, unit), typed.to_owned()]);
    }
    let answer = (problems.is_empty() && !wanted.is_empty()).then(|| {
        let here = here(kiln, &layers, keep, size);
        answer(world, kiln, size, &wanted, !keep, here)
    });
    let action = if problems.is_empty() { "" } else { ASK }.to_owned();
    let values = layers.iter().map(|[name, _, typed]| (name.clone(), vec![typed.clone()])).collect();
    let n_posts = u8::try_from(size.posts()).unwrap_or(3);
    let asked = LoadAsked { kiln: kiln.to_string(), layers, keep, size: n_posts };
    (Load { kilns: links, asked: Some(asked), answer }, FormState { action, values, problems })
}

fn here(kiln: KilnId, layers: &[[String; 3]], keep: bool, size: SetSize) -> String {
    let asked: String = layers
        .iter()
        .filter(|[_, _, typed]| !typed.is_empty())
        .map(|[name, _, typed]| format!("&{name}={typed}"))
        .collect();
    let mode = if keep { "keep" } else { "fresh" };
    format!("/match?kiln={kiln}{asked}&mode={mode}&size={}", size.posts())
}

fn answer(
    world: &World,
    kiln: KilnId,
    size: SetSize,
    wanted: &[(Length, usize)],
    fresh: bool,
    here: String,
) -> LoadAnswer {
    let found = sets_of(world, kiln, size, wanted, fresh);
    let heights = shown(world, &found.heights);
    let n_wanted: usize = wanted.iter().map(|(_, layers)| layers).sum();
    let sets = || found.heights.iter().flat_map(|height| &height.sets);
    let n_kept = sets().filter(|set| set.present.is_some()).count();
    let (n_sets, n_missing) =
        (sets().count(), found.heights.iter().map(crate::planning::HeightSets::missing).sum());
    let mut parts = Vec::new();
    for (n, one, many) in [
        (n_kept, "stands as it is", "stand as they are"),
        (n_sets - n_kept, "is new", "are new"),
        (n_missing, "is missing", "are missing"),
    ] {
        if n > 0 {
            parts.push(count(n as u64, one, many));
        }
    }
    let left_out = found.left_out.iter().map(|(piece, why)| [world.code_of(*piece), why.clone()]);
    LoadAnswer {
        said: format!(
            "{} of the {n_wanted} wanted: {}",
            count(n_sets as u64, "set", "sets"),
            parts.join(", ")
        ),
        heights,
        left_out: left_out.collect(),
        here,
    }
}
