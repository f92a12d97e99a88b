//! What the page says of one case: the posts as they stand, beside the places where three bend it least.
//!
//! What this does not do: read the world. It runs in the browser too, at every change of a field.
use super::draw::{self, BendPlan, BendSide};
use super::{Asked, Bend, Case, mass};
use crate::geometry::plate::PlateError;
use crate::judge::post_set::tilt;
use crate::judge::shelf::bending::{Against, Bent, Slab, bend, held_against};
use crate::outline::Spot;
use crate::units::Length;
use crate::view::text::{self, LengthUnit, length, length_bare};
use crate::view::{Mark, Shape};
use serde::{Deserialize, Serialize};

/// The case worked out.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Shown {
    /// What is wrong with the load that was typed; empty where nothing is.
    pub load_problem: String,
    /// What is wrong with the inset.
    pub inset_problem: String,
    /// Why the posts cannot carry it; empty where they do.
    pub refused: String,
    /// The posts at the inset that was asked for.
    pub now: Option<Layout>,
    /// Three posts at their best places.
    pub best: Option<Layout>,
    /// The one beside the other, in a sentence.
    pub compared: String,
}

/// One way for posts to stand.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Layout {
    /// "Three posts 40 mm in, 9 kg of ware".
    pub title: String,
    /// What the table says.
    pub mark: Mark,
    /// The same in a line.
    pub verdict: String,
    /// Large numbers: value, unit, what it is.
    pub numerals: Vec<[String; 3]>,
    /// From above.
    pub plan: BendPlan,
    /// From the side.
    pub side: BendSide,
    /// The rest: what it is, its value.
    pub facts: Vec<[String; 2]>,
    /// What makes the figures hold only in part; empty where nothing does.
    pub caution: String,
}

impl Bend {
    /// Works out what was asked for.
    #[must_use]
    pub fn shown(&self, asked: &Asked, unit: LengthUnit) -> Shown {
        let Some(slab) = &self.slab else { return Shown::default() };
        let case = match asked.read(slab, unit) {
            Ok(case) => case,
            Err([load_problem, inset_problem]) => {
                return Shown { load_problem, inset_problem, ..Shown::default() };
            }
        };
        let posts = slab.outline.post_spots(case.n_posts, case.inset);
        let number = if case.n_posts == 4 { "Four" } else { "Three" };
        let title = format!("{number} posts {} in, {} of ware", length(case.inset, unit), mass(case.load));
        let now = match bend(slab, case.load, &posts) {
            Ok(bent) => bent,
            Err(cause) => return Shown { refused: refused(cause), ..Shown::default() },
        };
        let best = self.best.as_ref().and_then(|posts| Some((posts, bend(slab, case.load, posts).ok()?)));
        let compared = best.as_ref().map_or_else(String::new, |(places, best)| {
            compared(slab, unit, (&posts, &now), (&places[..], best))
        });
        // Both drawn to one exaggeration, so that the eye can compare them.
        let times = draw::exaggeration(slab, &now);
        let best = best.map(|(posts, bent)| {
            let title = format!("Three posts where they bend it least, {} of ware", mass(case.load));
            layout(slab, (posts, &bent), title, times, unit)
        });
        let now = layout(slab, (&posts, &now), title, times, unit);
        Shown { now: Some(now), best, compared, ..Shown::default() }
    }
}

fn refused(cause: PlateError) -> String {
    text::sentence(&format!("{cause}."))
}

/// For the card: how far, under what, and what the table says.
pub(super) fn one_line(slab: &Slab, case: Case, unit: LengthUnit) -> String {
    let posts = slab.outline.post_spots(case.n_posts, case.inset);
    match bend(slab, case.load, &posts) {
        Err(cause) => refused(cause),
        Ok(bent) => {
            let number = if case.n_posts == 4 { "four" } else { "three" };
            let (mark, verdict) = verdict(slab, bent.stress_mpa.value);
            let bends = small(Length::from_mm(bent.answer.deflection_mm.value), unit);
            format!(
                "Bends {bends} under {} of ware on {number} posts {} in. Stress {}, {verdict}.",
                mass(case.load),
                length(case.inset, unit),
                mark.word
            )
        }
    }
}

/// A small length: "under 0.01 mm" where nothing would be left of it.
pub(super) fn small(value: Length, unit: LengthUnit) -> String {
    let bare = length_bare(value, unit);
    if bare == "0" && value.0 > 0 {
        let least = if unit == LengthUnit::Mm { "0.01" } else { "0.001" };
        return format!("under {least} {}", unit.sign());
    }
    format!("{bare} {}", unit.sign())
}

/// The mark, and what follows its word: "which is unverified: 0.31 MPa of 1.25 MPa ...".
fn verdict(slab: &Slab, mpa: f64) -> (Mark, String) {
    let (stress, allowed) = (figures(mpa), figures(slab.allowed_mpa()));
    let strength = figures(slab.strength_mpa());
    let share = text::percent(slab.allowed_mpa() / slab.strength_mpa().max(f64::MIN_POSITIVE));
    let part = format!(
        "which is unverified: {stress} MPa against {allowed} MPa, {share} of a strength of {strength} MPa at heat"
    );
    let mark = match held_against(slab, mpa) {
        Against::Within => Mark::new(Shape::Plain, "within the table\u{2019}s figure"),
        Against::OverShare => Mark::new(Shape::Look, "over the table\u{2019}s figure"),
        Against::OverStrength => Mark::new(Shape::Stop, "over even the table\u{2019}s strength"),
    };
    (mark, part)
}

/// Two significant figures and more: "0.31", "12.4", "160".
fn figures(value: f64) -> String {
    let places = if value < 10.0 { 2 } else { usize::from(value < 100.0) };
    let text = text::fixed(value, places);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn layout(
    slab: &Slab,
    (posts, bent): (&[Spot], &Bent),
    title: String,
    times: u32,
    unit: LengthUnit,
) -> Layout {
    let (mark, verdict) = verdict(slab, bent.stress_mpa.value);
    let deflection = &bent.answer.deflection_mm;
    let (value, sign) = match small(Length::from_mm(deflection.value), unit).rsplit_once(' ') {
        Some((value, sign)) => (value.to_owned(), sign.to_owned()),
        None => (String::new(), String::new()),
    };
    let face = if bent.sagging { "pulls at the lower face" } else { "pulls at the upper face, over a post" };
    let numerals = vec![
        [value, sign, format!("bends down at most, {}", draw::where_is(slab, deflection))],
        [
            figures(bent.stress_mpa.value),
            "MPa".to_owned(),
            format!("greatest stress: {face}, {}", draw::where_is(slab, &bent.stress_mpa)),
        ],
    ];
    let mut facts = vec![
        ["Highest to lowest place".to_owned(), small(bent.peak_to_valley(), unit)],
        [
            "Down in the middle".to_owned(),
            small(Length::from_mm(bent.answer.centre_deflection_mm.max(0.0)), unit),
        ],
        ["The posts carry".to_owned(), carried(slab, posts, bent)],
        ["The posts stand".to_owned(), places(slab, posts, unit)],
    ];
    facts.extend(tips_at(slab, posts).map(|share| {
        ["A free corner tips it empty at".to_owned(), format!("{} of its own mass", text::percent(share))]
    }));
    Layout {
        title,
        mark,
        verdict,
        numerals,
        plan: draw::plan(slab, posts, bent, unit),
        side: draw::side(slab, posts, bent, times),
        facts,
        caution: caution(posts, bent),
    }
}

fn carried(slab: &Slab, posts: &[Spot], bent: &Bent) -> String {
    let words = crate::view::plan::where_said(&slab.outline, posts);
    let one = |(place, kg): (&String, f64)| format!("{place} {} kg", text::fixed(kg, 1));
    words.iter().zip(bent.carried_kg()).map(one).collect::<Vec<_>>().join(", ")
}

/// Where posts stand, from the nearer edges: "150 mm from the left, 60 mm from the front".
fn places(slab: &Slab, posts: &[Spot], unit: LengthUnit) -> String {
    let (long, wide) = slab.outline.bounds();
    let nearer = |at: Length, whole: Length, words: [&str; 3]| {
        let far = whole - at;
        match at.cmp(&far) {
            std::cmp::Ordering::Less => format!("{} from the {}", length(at, unit), words[0]),
            std::cmp::Ordering::Equal => words[1].to_owned(),
            std::cmp::Ordering::Greater => format!("{} from the {}", length(far, unit), words[2]),
        }
    };
    let one = |spot: &Spot| {
        format!(
            "{}, {}",
            nearer(spot.x_nm, long, ["left", "half way along", "right"]),
            nearer(spot.y_nm, wide, ["front", "on the middle line", "back"])
        )
    };
    posts.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// The share of the shelf's own mass that tips it empty, on three posts.
fn tips_at(slab: &Slab, posts: &[Spot]) -> Option<f64> {
    tilt(&slab.outline, posts.try_into().ok()?, [Length::ZERO; 3], Length::ZERO)?.tips_at
}

fn caution(posts: &[Spot], bent: &Bent) -> String {
    if !bent.answer.lifts.is_empty() {
        return "A post would have to hold the shelf down: it lifts off there, and the figures hold only while \
                nothing lifts."
            .to_owned();
    }
    if posts.len() == 4 {
        return "Taken as four posts of exactly one height. Where one is short, the shelf rests on three and bends \
                more than this says."
            .to_owned();
    }
    String::new()
}

fn compared(slab: &Slab, unit: LengthUnit, now: (&[Spot], &Bent), best: (&[Spot], &Bent)) -> String {
    let (present, least) = (now.1.peak_to_valley(), best.1.peak_to_valley());
    let share = least.mm() / present.mm().max(f64::MIN_POSITIVE);
    let flat = if share < 1.0 {
        format!(
            "At their best places three posts leave {} from the highest to the lowest place, instead of {}.",
            small(least, unit),
            small(present, unit)
        )
    } else {
        format!(
            "As they stand the posts leave {} from the highest to the lowest place; three posts at their best \
             places leave {}.",
            small(present, unit),
            small(least, unit)
        )
    };
    let corners = match (tips_at(slab, now.0), tips_at(slab, best.0)) {
        (Some(then), Some(other)) if other < then => format!(
            " But free corners tip sooner there: at {} of the shelf\u{2019}s own mass instead of {}. Load the middle \
             first, free corners last.",
            text::percent(other),
            text::percent(then)
        ),
        (None, Some(other)) => format!(
            " But a free corner tips it there, at {} of the shelf\u{2019}s own mass. Load the middle first, free \
             corners last.",
            text::percent(other)
        ),
        _ => String::new(),
    };
    format!("{flat}{corners}")
}
