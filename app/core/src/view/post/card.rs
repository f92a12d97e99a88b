//! `/post/CODE`: one post, how high it is, what is found of it, its set, its history.
use super::find;
use super::outlook::of_post;
use crate::event::values::Piece;
use crate::ids::EventId;
use crate::jobs::{self, OpenJob};
use crate::judge::finding::Finding;
use crate::judge::post::judge_in;
use crate::judge::post_set;
use crate::units::Length;
use crate::view::bench::keep;
use crate::view::chart::{Chart, WearSaid};
use crate::view::history::{lines, unit_of};
use crate::view::photo::{self, Photo};
use crate::view::route::{Parts, Request};
use crate::view::shelf::card::{JobLine, job_line};
use crate::view::text::{self, LengthUnit, length, length_bare};
use crate::view::{FormState, HistoryLine, Link, Mark, PageData, Row, Shape, Tab};
use crate::world::{Post, PostReading, Subject, World};
use serde::{Deserialize, Serialize};

/// The card.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PostCard {
    /// Its code.
    pub code: String,
    /// The gravest finding in a word.
    pub mark: Mark,
    /// Why it was set aside, where it was.
    pub why_aside: String,
    /// Its height without the unit; a dash where it has none.
    pub height: String,
    /// The unit's sign; empty where there is no height.
    pub unit: String,
    /// "0.4 mm short of nominal, 150 mm".
    pub difference: String,
    /// "by caliper on 2026-03-15, standard uncertainty 0.03 mm"; "nominal; never measured".
    pub read: String,
    /// How many firings it has.
    pub firings: u32,
    /// The set it belongs to, with its verdict.
    pub set: Option<Row>,
    /// What is wrong or not known, the gravest first.
    pub findings: Vec<Finding>,
    /// Which checks passed.
    pub passed: Vec<Finding>,
    /// Its readings, newest first.
    pub readings: Vec<ReadingRow>,
    /// The same, drawn.
    pub chart: Option<Chart>,
    /// At what rate it wears, and when that takes it out of its set.
    pub wear: WearSaid,
    /// What is open at the bench.
    pub jobs: Vec<JobLine>,
    /// What is usually done to it now, at most four, its open jobs first.
    pub usual: Vec<Link>,
    /// What else can be done with it, the likeliest first.
    pub actions: Vec<Link>,
    /// Its photos, the newest first.
    pub photos: Vec<Photo>,
    /// Everything that happened to it, newest first.
    pub history: Vec<HistoryLine>,
}

/// One reading.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ReadingRow {
    /// The entry.
    pub event: EventId,
    /// The day.
    pub on: String,
    /// Its firings then.
    pub firings: u32,
    /// Its height.
    pub height: String,
    /// Against nominal: "−0.4 mm".
    pub difference: String,
    /// What it was read with.
    pub by: String,
    /// How far the end was out of square; empty where nobody looked.
    pub square: String,
    /// Whether it still holds; not after a dressing.
    pub holds: bool,
}

/// The card.
///
/// # Errors   What to say where there is no such post.
pub fn page(world: &World, request: &Request, code: &str) -> Result<Parts, String> {
    let post = find(world, code)?;
    let unit = unit_of(world);
    let set = world.set_of(post.id);
    let judged_set = set.map(|set| (set.code.to_string(), post_set::judge(world, set)));
    let judged = judge_in(world, post, judged_set.as_ref().map(|(code, judged)| (code.as_str(), judged)));
    let (passed, findings) = judged.findings.into_iter().partition(|finding| finding.shape == Shape::Plain);
    let (wear, chart) = of_post(world, post);
    let open = jobs::of_post(world, post);
    let (usual, actions) = actions(post, &open, request.query("bench") == "yes");
    let Big { height, unit_sign, difference, read } = big(world, post, unit);
    let data = PostCard {
        code: post.code.to_string(),
        mark: judged.mark,
        why_aside: why_aside(post),
        height,
        unit: unit_sign,
        difference,
        read,
        firings: post.firings(),
        set: judged_set.map(|(code, judged)| Row {
            href: format!("/set/{code}"),
            code,
            said: judged.said,
            more: judged.fix,
            mark: judged.mark,
        }),
        findings,
        passed,
        readings: post.readings.iter().rev().map(|reading| row(post, reading, unit)).collect(),
        chart,
        wear,
        jobs: open.iter().map(job_line).collect(),
        usual,
        actions,
        photos: photo::of(world, Subject::Post(post.id)),
        history: lines(world, Subject::Post(post.id)),
    };
    Ok(Parts {
        title: post.code.to_string(),
        subtitle: what(world, post, unit),
        tab: Tab::Rack,
        data: PageData::PostCard(Box::new(data)),
        form: FormState::default(),
    })
}

/// "150 mm post, cordierite, square, 38 mm wide; big gas, rack B".
fn what(world: &World, post: &Post, unit: LengthUnit) -> String {
    let kiln = world.kilns.get(&post.kiln).map_or("", |kiln| kiln.name.as_str());
    let place = if post.place.is_empty() { String::new() } else { format!(", {}", post.place) };
    format!(
        "{} post, {}, {}, {} wide; {kiln}{place}",
        length(post.nominal, unit),
        post.material.said(),
        post.section.said(),
        length(post.width, unit)
    )
}

fn why_aside(post: &Post) -> String {
    post.retired.as_ref().map_or_else(String::new, |retired| {
        let note = if retired.note.is_empty() { String::new() } else { format!(": {}", retired.note) };
        format!("Set aside on {}, {}{note}", text::day(retired.stamp.at), retired.reason.said())
    })
}

/// The large numeral and what stands beside it.
struct Big {
    height: String,
    unit_sign: String,
    difference: String,
    read: String,
}

fn big(world: &World, post: &Post, unit: LengthUnit) -> Big {
    let Some(reading) = post.height_reading() else {
        let read = match post.last_reading() {
            Some(last) => format!("dressed since it was read as {}", length(last.height, unit)),
            None => "never measured".to_owned(),
        };
        let difference = format!("nominal {}", length(post.nominal, unit));
        return Big { height: "\u{2013}".to_owned(), unit_sign: String::new(), difference, read };
    };
    let u = crate::judge::decision::uncertainty(&world.settings, reading.instrument);
    let off = reading.height - post.nominal;
    let word = if off.0 > 0 { "over" } else { "short of" };
    Big {
        height: length_bare(reading.height, unit),
        unit_sign: unit.sign().to_owned(),
        difference: if off == Length::ZERO {
            format!("just nominal, {}", length(post.nominal, unit))
        } else {
            format!("{} {word} nominal, {}", length(off.abs(), unit), length(post.nominal, unit))
        },
        read: format!(
            "by {} on {}, standard uncertainty {}",
            reading.instrument.said(),
            text::day(reading.stamp.at),
            length(u, unit)
        ),
    }
}

fn row(post: &Post, reading: &PostReading, unit: LengthUnit) -> ReadingRow {
    ReadingRow {
        event: reading.stamp.event,
        on: text::day(reading.stamp.at),
        firings: reading.firings_then,
        height: length(reading.height, unit),
        difference: length(reading.height - post.nominal, unit),
        by: reading.instrument.said().to_owned(),
        square: reading.out_of_square.map_or_else(String::new, |out| length(out, unit)),
        holds: !reading.stale,
    }
}

/// House choice: four large buttons, as on a shelf's card.
const LARGE: usize = 4;

/// What is usually done, its open jobs first, and what else can be; a retired post can only come back.
fn actions(post: &Post, open: &[OpenJob], bench: bool) -> (Vec<Link>, Vec<Link>) {
    let to = |page: &str, text: &str| {
        let href = format!("/post/{}/{page}", post.code);
        Link { href: if bench { keep(&href) } else { href }, text: text.to_owned() }
    };
    if post.retired.is_some() {
        return (vec![to("return", "Back in use"), to("note", "Note")], Vec::new());
    }
    let jobs = open.iter().map(|one| to(one.job.form(), one.job.button()));
    let hold = if post.hold.is_some() { to("release", "Off hold") } else { to("hold", "Hold") };
    let usual = [to("measure", "Measure"), to("dressed", "Dressed"), to("found", "Something wrong")];
    let rest = [hold, to("photo", "Photo"), to("move", "Move"), to("note", "Note"), to("retire", "Retire")];
    let label = Link { href: format!("/labels?on={}", post.code), text: "Label".to_owned() };
    let mut links: Vec<Link> = Vec::new();
    for link in jobs.chain(usual).chain(rest).chain([label]) {
        if links.iter().all(|known| known.href != link.href) {
            links.push(link);
        }
    }
    let others = links.split_off(links.len().min(LARGE));
    (links, others)
}

/// A post as one line of a list.
#[must_use]
pub fn list_row(world: &World, post: &Post, set: Option<(&str, &post_set::SetJudgement)>) -> Row {
    let unit = unit_of(world);
    let judged = judge_in(world, post, set);
    let said = match post.height_reading() {
        Some(reading) => format!("{} by {}", length(reading.height, unit), reading.instrument.said()),
        None => format!("nominal {}, not measured", length(post.nominal, unit)),
    };
    let worst = judged.findings.first().filter(|finding| finding.shape > Shape::Unknown);
    let more = match (worst, set) {
        (Some(finding), _) => finding.said.clone(),
        (None, Some((code, _))) => format!("in set {code}"),
        (None, None) => String::new(),
    };
    let code = world.code_of(Piece::Post(post.id));
    Row { href: format!("/post/{code}"), code, said, more, mark: judged.mark }
}
