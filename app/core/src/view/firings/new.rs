//! `/firings/new`: a firing, with everything in the kiln's racks ticked unless it is on hold.
use crate::event::values::Piece;
use crate::event::{Body, KilnFired};
use crate::ids::{KilnId, PlanId};
use crate::units::Length;
use crate::view::add::{KilnChoice, Start, kilns, put};
use crate::view::plans::bench::Named;
use crate::view::plans::list::is_open;
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::length;
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::{Hold, Kiln, LoadPlan, Post, Retired, Shelf, World};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct NewFiring {
    /// The kiln that was fired; none where it is still to be chosen.
    pub kiln: Option<KilnChoice>,
    /// The kilns to choose from.
    pub kilns: Vec<KilnChoice>,
    /// The plan it was loaded by, where it was.
    pub plan: Option<Planned>,
    /// The other plans of this kiln that are still to be fired.
    pub plans: Vec<Link>,
    /// What may have been in it: the shelves, then the posts of each nominal height.
    pub groups: Vec<LoadGroup>,
}

/// The plan that a firing was loaded by.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Planned {
    /// Which.
    pub id: PlanId,
    /// Its name.
    pub name: String,
}

/// Pieces that are ticked together.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LoadGroup {
    /// "shelves", "posts of 150 mm".
    pub said: String,
    /// The pieces, by code.
    pub pieces: Vec<Loaded>,
}

/// One piece that may have been in the firing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Loaded {
    /// The piece.
    pub piece: Piece,
    /// Its code, which the form posts.
    pub code: String,
    /// Why it is not ticked: "on hold: wet"; empty where it is.
    pub barred: String,
}

/// The form's values for a firing on record. What has gone on hold since was in it all the same.
fn values_of(firing: &KilnFired, world: &World, groups: &[LoadGroup]) -> Start {
    let mut start = Start::new();
    put(&mut start, "ware", firing.ware.key());
    put(&mut start, "cone", firing.cone.to_string());
    put(&mut start, "date", firing.fired_on.to_string());
    put(&mut start, "note", &firing.note);
    let loaded =
        groups.iter().flat_map(|group| &group.pieces).filter(|one| firing.pieces.contains(&one.piece));
    if loaded.clone().any(|one| !one.barred.is_empty()) {
        put(&mut start, "held", "yes");
    }
    start.insert("in".to_owned(), firing.pieces.iter().map(|piece| world.code_of(*piece)).collect());
    start
}

/// The page.
///
/// # Errors   A kiln that is not on record.
pub fn page(world: &World, request: &Request) -> Result<Parts, String> {
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::KilnFired(firing) => Some(firing),
        _ => None,
    });
    let kiln = match (&corrected, request.query("kiln")) {
        (Some(firing), _) => world.kilns.get(&firing.kiln),
        (None, "") if world.kilns.len() == 1 => world.kilns.values().next(),
        (None, "") => None,
        (None, id) => Some(kiln(world, id)?),
    };
    let plan = plan(world, request, corrected.as_ref(), kiln);
    let in_plan = plan.map_or_else(BTreeSet::new, pieces_of);
    let mut was_in: BTreeSet<Piece> =
        corrected.iter().flat_map(|firing| firing.pieces.iter().copied()).collect();
    was_in.extend(&in_plan);
    let groups = kiln.map_or_else(Vec::new, |kiln| groups(world, kiln.id, &was_in));
    let values = match (&corrected, kiln, plan) {
        (Some(firing), ..) => values_of(firing, world, &groups),
        (None, Some(_), Some(plan)) => start_of_plan(world, request, plan, &in_plan),
        (None, Some(kiln), None) => start(kiln, request, &groups),
        (None, None, _) => Start::new(),
    };
    let title = match (&corrected, kiln) {
        (Some(firing), _) => format!("Correct the firing of {}", firing.fired_on),
        (None, Some(kiln)) => format!("{} was fired", kiln.name),
        (None, None) => "Which kiln was fired?".to_owned(),
    };
    let choice = kiln.map(|kiln| KilnChoice { id: kiln.id, name: kiln.name.clone() });
    let data = PageData::NewFiring(NewFiring {
        kiln: choice,
        kilns: kilns(world),
        plan: plan.map(|plan| Planned { id: plan.id, name: plan.name.clone() }),
        plans: if corrected.is_some() { Vec::new() } else { others(world, kiln, plan) },
        groups,
    });
    let form = FormState { action: "firing".to_owned(), values, problems: Vec::new() };
    let subtitle = "it counts one on every piece that was in it".to_owned();
    Ok(Parts { title, subtitle, tab: Tab::Firings, data, form })
}

/// The plan that is asked for, or that the corrected firing was loaded by.
fn plan<'a>(
    world: &'a World,
    request: &Request,
    corrected: Option<&KilnFired>,
    kiln: Option<&Kiln>,
) -> Option<&'a LoadPlan> {
    let id = match corrected {
        Some(firing) => firing.plan,
        None => request.query("plan").parse::<PlanId>().ok(),
    };
    let plan = world.plans.get(&id?)?;
    kiln.is_some_and(|kiln| kiln.id == plan.kiln).then_some(plan)
}

/// Everything that a plan names.
fn pieces_of(plan: &LoadPlan) -> BTreeSet<Piece> {
    let named = Named::by(&plan.stacks);
    let posts = named.posts.into_iter().map(Piece::Post);
    named.shelves.into_iter().map(Piece::Shelf).chain(posts).collect()
}

fn others(world: &World, kiln: Option<&Kiln>, plan: Option<&LoadPlan>) -> Vec<Link> {
    let Some(kiln) = kiln else { return Vec::new() };
    let open = world.plans.values().filter(|one| one.kiln == kiln.id && is_open(one));
    open.filter(|one| plan.is_none_or(|plan| plan.id != one.id))
        .map(|one| Link {
            href: format!("/firings/new?kiln={}&plan={}", kiln.id, one.id),
            text: format!("Loaded by the plan {}", one.name),
        })
        .collect()
}

/// What the plan says was in it; a piece that went on hold since is ticked all the same and owned up to.
fn start_of_plan(world: &World, request: &Request, plan: &LoadPlan, pieces: &BTreeSet<Piece>) -> Start {
    let mut start = Start::new();
    put(&mut start, "ware", plan.ware.key());
    put(&mut start, "cone", plan.cone.to_string());
    put(&mut start, "date", request.today.to_string());
    start.insert("in".to_owned(), pieces.iter().map(|piece| world.code_of(*piece)).collect());
    start
}

fn kiln<'a>(world: &'a World, text: &str) -> Result<&'a Kiln, String> {
    let known = text.parse().ok().and_then(|id: KilnId| world.kilns.get(&id));
    known.ok_or_else(|| "no kiln is on record under this address; choose one from the firings".to_owned())
}

/// A new firing begins today, at the usual cone, with everything in it that is not barred.
fn start(kiln: &Kiln, request: &Request, groups: &[LoadGroup]) -> Start {
    let mut start = Start::new();
    put(&mut start, "cone", kiln.usual_cone.to_string());
    put(&mut start, "date", request.today.to_string());
    let loaded = groups.iter().flat_map(|group| &group.pieces).filter(|piece| piece.barred.is_empty());
    start.insert("in".to_owned(), loaded.map(|piece| piece.code.clone()).collect());
    start
}

/// The kiln's pieces in service, and those that a firing to be corrected had in it.
fn groups(world: &World, kiln: KilnId, was_in: &BTreeSet<Piece>) -> Vec<LoadGroup> {
    let unit = history::unit_of(world);
    let shown = |piece: Piece, of: KilnId, retired: bool| was_in.contains(&piece) || (of == kiln && !retired);
    let shelves = world.shelves.values();
    let shelves = shelves.filter(|one| shown(Piece::Shelf(one.id), one.kiln, one.retired.is_some()));
    let mut posts: BTreeMap<Length, Vec<Loaded>> = BTreeMap::new();
    for one in world.posts.values() {
        if shown(Piece::Post(one.id), one.kiln, one.retired.is_some()) {
            posts.entry(one.nominal).or_default().push(post(one));
        }
    }
    let shelves = ("shelves".to_owned(), shelves.map(shelf).collect::<Vec<_>>());
    let posts =
        posts.into_iter().map(|(nominal, posts)| (format!("posts of {}", length(nominal, unit)), posts));
    let groups = std::iter::once(shelves).chain(posts).filter(|(_, pieces)| !pieces.is_empty());
    let sorted = groups.map(|(said, mut pieces)| {
        pieces.sort_by(|a, b| a.code.cmp(&b.code));
        LoadGroup { said, pieces }
    });
    sorted.collect()
}

fn shelf(one: &Shelf) -> Loaded {
    let barred = barred(one.hold.as_ref(), one.retired.as_ref());
    Loaded { piece: Piece::Shelf(one.id), code: one.code.to_string(), barred }
}

fn post(one: &Post) -> Loaded {
    let barred = barred(one.hold.as_ref(), one.retired.as_ref());
    Loaded { piece: Piece::Post(one.id), code: one.code.to_string(), barred }
}

fn barred(hold: Option<&Hold>, retired: Option<&Retired>) -> String {
    let note = |text: &str| if text.is_empty() { String::new() } else { format!(" ({text})") };
    match (retired, hold) {
        (Some(gone), _) => format!("retired: {}{}", gone.reason.said(), note(&gone.note)),
        (None, Some(hold)) => format!("on hold: {}{}", hold.reason.said(), note(&hold.note)),
        (None, None) => String::new(),
    }
}
