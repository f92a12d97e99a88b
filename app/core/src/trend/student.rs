//! The quantile of Student's t law, from + − × ÷, the square root and one arc tangent.
//!
//! What this does not do: fractions of a degree of freedom. A line's residuals have a whole number, and
//! for that there is a finite sum; a library's incomplete beta function would call the standard
//! library's logarithm, whose last digit differs between the phone and the server.

/// Doublings from t = 1 to a t beyond which every double of confidence below 1 is passed: with one
/// degree of freedom 1 − A = 2/(π t), and the least 1 − A above 0 is 2^-53.
const MOST_DOUBLINGS: u32 = 60;
/// Halvings of a bracket [t, 2t] down to neighbouring doubles, and some to spare.
const MOST_HALVINGS: u32 = 1100;

/// The t that |T| stays below with probability `confidence`.
///
/// # Input
/// `confidence` above 0 and below 1; `degrees_of_freedom` at least 1.
/// # Source
/// M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4, inverted by
/// bisection; checked in tests/reference/trend.rs.
/// # Example
/// ```
/// let t = tripoise_core::trend::t_quantile(0.95, 10);
/// assert!((t - 2.228138852).abs() < 1e-9);
/// ```
#[must_use]
pub fn t_quantile(confidence: f64, degrees_of_freedom: u32) -> f64 {
    let mut high = 1.0;
    for _ in 0..MOST_DOUBLINGS {
        if within(high, degrees_of_freedom) >= confidence {
            break;
        }
        high *= 2.0;
    }
    let mut low = 0.0;
    for _ in 0..MOST_HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if within(middle, degrees_of_freedom) < confidence {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// A(t | ν): the probability of |T| <= t.
fn within(t: f64, degrees_of_freedom: u32) -> f64 {
    let nu = f64::from(degrees_of_freedom.max(1));
    let cos2 = nu / (nu + t * t);
    let sin = t / (nu + t * t).sqrt();
    let even = degrees_of_freedom.is_multiple_of(2);
    // Terms with the factors 1/2, 3/4, 5/6 … (even) or 2/3, 4/5, 6/7 … (odd) and cos² each.
    let mut term = if even { 1.0 } else { cos2.sqrt() };
    let mut sum = 0.0;
    let mut below = if even { 2.0 } else { 3.0 };
    while below <= nu {
        sum += term;
        term *= cos2 * (below - 1.0) / below;
        below += 2.0;
    }
    if even { sin * sum } else { (libm::atan(t / nu.sqrt()) + sin * sum) * std::f64::consts::FRAC_2_PI }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn more_confidence_or_fewer_readings_mean_a_wider_interval(
            confidence in 0.001..0.999, more in 0.0..0.0009, degrees in 1..400_u32
        ) {
            let t = t_quantile(confidence, degrees);
            prop_assert!(t.is_finite() && t > 0.0);
            prop_assert!(t_quantile(confidence + more, degrees) >= t);
            prop_assert!(t_quantile(confidence, degrees + 1) <= t);
        }
    }

    #[test]
    fn the_last_confidence_below_one_is_finite() {
        for degrees in [1, 2, 3, 4, 999, 1000] {
            let t = t_quantile(1.0 - f64::EPSILON / 2.0, degrees);
            assert!(t.is_finite() && t > 5.0, "{degrees}: {t}");
        }
    }
}
