//! The words and marks of a verdict on a set.
use crate::units::Length;
use crate::view::{Mark, Shape};
use serde::{Deserialize, Serialize};

/// The verdict on a set. Exactly one holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Matched, and by more than the guard band within what is called good.
    Good,
    /// Matched: within what is accepted.
    Accepted,
    /// Usable with one shim.
    Shim,
    /// Not together.
    NotTogether,
    /// The readings cannot decide.
    Undecided,
    /// A post is not measured.
    Measure,
    /// Not three or four posts.
    Incomplete,
    /// It was taken apart.
    Parted,
}

impl Verdict {
    /// The mark that goes with it.
    #[must_use]
    pub fn mark(self) -> Mark {
        let (shape, word) = match self {
            Self::Good => (Shape::Plain, "matched"),
            Self::Accepted => (Shape::Plain, "accepted"),
            Self::Shim => (Shape::Look, "shim"),
            Self::NotTogether => (Shape::Stop, "not together"),
            Self::Undecided => (Shape::Unknown, "undecided"),
            Self::Measure => (Shape::Unknown, "measure"),
            Self::Incomplete => (Shape::Unknown, "not a set"),
            Self::Parted => (Shape::Gone, "taken apart"),
        };
        Mark::new(shape, word)
    }
}

/// One hard shim.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Shim {
    /// The post on whose top end it goes.
    pub post: String,
    /// How thick it is.
    pub amount: Length,
    /// The spread that is left.
    pub spread_after: Length,
    /// The tilt that is left, in degrees, where the plan is known.
    pub tilt_after_deg: Option<f64>,
}

/// What the heights of a set say, before anything else about its posts is looked at.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Reading {
    pub verdict: Verdict,
    pub said: String,
    pub fix: String,
    pub rests_on: String,
    pub gap: Option<Length>,
    pub carries_nothing: Vec<String>,
    pub shim: Option<Shim>,
    pub odd: Option<String>,
}

impl Reading {
    pub fn new(
        verdict: Verdict,
        said: impl Into<String>,
        fix: impl Into<String>,
        rests_on: impl Into<String>,
    ) -> Self {
        Self {
            verdict,
            said: said.into(),
            fix: fix.into(),
            rests_on: rests_on.into(),
            gap: None,
            carries_nothing: Vec::new(),
            shim: None,
            odd: None,
        }
    }
}

/// What is left to do where a reading cannot decide.
pub(super) const MEASURE_AGAIN: &str = "measure again with the caliper";

/// To the tenth of a millimetre, which is as fine as a hard shim is made at a bench.
/// House choice: rubbing on grit takes a shim to about a tenth.
pub(super) fn to_a_tenth(amount: Length) -> Length {
    const TENTH_NM: i64 = 100_000;
    Length((amount.0 + TENTH_NM / 2).div_euclid(TENTH_NM) * TENTH_NM)
}
