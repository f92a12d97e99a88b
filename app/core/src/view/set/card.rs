//! `/set/CODE`: whether a set goes together, how the shelf lies on it, what has drifted.
use super::choose::Stand;
use super::outlook::{SetOutlook, of_set};
use super::{comb_of, corner_said, find, plan_of, tilt_said};
use crate::judge::finding::Finding;
use crate::judge::post_set::{self, Drift, Limits, SetJudgement, SetPost};
use crate::units::Length;
use crate::view::comb::Comb;
use crate::view::history::{lines, unit_of};
use crate::view::plan::Plan;
use crate::view::route::{Parts, Request};
use crate::view::text::{self, LengthUnit, length, length_bare};
use crate::view::{FormState, HistoryLine, Link, Mark, PageData, Shape, Tab};
use crate::world::{PostSet, Subject, World};
use serde::{Deserialize, Serialize};

/// The card.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetCard {
    /// Its code.
    pub code: String,
    /// The mark.
    pub mark: Mark,
    /// When and why it was taken apart; empty where it was not.
    pub parted: String,
    /// What is said of it, by heights, place and posts.
    pub said: Verdicted,
    /// The warning that it has drifted.
    pub drift: Option<DriftTable>,
    /// When its posts wear out of it.
    pub outlook: Option<SetOutlook>,
    /// Shelf and inset, to try others.
    pub stand: Stand,
    /// Whether shelf and inset are other than those it was made for.
    pub tried: bool,
    /// What can be done, the likeliest first.
    pub actions: Vec<Link>,
    /// What happened to it, newest first.
    pub history: Vec<HistoryLine>,
}

/// What the card and the page of a new set both show.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Verdicted {
    /// Its verdict's mark.
    pub mark: Mark,
    /// The verdict in one line.
    pub said: String,
    /// What mends it.
    pub fix: String,
    /// The limit and the guard band.
    pub rests_on: String,
    /// Spread, or rocking gap: number, unit, what it is.
    pub numerals: Vec<(String, String, String)>,
    /// How the shelf lies.
    pub tilt: String,
    /// What tips a free corner.
    pub corner: String,
    /// Everything else that was found, the gravest first.
    pub findings: Vec<Finding>,
    /// The readings.
    pub readings: Vec<SetReading>,
    /// The comb.
    pub comb: Option<Comb>,
    /// The plan.
    pub plan: Option<Plan>,
}

/// One post's reading in the set's table.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetReading {
    /// The post.
    pub code: String,
    /// Where it stands: "front left"; empty where no shelf is chosen.
    pub place: String,
    /// Its height, or "not measured".
    pub height: String,
    /// What it was read with.
    pub by: String,
    /// The day.
    pub on: String,
}

/// The readings that show a drift.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct DriftTable {
    /// One line: "drifted past 1 mm: 0.2 mm apart on 2026-03-15, 1.4 mm apart now".
    pub said: String,
    /// The limit and where it comes from.
    pub rests_on: String,
    /// Per post: code, height and day before, height and day now, firings between, change.
    pub rows: Vec<[String; 7]>,
}

/// The card.
///
/// # Errors   What to say where there is no such set.
pub fn page(world: &World, request: &Request, code: &str) -> Result<Parts, String> {
    let set = find(world, code)?;
    let unit = unit_of(world);
    let stand = Stand::of(world, request, set.shelf, set.inset);
    let chosen = stand.chosen().cloned();
    let judged = post_set::judge_on(world, set, chosen.as_ref().map(|shelf| shelf.shelf), stand.inset);
    let limits = Limits::of(&world.settings);
    let tried = chosen.as_ref().map(|shelf| shelf.shelf) != set.shelf || stand.inset != set.inset;
    let outline = chosen.as_ref().map(|shelf| &shelf.outline);
    let data = SetCard {
        code: set.code.to_string(),
        mark: judged.mark.clone(),
        parted: set.parted.as_ref().map_or_else(String::new, |(stamp, reason)| {
            format!("Taken apart on {}: {reason}", text::day(stamp.at))
        }),
        said: verdicted(&limits, &judged, outline, stand.inset, nominal(world, set)),
        drift: judged.drift.as_ref().map(|drift| drift_table(drift, unit)),
        outlook: of_set(world, set),
        stand,
        tried,
        actions: actions(set),
        history: lines(world, Subject::Set(set.id)),
    };
    Ok(Parts {
        title: set.code.to_string(),
        subtitle: what(world, set, unit),
        tab: Tab::Rack,
        data: PageData::SetCard(Box::new(data)),
        form: FormState::default(),
    })
}

fn nominal(world: &World, set: &PostSet) -> Length {
    set.posts.first().and_then(|id| world.posts.get(id)).map_or(Length::ZERO, |post| post.nominal)
}

/// "set of three 150 mm posts for F01".
fn what(world: &World, set: &PostSet, unit: LengthUnit) -> String {
    let n = if set.posts.len() == 4 { "four" } else { "three" };
    let under = set.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| format!(" for {}", shelf.code));
    format!("set of {n} {} posts{}", length(nominal(world, set), unit), under.unwrap_or_default())
}

/// A judgement as the card and the page of a new set show it. Runs in the browser too.
#[must_use]
pub fn verdicted(
    limits: &Limits,
    judged: &SetJudgement,
    outline: Option<&crate::outline::Outline>,
    inset: Length,
    nominal: Length,
) -> Verdicted {
    let unit = limits.unit;
    let numeral = |value: Option<Length>, what: &str| {
        value.map(|value| (length_bare(value, unit), unit.sign().to_owned(), what.to_owned()))
    };
    let numerals =
        [numeral(judged.gap, "rocking gap"), numeral(judged.spread, "spread, highest less lowest")];
    let places =
        outline.map_or_else(Vec::new, |outline| crate::view::plan::where_said(outline, &judged.spots));
    let readings = judged.posts.iter().enumerate().map(|(at, post)| reading(post, places.get(at), limits));
    let own = |finding: &&Finding| finding.said != judged.said;
    let drifted = |finding: &&Finding| judged.drift.as_ref().is_none_or(|drift| drift.said != finding.said);
    Verdicted {
        mark: judged.verdict.mark(),
        said: judged.said.clone(),
        fix: judged.fix.clone(),
        rests_on: judged.rests_on.clone(),
        numerals: numerals.into_iter().flatten().collect(),
        tilt: tilt_said(judged),
        corner: corner_said(judged),
        findings: judged.findings.iter().filter(own).filter(drifted).cloned().collect(),
        readings: readings.collect(),
        comb: comb_of(judged, nominal, limits.accepted, unit),
        plan: outline
            .filter(|_| judged.spots.len() == judged.posts.len())
            .map(|outline| plan_of(judged, outline, inset, unit)),
    }
}

fn reading(post: &SetPost, place: Option<&String>, limits: &Limits) -> SetReading {
    let height = match post.height {
        Some(height) => length(height, limits.unit),
        None if post.dressed => "dressed since".to_owned(),
        None => "not measured".to_owned(),
    };
    SetReading {
        code: post.code.clone(),
        place: place.cloned().unwrap_or_default(),
        height,
        by: post.instrument.map_or("", |instrument| instrument.said()).to_owned(),
        on: post.on.clone(),
    }
}

fn drift_table(drift: &Drift, unit: LengthUnit) -> DriftTable {
    let rows = drift.readings.iter().map(|reading| {
        let dressed = if reading.dressed { " (dressed between)" } else { "" };
        [
            reading.code.clone(),
            length(reading.before, unit),
            reading.before_on.clone(),
            length(reading.now, unit),
            reading.now_on.clone(),
            text::count(u64::from(reading.firings), "firing", "firings"),
            format!("{}{dressed}", length(reading.now - reading.before, unit)),
        ]
    });
    DriftTable { said: drift.short.clone(), rests_on: drift.rests_on.clone(), rows: rows.collect() }
}

fn actions(set: &PostSet) -> Vec<Link> {
    if set.parted.is_some() {
        return Vec::new();
    }
    let link = |href: String, text: &str| Link { href, text: text.to_owned() };
    let n = if set.posts.len() == 4 { "Measure the four posts" } else { "Measure the three posts" };
    vec![
        link(format!("/posts/measure?set={}", set.code), n),
        link(format!("/set/{}/part", set.code), "Take apart"),
        link(format!("/labels?on={}", set.code), "Label"),
    ]
}

/// The shape of a set's mark, for lists that put the gravest first.
#[must_use]
pub fn gravity(mark: &Mark) -> std::cmp::Reverse<Shape> {
    std::cmp::Reverse(mark.shape)
}
