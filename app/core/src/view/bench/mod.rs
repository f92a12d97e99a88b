//! `/bench`: what is to be done at the bench, by job; `/bench/batch`: several pieces at once; `/bench/undo`: the
//! last entries, each taken back with one tap.
//!
//! Bench mode is a word in the address, `bench=yes`: a card opened with it leads to forms that keep it, and what
//! is recorded there leads on to the next piece. What this does not do: say what is open; [`crate::jobs`] does.
pub mod batch;
pub mod undo;

use super::route::{Parts, Request};
use super::text::{count, sentence};
use super::{FormState, Link, Mark, PageData, Row, Shape, Tab, find, firings};
use crate::jobs::{self, Job, OpenJob};
use crate::world::{Subject, World};
use serde::{Deserialize, Serialize};

/// Where an entry made in bench mode leads: ready for the next label, or for the next code on its keypad.
pub const NEXT: &str = "/scan?bench=yes";

/// One of the bench's pages.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BenchPage {
    /// What is open.
    List(List),
    /// One entry for several pieces.
    Batch(batch::Batch),
    /// The last entries.
    Undo(undo::Undo),
}

/// What is open, by job.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct List {
    /// "Dry out 1, grind 4, wash 6." or that nothing is open.
    pub said: String,
    /// The last firings that nobody looked over yet.
    pub after: Vec<Link>,
    /// Every job with how many pieces want it; the one shown alone is marked.
    pub filters: Vec<Filter>,
    /// The jobs, in the order of the bench.
    pub groups: Vec<Group>,
    /// Whether what is listed makes dust.
    pub is_dusty: bool,
}

/// One job that the list can be narrowed to.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Filter {
    /// Where it leads.
    pub href: String,
    /// "grind 4".
    pub text: String,
    /// Whether it is the one shown.
    pub is_here: bool,
}

/// One job with its pieces.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Group {
    /// "Grind: 4".
    pub heading: String,
    /// "Closed when it is logged ground."
    pub closed: String,
    /// One line a piece, by code.
    pub rows: Vec<Row>,
    /// Where all of them are logged at once, or measured in a run.
    pub together: Option<Link>,
}

/// The address with bench mode kept in it.
#[must_use]
pub fn keep(href: &str) -> String {
    let join = if href.contains('?') { '&' } else { '?' };
    format!("{href}{join}bench=yes")
}

/// The page at `/bench` and below.
///
/// # Errors   No such page, or no such piece or firing in the query.
pub fn page(world: &World, request: &Request, below: &[&str]) -> Result<Parts, String> {
    match below {
        [] => list(world, request),
        ["batch"] => batch::page(world, request, ""),
        ["batch", action] => batch::page(world, request, action),
        ["undo"] => Ok(undo::page(world, request)),
        _ => Err(format!("no page is called {}", request.path)),
    }
}

fn list(world: &World, request: &Request) -> Result<Parts, String> {
    let only = match request.query("job") {
        "" => None,
        key => Some(Job::from_key(key).ok_or_else(|| format!("no bench job is called {key}"))?),
    };
    let open = jobs::all(world);
    let filters = filters(&open, only);
    let counts: Vec<&str> = filters.iter().map(|filter| filter.text.as_str()).collect();
    let said = if open.is_empty() {
        "Nothing on record is open at the bench. Look at the pieces all the same.".to_owned()
    } else {
        format!("{}.", sentence(&counts.join(", ")))
    };
    let shown = |job: &&Job| only.is_none_or(|only| only == **job);
    let groups: Vec<Group> =
        Job::ALL.iter().filter(shown).filter_map(|job| group(world, *job, &open)).collect();
    let is_dusty = open.iter().any(|one| one.job.is_dusty() && shown(&&one.job));
    let data = List { said, after: to_look_over(world), filters, groups, is_dusty };
    let n_pieces = open.iter().map(|one| one.on).collect::<std::collections::BTreeSet<_>>().len();
    Ok(Parts {
        title: only.map_or_else(|| "At the bench".to_owned(), |job| sentence(job.said())),
        subtitle: format!("jobs open on {}", count(n_pieces as u64, "piece", "pieces")),
        tab: Tab::NextLoad,
        data: PageData::Bench(BenchPage::List(data)),
        form: FormState::default(),
    })
}

fn to_look_over(world: &World) -> Vec<Link> {
    let link = |firing: &crate::world::Firing| {
        let kiln = world.kilns.get(&firing.kiln).map_or("", |kiln| kiln.name.as_str());
        Link {
            href: format!("/firing/{}/after", firing.id),
            text: format!("Look over {kiln}, {}", firing.fired_on),
        }
    };
    firings::after::to_look_over(world).into_iter().map(link).collect()
}

fn filters(open: &[OpenJob], only: Option<Job>) -> Vec<Filter> {
    let filter = |job: &Job| {
        let n = open.iter().filter(|one| one.job == *job).count();
        let is_here = only == Some(*job);
        // A tap on the one that is shown alone shows them all again.
        let href = if is_here { "/bench".to_owned() } else { format!("/bench?job={}", job.key()) };
        (n > 0).then(|| Filter { href, text: format!("{} {n}", job.said()), is_here })
    };
    Job::ALL.iter().filter_map(filter).collect()
}

fn group(world: &World, job: Job, open: &[OpenJob]) -> Option<Group> {
    let rows: Vec<Row> = open.iter().filter(|one| one.job == job).filter_map(|one| row(world, one)).collect();
    (!rows.is_empty()).then(|| Group {
        heading: format!("{}: {}", sentence(job.said()), rows.len()),
        closed: format!("Closed when {}.", job.closed_when()),
        together: together(job),
        rows,
    })
}

fn row(world: &World, open: &OpenJob) -> Option<Row> {
    let (first, more) = open.reasons.split_first()?;
    let word = match open.shape {
        Shape::Plain | Shape::Gone => "",
        Shape::Unknown => "not known",
        Shape::Look => "look",
        Shape::Stop => "stop",
    };
    let card = find::card(world, open.on)?;
    let href = if matches!(open.on, Subject::Set(_)) { card } else { keep(&card) };
    Some(Row {
        href,
        code: jobs::code(world, open.on),
        said: sentence(first),
        more: more.join("; "),
        mark: Mark::new(open.shape, word),
    })
}

/// Several at once, where the job can be logged so.
fn together(job: Job) -> Option<Link> {
    let batch = |action: &str, text: &str| {
        Some(Link { href: format!("/bench/batch/{action}?job={}", job.key()), text: text.to_owned() })
    };
    match job {
        Job::Chisel | Job::Grind => batch("ground", "Log these as ground"),
        Job::Strip | Job::Wash => batch("washed", "Log these as washed"),
        Job::Flip => batch("flipped", "Log these as turned over"),
        Job::Tap => batch("tapped", "Log these as tapped"),
        Job::Dress => batch("dressed", "Log these as dressed"),
        Job::Measure => {
            Some(Link { href: "/posts/measure".to_owned(), text: "Measure posts in a run".to_owned() })
        }
        Job::DryOut | Job::Draw | Job::Underside | Job::Read | Job::Release | Job::Match => None,
        Job::Level | Job::CutDown => None,
    }
}

#[cfg(test)]
mod tests;
