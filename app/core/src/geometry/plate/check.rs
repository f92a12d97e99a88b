//! What a case must be before it can be solved.
//!
//! What this does not do: judge whether the shelf is a thin plate; the caller warns about that.
use super::{EdgeHold, Foot, PlateCase};
use thiserror::Error;

/// Why a shelf cannot be bent as given. The text says what to do next.
#[derive(Clone, Copy, PartialEq, Debug, Error)]
pub enum PlateError {
    /// One side is far longer than the other.
    #[error("the long side is {times:.0} times the short one; give a shelf of at most {most:.0} to 1")]
    Strip {
        /// Long side over short side.
        times: f64,
        /// The most that is taken.
        most: f64,
    },
    /// Fewer than three supports.
    #[error("{n} supports do not carry a shelf; give 3 or more")]
    TooFew {
        /// How many there are.
        n: usize,
    },
    /// A support stands beside the shelf.
    #[error("support {index} is not under the shelf; give a place from 0 to its length and width")]
    SupportOff {
        /// Which, from 0.
        index: usize,
    },
    /// A load stands beside the shelf.
    #[error("load {index} is not on the shelf; give a place from 0 to its length and width")]
    LoadOff {
        /// Which, from 0.
        index: usize,
    },
    /// Two supports at one place.
    #[error("supports {first} and {second} stand at one place; give different places")]
    Together {
        /// The one, from 0.
        first: usize,
        /// The other.
        second: usize,
    },
    /// All supports on one line.
    #[error("the supports stand on one line, so the shelf tips; give one that stands off it")]
    OneLine,
    /// An inset so deep that three posts have nowhere to stand.
    #[error("an inset of {inset_mm} mm leaves no room for three posts; give at most 0.4 of the short side")]
    NoRoom {
        /// The inset asked for.
        inset_mm: f64,
    },
    /// The supports cannot be told apart, or do not hold the shelf.
    #[error("the supports are too close together to be told apart; give fewer or move them apart")]
    Supports,
    /// The matrix lost its digits.
    #[error("the shelf's sizes and pads are too far apart to be solved; give values of an ordinary size")]
    Sizes,
}

/// House choice: a strip longer than 50 widths is a beam, and its matrix starts to lose digits
/// (50⁴ = 6e6 times the condition of a square).
const LONGEST_STRIP: f64 = 50.0;
/// House choice: supports nearer than 1/1000 of the short side, or all within that of one line, are a slip:
/// 0.3 mm under a 300 mm shelf.
const APART: f64 = 1e-3;

/// Checks what `solve_plate` needs.
pub(super) fn check_case(case: &PlateCase) -> Result<(), PlateError> {
    let (long, short) = (case.plate.length_mm.max(case.plate.width_mm), case.plate.short_mm());
    let times = long / short;
    if !(short > 0.0 && times <= LONGEST_STRIP) {
        return Err(PlateError::Strip { times, most: LONGEST_STRIP });
    }
    let off = |foot: &Foot| {
        !(foot.x_mm >= 0.0
            && foot.x_mm <= case.plate.length_mm
            && foot.y_mm >= 0.0
            && foot.y_mm <= case.plate.width_mm)
    };
    if let Some(index) = case.supports.iter().position(off) {
        return Err(PlateError::SupportOff { index });
    }
    if let Some(index) = case.loads.iter().position(|load| off(&load.foot)) {
        return Err(PlateError::LoadOff { index });
    }
    if case.edges != EdgeHold::Free {
        return Ok(());
    }
    if case.supports.len() < 3 {
        return Err(PlateError::TooFew { n: case.supports.len() });
    }
    apart(&case.supports, APART * short)
}

/// Refuses two supports within `least` of each other, and supports all within `least` of one line.
fn apart(supports: &[Foot], least: f64) -> Result<(), PlateError> {
    let gap = |a: &Foot, b: &Foot| [b.x_mm - a.x_mm, b.y_mm - a.y_mm];
    let mut widest = ([0.0, 0.0], 0.0, 0);
    for (second, b) in supports.iter().enumerate() {
        for (first, a) in supports[..second].iter().enumerate() {
            let between = gap(a, b);
            let square = between[0] * between[0] + between[1] * between[1];
            if square < least * least {
                return Err(PlateError::Together { first, second });
            }
            if square > widest.1 {
                widest = (between, square, first);
            }
        }
    }
    let (line, square, from) = widest;
    let beside = |foot: &Foot| {
        let there = gap(&supports[from], foot);
        (line[0] * there[1] - line[1] * there[0]).abs() >= least * square.sqrt()
    };
    if supports.iter().any(beside) { Ok(()) } else { Err(PlateError::OneLine) }
}

/// The part of a pad of side `pad` centred at `at` that lies within 0 to `side`.
pub(super) fn clip(at: f64, pad: f64, side: f64) -> [f64; 2] {
    [(at - 0.5 * pad).max(0.0), (at + 0.5 * pad).min(side)]
}
