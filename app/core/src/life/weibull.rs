//! A Weibull law fitted to pieces retired and in service, and what it expects of the next firings.
//!
//! What this does not do: test whether a Weibull law fits at all.
use super::{Age, Piece, real};
use thiserror::Error;

/// House choice: Newton doubles its correct digits at each step, so a start within a factor of 1000 is
/// through in under 20; each step that leaves the bracket halves it instead. 200 covers 2^-200.
const MOST_STEPS: usize = 200;
/// House choice: a step this small, relative to the shape, was the last one: the error after a Newton
/// step is about its square, 1e-26, far below the sums' own rounding (1e-16).
const DONE: f64 = 1e-13;

/// Why no law was fitted.
#[derive(Clone, Copy, PartialEq, Debug, Error)]
pub enum NoFit {
    /// Fewer than two different ages at retirement.
    #[error("it takes retirements at two different ages or more, and there are {n_ages}")]
    TooFewAges {
        /// How many there are: 0 or 1.
        n_ages: usize,
    },
    /// A piece retired unfired.
    #[error("a piece retired at 0 firings cannot be part of a fit; leave it out if it broke before use")]
    RetiredUnfired,
    /// The ages differ too little for doubles.
    #[error("the ages at retirement lie too close together")]
    TooClose,
}

/// S(t) = exp(−(t / scale)^shape), with standard errors from the observed information.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Weibull {
    /// β: below 1 early failures, 1 chance, above 1 wear.
    pub shape: f64,
    /// η: the age in firings that 36.8 % outlast.
    pub scale: f64,
    /// Standard error of the shape.
    pub shape_se: f64,
    /// Standard error of the scale.
    pub scale_se: f64,
    /// The greatest log-likelihood.
    pub log_likelihood: f64,
}

/// Sums over all pieces at one shape, ages taken relative to the oldest so that nothing overflows.
#[derive(Clone, Copy, Default)]
struct Sums {
    /// Σ x^β, Σ x^β ln x, Σ x^β (ln x)².
    power: f64,
    power_log: f64,
    power_log2: f64,
}

/// Fits shape and scale by maximum likelihood with right censoring.
///
/// # Input    the pieces by age, from [`super::by_age`].
/// # Errors   [`NoFit`] says why there is no law.
/// # Source
/// Profile likelihood: Σ t^β ln t / Σ t^β − 1/β = mean of ln t over the retired, which rises with β;
/// η^β = Σ t^β / r. J. F. Lawless, Statistical Models and Methods for Lifetime Data; NIST/SEMATECH
/// e-Handbook 8.4.1.2; checked in tests/reference/survival.rs.
pub fn fit_weibull(ages: &[Age]) -> Result<Weibull, NoFit> {
    let retired: Vec<&Age> = ages.iter().filter(|age| age.retired > 0).collect();
    if retired.len() < 2 {
        return Err(NoFit::TooFewAges { n_ages: retired.len() });
    }
    let oldest = ages.last().map_or(1.0, |age| age.firings);
    if retired.iter().any(|age| age.firings <= 0.0) {
        return Err(NoFit::RetiredUnfired);
    }
    // A piece in service that was never fired adds nothing to any sum.
    let logs: Vec<(f64, f64)> = ages
        .iter()
        .filter(|age| age.firings > 0.0)
        .map(|age| {
            let pieces = real(age.retired + age.in_service);
            (libm::log(age.firings / oldest), pieces)
        })
        .collect();
    let n_retired: f64 = retired.iter().map(|age| real(age.retired)).sum();
    let log_sum: f64 = retired.iter().map(|age| real(age.retired) * libm::log(age.firings / oldest)).sum();
    let shape = solve_shape(&logs, log_sum / n_retired).ok_or(NoFit::TooClose)?;
    finish(shape, &logs, n_retired, log_sum, oldest).ok_or(NoFit::TooClose)
}

fn sums(logs: &[(f64, f64)], shape: f64) -> Sums {
    let mut sums = Sums::default();
    for (log, pieces) in logs {
        let power = pieces * libm::exp(shape * log);
        sums.power += power;
        sums.power_log += power * log;
        sums.power_log2 += power * log * log;
    }
    sums
}

/// Newton's method on the profile likelihood's derivative, kept inside a bracket.
fn solve_shape(logs: &[(f64, f64)], mean_log: f64) -> Option<f64> {
    let mut low = 0.0;
    let mut high = f64::INFINITY;
    // Where the oldest stands for η, −1/β is near the mean of ln(x / η): a start within a small factor.
    let mut shape = -1.0 / mean_log;
    for _ in 0..MOST_STEPS {
        let at = sums(logs, shape);
        let mean = at.power_log / at.power;
        let value = mean - 1.0 / shape - mean_log;
        let slope = at.power_log2 / at.power - mean * mean + 1.0 / (shape * shape);
        if value < 0.0 {
            low = shape;
        } else {
            high = shape;
        }
        let newton = shape - value / slope;
        let next = if newton > low && newton < high {
            newton
        } else if high.is_finite() {
            0.5 * (low + high)
        } else {
            2.0 * shape
        };
        if !next.is_finite() {
            return None;
        }
        if (next - shape).abs() <= DONE * shape {
            return Some(next);
        }
        shape = next;
    }
    Some(shape)
}

fn finish(shape: f64, logs: &[(f64, f64)], n_retired: f64, log_sum: f64, oldest: f64) -> Option<Weibull> {
    let at = sums(logs, shape);
    // ln(η / oldest)
    let log_scale = libm::log(at.power / n_retired) / shape;
    let scale = oldest * libm::exp(log_scale);
    let log_likelihood = n_retired * (libm::log(shape) - libm::log(oldest) - shape * log_scale)
        + (shape - 1.0) * log_sum
        - n_retired;
    // Observed information in (ln η, ln β), whose gradient is 0 here. With v = (t/η)^β, y = ln(t/η):
    // β² a = β² Σ v = β² r;  β c = −β² Σ v y;  b = β² Σ v y² + β (Σ v y − Σ_retired y) = β² Σ v y² + r,
    // the last as the derivative by ln β vanishes: β (Σ v y − Σ_retired y) = r.
    let per = n_retired / at.power;
    let v_y = per * (at.power_log - log_scale * at.power);
    let v_y2 = per * (at.power_log2 - 2.0 * log_scale * at.power_log + log_scale * log_scale * at.power);
    let a = n_retired;
    let c = -shape * v_y;
    let b = shape * shape * v_y2 + n_retired;
    let determinant = a * b - c * c;
    let weibull = Weibull {
        shape,
        scale,
        shape_se: shape * (a / determinant).sqrt(),
        scale_se: scale * (b / determinant).sqrt() / shape,
        log_likelihood,
    };
    let all = [shape, scale, weibull.shape_se, weibull.scale_se, log_likelihood];
    all.iter().all(|value| value.is_finite()).then_some(weibull)
}

impl Weibull {
    /// The chance that a piece in service at `firings` is retired within the next `next` firings.
    ///
    /// # Source   1 − S(age + next) / S(age)
    #[must_use]
    pub fn retired_within(&self, firings: f64, next: f64) -> f64 {
        let hazard = |age: f64| libm::pow(age / self.scale, self.shape);
        let more = hazard(firings + next) - hazard(firings);
        if next <= 0.0 {
            0.0
        } else if more.is_nan() {
            // Both beyond the largest double: nothing lasts that long under this law.
            1.0
        } else {
            -libm::expm1(-more)
        }
    }

    /// How many of the pieces in service are expected to be retired within the next `next` firings.
    #[must_use]
    pub fn expected_retirements(&self, pieces: &[Piece], next: f64) -> f64 {
        let serving = pieces.iter().filter(|piece| !piece.retired);
        serving.map(|piece| self.retired_within(piece.firings, next)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::life::by_age;
    use proptest::prelude::*;

    fn fit(pieces: &[Piece]) -> Result<Weibull, NoFit> {
        fit_weibull(&by_age(pieces))
    }

    fn log_likelihood(pieces: &[Piece], shape: f64, scale: f64) -> f64 {
        let one = |piece: &Piece| {
            let x = piece.firings / scale;
            let density = libm::log(shape / scale) + (shape - 1.0) * libm::log(x);
            (if piece.retired { density } else { 0.0 }) - libm::pow(x, shape)
        };
        pieces.iter().map(one).sum()
    }

    fn some_pieces() -> impl Strategy<Value = Vec<Piece>> {
        let piece = (1..400_u16, any::<bool>())
            .prop_map(|(firings, retired)| Piece { firings: f64::from(firings), retired });
        prop::collection::vec(piece, 2..60)
    }

    proptest! {
        #[test]
        fn nothing_near_it_is_likelier(pieces in some_pieces()) {
            let Ok(law) = fit(&pieces) else { return Ok(()); };
            let top = log_likelihood(&pieces, law.shape, law.scale);
            prop_assert!((top - law.log_likelihood).abs() < 1e-9 * top.abs().max(1.0));
            for (more_shape, more_scale) in [(1.01, 1.0), (0.99, 1.0), (1.0, 1.01), (1.0, 0.99), (1.3, 1.3), (0.7, 0.7)] {
                let near = log_likelihood(&pieces, law.shape * more_shape, law.scale * more_scale);
                prop_assert!(near < top, "{near} is not below {top}");
            }
            prop_assert!(law.shape_se > 0.0 && law.scale_se > 0.0);
        }

        #[test]
        fn standard_errors_are_the_curvature(pieces in some_pieces()) {
            let Ok(law) = fit(&pieces) else { return Ok(()); };
            // Second differences in (ln shape, ln scale); where the two hang together so closely that the
            // determinant cancels, differences have no digits to compare.
            let (h, k) = (0.003 * law.shape_se / law.shape, 0.003 * law.scale_se / law.scale);
            let at = |i: f64, j: f64| {
                log_likelihood(&pieces, law.shape * libm::exp(i * h), law.scale * libm::exp(j * k))
            };
            let aa = -(at(1.0, 0.0) - 2.0 * at(0.0, 0.0) + at(-1.0, 0.0)) / (h * h);
            let bb = -(at(0.0, 1.0) - 2.0 * at(0.0, 0.0) + at(0.0, -1.0)) / (k * k);
            let ab = -(at(1.0, 1.0) - at(1.0, -1.0) - at(-1.0, 1.0) + at(-1.0, -1.0)) / (4.0 * h * k);
            let determinant = aa * bb - ab * ab;
            prop_assume!(determinant > 0.01 * aa * bb);
            let apart = |error: f64, curvature: f64| error / (curvature / determinant).sqrt() - 1.0;
            prop_assert!(apart(law.shape_se / law.shape, bb).abs() < 0.01);
            prop_assert!(apart(law.scale_se / law.scale, aa).abs() < 0.01);
        }

        #[test]
        fn a_unit_of_firings_twice_as_long_halves_the_scale_only(pieces in some_pieces()) {
            let Ok(law) = fit(&pieces) else { return Ok(()); };
            let halved: Vec<Piece> = pieces.iter().map(|p| Piece { firings: p.firings / 2.0, ..*p }).collect();
            let half = fit(&halved).map_err(|err| TestCaseError::fail(err.to_string()))?;
            prop_assert_eq!((half.shape, half.scale), (law.shape, law.scale / 2.0));
        }

        #[test]
        fn a_chance_lies_between_none_and_all(
            shape in 1e-3..1e3, scale in 1e-3..1e9, firings in 0.0..1e9, next in 0.0..1e9
        ) {
            let law = Weibull { shape, scale, shape_se: 0.0, scale_se: 0.0, log_likelihood: 0.0 };
            let chance = law.retired_within(firings, next);
            prop_assert!((0.0..=1.0).contains(&chance));
            prop_assert!(law.retired_within(firings, 2.0 * next) >= chance);
        }
    }

    #[test]
    fn says_why_there_is_no_law() {
        let piece = |firings, retired| Piece { firings, retired };
        let serving = piece(9.0, false);
        assert_eq!(fit(&[serving]), Err(NoFit::TooFewAges { n_ages: 0 }));
        let same = [piece(5.0, true), piece(5.0, true), serving];
        assert_eq!(fit(&same), Err(NoFit::TooFewAges { n_ages: 1 }));
        let unfired = [piece(0.0, true), piece(5.0, true)];
        assert_eq!(fit(&unfired), Err(NoFit::RetiredUnfired));
    }

    #[test]
    fn ages_that_hardly_differ_give_a_finite_law_or_none() {
        for apart in [1e-6, 1e-9, 1e-12, f64::EPSILON] {
            let piece = |firings| Piece { firings, retired: true };
            if let Ok(law) = fit(&[piece(100.0), piece(100.0 * (1.0 + apart))]) {
                assert!(law.shape > 0.1 / apart && law.shape_se.is_finite(), "{law:?}");
            }
        }
    }
}
