//! The share of pieces that outlasts each age, without assuming any law (Kaplan and Meier 1958).
//!
//! What this does not do: look beyond the oldest piece.
use super::{Age, real};

/// The 97.5 % point of the standard normal law, for a two-sided 95 % interval (any table; 1.959963984540054).
const Z_95: f64 = 1.959_963_984_540_054;
/// House choice: a survival within 1e-12 of one half is one half. A product of up to 10,000 fractions
/// is good to 10,000 × 2^-53 = 1.1e-12.
const HALF_ROUNDED: f64 = 0.5 * (1.0 + 1e-12);

/// The curve just after one age at which pieces were retired.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Step {
    /// The age.
    pub firings: f64,
    /// Pieces that reached this age.
    pub at_risk: usize,
    /// Pieces retired at this age.
    pub retired: usize,
    /// Share that outlasts this age.
    pub survival: f64,
    /// Greenwood's standard error of it.
    pub standard_error: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
}

/// The survival curve, one step for each age at which a piece was retired.
///
/// # Input    the pieces by age, from [`super::by_age`].
/// # Returns
/// Steps from the youngest. The interval is symmetric in log survival: survival · exp(±1.96 · error /
/// survival), its upper end at most 1. Where the curve reaches 0 that has no value: the error is 0, its
/// limit there; `low` is 0; `high` is that of the step before (1 at the first), as survival never rises.
/// # Source
/// E. L. Kaplan, P. Meier, "Nonparametric estimation from incomplete observations", J. Am. Stat. Assoc.
/// 53 (1958); M. Greenwood's variance as given there; checked in tests/reference/survival.rs.
#[must_use]
pub fn kaplan_meier(ages: &[Age]) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let (mut survival, mut variance, mut before) = (1.0, 0.0, 1.0);
    for age in ages.iter().filter(|age| age.retired > 0) {
        let outlast = real(age.at_risk - age.retired);
        survival *= outlast / real(age.at_risk);
        variance += real(age.retired) / (real(age.at_risk) * outlast);
        let error_of_log = variance.sqrt();
        let (standard_error, low, high) = if age.retired == age.at_risk {
            (0.0, 0.0, before)
        } else {
            let wide = libm::exp(Z_95 * error_of_log);
            (survival * error_of_log, survival / wide, (survival * wide).min(1.0))
        };
        before = high;
        steps.push(Step {
            firings: age.firings,
            at_risk: age.at_risk,
            retired: age.retired,
            survival,
            standard_error,
            low,
            high,
        });
    }
    steps
}

/// The first age that at most half outlast; nothing where more than half outlast every age seen.
#[must_use]
pub fn median(steps: &[Step]) -> Option<f64> {
    let half = steps.iter().find(|step| step.survival <= HALF_ROUNDED);
    half.map(|step| step.firings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::life::{Piece, by_age};
    use proptest::prelude::*;

    fn steps(pieces: &[(u16, bool)]) -> Vec<Step> {
        let pieces: Vec<Piece> = pieces
            .iter()
            .map(|(firings, retired)| Piece { firings: f64::from(*firings), retired: *retired })
            .collect();
        kaplan_meier(&by_age(&pieces))
    }

    #[test]
    fn without_pieces_in_service_it_is_the_share_that_is_left() {
        let found = steps(&[(10, true), (20, true), (20, true), (40, true)]);
        let survival: Vec<f64> = found.iter().map(|step| step.survival).collect();
        assert!((survival[0] - 0.75).abs() < 1e-15 && (survival[1] - 0.25).abs() < 1e-15);
        // Binomial: sqrt(S (1 - S) / n).
        assert!((found[1].standard_error - (0.25_f64 * 0.75 / 4.0).sqrt()).abs() < 1e-15);
        let last = found[2];
        assert_eq!((last.survival, last.standard_error, last.low, last.high), (0.0, 0.0, 0.0, found[1].high));
        assert_eq!(median(&found), Some(20.0));
    }

    #[test]
    fn half_is_half_whatever_the_rounding() {
        // 3/4 · 2/3 and 5/6 · 4/5 · 3/4 are one half.
        assert_eq!(median(&steps(&[(1, true), (2, true), (3, false), (4, false)])), Some(2.0));
        let six = [(1, true), (2, true), (3, true), (4, false), (5, false), (6, false)];
        assert_eq!(median(&steps(&six)), Some(3.0));
        assert_eq!(median(&steps(&[(1, true), (2, false), (3, false)])), None);
    }

    proptest! {
        #[test]
        fn never_rises_and_lies_in_its_interval(pieces in prop::collection::vec((0..50_u16, any::<bool>()), 0..80)) {
            let found = steps(&pieces);
            let mut before = 1.0;
            for step in &found {
                prop_assert!(step.survival < before && step.survival >= 0.0);
                prop_assert!(step.low <= step.survival && step.survival <= step.high && step.high <= 1.0);
                prop_assert!(step.standard_error.is_finite() && step.standard_error >= 0.0);
                before = step.survival;
            }
            prop_assert_eq!(found.iter().map(|step| step.retired).sum::<usize>(), pieces.iter().filter(|p| p.1).count());
        }
    }
}
