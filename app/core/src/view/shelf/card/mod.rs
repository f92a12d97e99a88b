//! A shelf's card: how flat, what for, why, what next, and everything that ever happened to it.
//!
//! What this does not do: judge; [`crate::judge::shelf`] does, and its findings are shown as they are.
mod actions;
mod lines;

use super::drawing::{FaceMap, SideView, face_map, side_view};
use crate::event::values::{Face, Mask, Use};
use crate::ids::ShelfId;
use crate::jobs::{self, OpenJob};
use crate::judge::Finding;
use crate::judge::shelf::{self, FlatnessView, ShelfJudgement, care, fitness, material};
use crate::view::chart::{Chart, WearSaid};
use crate::view::history::{self, unit_of};
use crate::view::photo::{self, Photo};
use crate::view::remember::Bench;
use crate::view::text::{self, LengthUnit, length, length_bare};
use crate::view::{HistoryLine, Link, Mark, Shape};
use crate::world::{Shelf, Subject, World};
use actions::{actions, ground_fine, ground_first, usual};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// The card.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Card {
    /// The shelf.
    pub shelf: ShelfId,
    /// Its card's address.
    pub path: String,
    /// Why it is not in use, or not now: stands first.
    pub aside: Option<Aside>,
    /// Its mark.
    pub mark: Mark,
    /// What it is fit for, in one line.
    pub fit: String,
    /// Flatness and firings as large numerals.
    pub numerals: Vec<Numeral>,
    /// What was found, the worst first.
    pub findings: Vec<Finding>,
    /// Each use with its limits and what the reading says.
    pub verdicts: Vec<VerdictLine>,
    /// From the side.
    pub side: SideView,
    /// From above.
    pub map: FaceMap,
    /// The last readings, the newest first.
    pub readings: Vec<ReadingLine>,
    /// At what rate it warps, and when that takes it past its use's limit.
    pub wear: WearSaid,
    /// Flatness over firings.
    pub wear_chart: Option<Chart>,
    /// How far it bends on its own posts, in a line; why that is not known where it is not.
    pub bends: String,
    /// Its cracks.
    pub cracks: Vec<CrackLine>,
    /// Its washes, one line each.
    pub washes: Vec<String>,
    /// What is known of it otherwise.
    pub facts: Vec<[String; 2]>,
    /// What one tap on "ground, fine" records; none for a retired shelf.
    pub ground_fine: Option<GroundFine>,
    /// What is open at the bench.
    pub jobs: Vec<JobLine>,
    /// What is usually done to it now, at most four, its open jobs first.
    pub usual: Vec<Usual>,
    /// What else can be logged, the likeliest first.
    pub actions: Vec<Link>,
    /// Its photos, the newest first.
    pub photos: Vec<Photo>,
    /// Everything that happened, the newest first.
    pub history: Vec<HistoryLine>,
}

/// Why a shelf is set aside, for now or for good.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Aside {
    /// "Set aside for good" or "On hold".
    pub heading: String,
    /// When, why, and the note.
    pub said: String,
    /// What ends it; empty for a retired shelf.
    pub fix: String,
    /// On what that rests.
    pub rests_on: String,
}

/// A large numeral with what stands under it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Numeral {
    /// "1.9".
    pub value: String,
    /// "mm".
    pub unit: String,
    /// "flatness, dish on face A, feelers, 12 firings ago".
    pub below: String,
}

/// One use with its limits.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct VerdictLine {
    /// The use.
    pub fit_for: String,
    /// "under 0.84 mm".
    pub good: String,
    /// "1.68 mm".
    pub limit: String,
    /// "watch".
    pub grade: String,
    /// Where the limits come from.
    pub source: String,
}

/// One reading in the comparison.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ReadingLine {
    /// "2026-03-01".
    pub when: String,
    /// "61 firings, face A, feelers".
    pub how: String,
    /// "1.9 mm".
    pub flatness: String,
    /// "dish 1.7 mm".
    pub bow: String,
    /// "twist 0.2 mm".
    pub twist: String,
    /// "0.4 mm more dish", "ground since", "over wash".
    pub remark: String,
}

/// One crack.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct CrackLine {
    /// "52 mm long, 17 % of the way across, rings".
    pub said: String,
    /// "28 mm from a post".
    pub more: String,
}

/// What one tap on "ground, fine" records.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct GroundFine {
    /// The face.
    pub face: Face,
    /// The grade by eye that goes with it: what it was fit for before.
    pub fit_for: Option<Use>,
    /// Whether a hold ends with it.
    pub release: bool,
    /// What it records, in words.
    pub said: String,
    /// The mask that goes with it: that of the last grinding, where that was today.
    pub mask: Mask,
    /// The minutes, likewise.
    pub minutes: Option<u32>,
}

/// One job that is open on a piece.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct JobLine {
    /// "Chisel and grind".
    pub said: String,
    /// "drip or run seen (by the bag wall)".
    pub why: String,
    /// "closed when it is logged ground".
    pub closed: String,
}

/// One large action.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Usual {
    /// One tap: ground dry, fine.
    GroundFine,
    /// A form.
    Form(Link),
}

/// Whether a form stands among the large actions, under whichever name.
fn is_among(usual: &[Usual], link: &Link) -> bool {
    usual.iter().any(|one| matches!(one, Usual::Form(large) if large.href == link.href))
}

/// An open job as a line.
#[must_use]
pub fn job_line(open: &OpenJob) -> JobLine {
    let closed = format!("closed when {}", open.job.closed_when());
    JobLine { said: text::sentence(open.job.said()), why: open.reasons.join("; "), closed }
}

/// Builds the card.
#[must_use]
pub fn card(world: &World, shelf: &Shelf, today: Date) -> Card {
    let unit = unit_of(world);
    let ShelfJudgement { fit_for, flat_for, mark, flatness, mut findings } = shelf::judge(world, shelf);
    let path = super::path(world, shelf);
    let aside = aside(shelf, &mut findings);
    if let Some(kiln) = world.kilns.get(&shelf.kiln).filter(|_| shelf.retired.is_none()) {
        findings.extend(care::cordierite_at(world, shelf, kiln.usual_cone));
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.shape));
    }
    let fresh = flatness.as_ref().filter(|view| !view.stale);
    let like = Bench::of_grinding(world).filter(|like| like.on == today);
    let ground_fine = (shelf.retired.is_none()).then(|| ground_fine(shelf, flat_for, like));
    let open = jobs::of_shelf(world, shelf);
    let (wear, wear_chart) = super::wear::of_shelf(world, shelf, flatness.as_ref(), flat_for);
    let usual = usual(shelf, &path, ground_first(shelf, flat_for), &open);
    let verdict_lines = fresh.map_or_else(Vec::new, |view| verdicts(world, shelf, view, unit));
    Card {
        shelf: shelf.id,
        aside,
        fit: fit_said(shelf, fit_for),
        mark,
        numerals: numerals(world, shelf, flatness.as_ref(), unit),
        findings,
        verdicts: verdict_lines,
        side: side_view(shelf, flatness.as_ref(), unit),
        map: face_map(world, shelf, flatness.as_ref(), unit),
        readings: lines::readings(world, shelf, unit),
        wear,
        wear_chart,
        bends: super::bend::on_the_card(world, shelf),
        cracks: lines::cracks(world, shelf, unit),
        washes: lines::washes(shelf),
        facts: lines::facts(world, shelf, unit),
        ground_fine,
        jobs: open.iter().map(job_line).collect(),
        actions: actions(shelf, &path).into_iter().filter(|link| !is_among(&usual, link)).collect(),
        usual,
        photos: photo::of(world, Subject::Shelf(shelf.id)),
        history: history::lines(world, Subject::Shelf(shelf.id)),
        path,
    }
}

/// Why it is set aside; its finding is then not repeated in the list.
fn aside(shelf: &Shelf, findings: &mut Vec<Finding>) -> Option<Aside> {
    let (heading, shape) = match (&shelf.retired, &shelf.hold) {
        (Some(_), _) => ("Set aside for good", Shape::Gone),
        (None, Some(_)) => ("On hold", Shape::Stop),
        (None, None) => return None,
    };
    let first = |finding: &Finding| {
        finding.shape == shape && (shape == Shape::Gone || finding.said.starts_with("on hold"))
    };
    let Finding { said, fix, rests_on, .. } = findings.remove(findings.iter().position(first)?);
    Some(Aside { heading: heading.to_owned(), said, fix, rests_on })
}

fn fit_said(shelf: &Shelf, fit_for: Option<Use>) -> String {
    match fit_for {
        _ if shelf.retired.is_some() => "retired".to_owned(),
        Some(Use::NoUse) => "fit for nothing as it is".to_owned(),
        Some(fit_for) => format!("fit for {}", fit_for.said()),
        None => "not known what it is fit for".to_owned(),
    }
}

fn numerals(world: &World, shelf: &Shelf, view: Option<&FlatnessView>, unit: LengthUnit) -> Vec<Numeral> {
    let flatness = view.map(|view| {
        let ago = shelf.firings().saturating_sub(view.firings_then);
        let when = match ago {
            0 => "no firing since".to_owned(),
            ago => format!("{} ago", text::count(u64::from(ago), "firing", "firings")),
        };
        let what = match view.bend() {
            Some(bend) => format!("{bend} on {}", view.face.said()),
            None => view.face.said().to_owned(),
        };
        let state = if view.stale { "; ground since, read it again" } else { "" };
        let bound = match (view.only_at_most(), view.only_at_least()) {
            (true, _) => "at most, both shelves together",
            (_, true) => "at least, on the lines read",
            _ => "flatness",
        };
        Numeral {
            value: length_bare(view.flatness, unit),
            unit: unit.sign().to_owned(),
            below: format!("{bound}, {what}, {}, {when}{state}", view.instrument.said()),
        }
    });
    let cone = world.kilns.get(&shelf.kiln).map(|kiln| kiln.usual_cone);
    let below = match cone.and_then(|cone| material::life_band(shelf.material, cone)) {
        Some(band) => {
            let words = [band.beyond, band.holds_for]
                .map(|word| if word.is_empty() { String::new() } else { format!(" {word}") });
            let [beyond, holds_for] = words;
            format!(
                "firings, of {} to {}{beyond}{holds_for} ({})",
                band.low,
                band.high,
                material::LIFE_SOURCE
            )
        }
        None => "firings; how many this material lasts is not known here".to_owned(),
    };
    let fired = Numeral { value: shelf.firings().to_string(), unit: String::new(), below };
    flatness.into_iter().chain([fired]).collect()
}

fn verdicts(world: &World, shelf: &Shelf, view: &FlatnessView, unit: LengthUnit) -> Vec<VerdictLine> {
    let line = |verdict: &fitness::UseVerdict| {
        let said = |key| crate::judge::limit_said(&world.settings, key, unit);
        let source =
            fitness::keys(verdict.fit_for).map(|(good, limit)| format!("{}; {}", said(good), said(limit)));
        VerdictLine {
            fit_for: verdict.fit_for.said().to_owned(),
            good: length(verdict.good, unit),
            limit: length(verdict.limit, unit),
            grade: verdict.grade.said().to_owned(),
            source: source.unwrap_or_default(),
        }
    };
    shelf::verdicts(world, shelf, view).iter().map(line).collect()
}
