//! How long pieces last: survival by firings, a Weibull law, and how many will be retired next.
//!
//! A piece in service has lasted at least as long as it has (right censoring); it counts for its firings
//! and for nothing after.
//!
//! What this does not do: split by material or kiln, or say that a piece is good for another firing.
//!
//! Start reading at [`kaplan_meier`], then [`weibull`].
pub mod kaplan_meier;
pub mod weibull;

use std::cmp::Ordering;

/// One piece: how often it was fired, and whether it has been retired.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Piece {
    /// Firings so far, or until it was retired; at least 0 and finite.
    pub firings: f64,
    /// Whether it was retired after the last of them.
    pub retired: bool,
}

/// All pieces of one age.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Age {
    /// The age.
    pub firings: f64,
    /// Pieces of this age or older.
    pub at_risk: usize,
    /// Pieces retired at this age.
    pub retired: usize,
    /// Pieces in service at this age.
    pub in_service: usize,
}

/// The pieces by age, from the youngest; equal ages together.
#[must_use]
pub fn by_age(pieces: &[Piece]) -> Vec<Age> {
    let mut sorted = pieces.to_vec();
    sorted.sort_unstable_by(|one, two| one.firings.total_cmp(&two.firings));
    let mut ages: Vec<Age> = Vec::new();
    for (younger, piece) in sorted.iter().enumerate() {
        let same =
            ages.last().is_some_and(|age| age.firings.partial_cmp(&piece.firings) == Some(Ordering::Equal));
        if !same {
            ages.push(Age {
                firings: piece.firings,
                at_risk: sorted.len() - younger,
                retired: 0,
                in_service: 0,
            });
        }
        if let Some(age) = ages.last_mut() {
            age.retired += usize::from(piece.retired);
            age.in_service += usize::from(!piece.retired);
        }
    }
    ages
}

/// A count as a number. Counts here are far below 2^53.
fn real(count: usize) -> f64 {
    count as f64
}
