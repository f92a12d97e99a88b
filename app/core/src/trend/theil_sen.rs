//! The median of the slopes of all pairs of readings, which one slip of the caliper does not move.
//!
//! What this does not do: give limits for it; those of the least-squares line are given beside it.
use super::Reading;

/// House choice: with 5,000 readings there are 12.5 million pairs, 100 MB of slopes: the most that a
/// phone holds. A post read after each of 200 firings a year is there in 25 years.
pub const MOST_READINGS: usize = 5_000;

/// The Theil–Sen slope; nothing where all readings are from one firing.
///
/// # Input    at most [`MOST_READINGS`] readings in any order.
/// # Returns  The median over pairs from different firings; the mean of the middle two of an even number.
/// # Source
/// H. Theil (1950); P. K. Sen, "Estimates of the regression coefficient based on Kendall's tau", J. Am.
/// Stat. Assoc. 63 (1968); checked in tests/reference/trend.rs.
#[must_use]
pub fn theil_sen_slope(readings: &[Reading]) -> Option<f64> {
    let n = readings.len();
    let mut slopes = Vec::with_capacity(n * n.saturating_sub(1) / 2);
    for (i, one) in readings.iter().enumerate() {
        for two in &readings[..i] {
            if one.firing != two.firing {
                slopes.push((one.value_mm - two.value_mm) / (one.firing - two.firing));
            }
        }
    }
    if slopes.is_empty() {
        return None;
    }
    let middle = slopes.len() / 2;
    let even = slopes.len() % 2 == 0;
    let (lower, upper, _) = slopes.select_nth_unstable_by(middle, f64::total_cmp);
    let below = lower.iter().copied().max_by(f64::total_cmp);
    let upper = *upper;
    Some(match below {
        // Halved first, so that two large slopes do not overflow.
        Some(below) if even => 0.5 * below + 0.5 * upper,
        _ => upper,
    })
}
