//! Wear over firings: a line through readings, and the firing at which it meets a limit.
//!
//! What this does not do: say that wear goes on as it did. A limit beyond the last reading rests on that.
//!
//! Start reading at [`fit_line`], then [`Line::crossing`].
mod student;
mod theil_sen;

pub use student::t_quantile;
pub use theil_sen::{MOST_READINGS, theil_sen_slope};
use thiserror::Error;

/// One reading of a piece.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// After how many firings; may lie between two.
    pub firing: f64,
    /// What was read.
    pub value_mm: f64,
}

/// Why no line was fitted.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
pub enum NoLine {
    /// Fewer than three readings leave nothing to judge the line by.
    #[error("{n_readings} readings are too few for a line with limits; give 3 or more")]
    TooFew {
        /// How many were given.
        n_readings: usize,
    },
    /// All readings after the same number of firings.
    #[error("all readings are from one firing; give readings from at least two")]
    OneFiring,
}

/// The least-squares line through readings.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    n_readings: f64,
    mean_firing: f64,
    mean_value_mm: f64,
    /// Sum of squared distances of the firings from their mean.
    firings_spread: f64,
    /// Change of the value in one firing.
    pub slope_mm_per_firing: f64,
    /// The value at firing 0.
    pub intercept_mm: f64,
    /// Residual standard deviation, with two degrees of freedom taken off.
    pub residual_sd_mm: f64,
}

/// Fits the ordinary least-squares line.
///
/// # Input    3 or more finite readings in any order, from at least two different firings.
/// # Errors   [`NoLine`].
/// # Limits   Takes the firings as exact and the readings as equally uncertain and independent.
/// # Source
/// Any text on regression; centred sums, which keep the digits that NIST's StRD "Norris" asks for;
/// checked in tests/reference/trend.rs.
pub fn fit_line(readings: &[Reading]) -> Result<Line, NoLine> {
    if readings.len() < 3 {
        return Err(NoLine::TooFew { n_readings: readings.len() });
    }
    let n_readings = readings.len() as f64;
    let mean = |of: fn(&Reading) -> f64| {
        let rough = readings.iter().map(of).sum::<f64>() / n_readings;
        // Once more over what is left, so that the mean is good to the last digit.
        rough + readings.iter().map(|r| of(r) - rough).sum::<f64>() / n_readings
    };
    let (mean_firing, mean_value_mm) = (mean(|r| r.firing), mean(|r| r.value_mm));
    let (mut firings_spread, mut product) = (0.0, 0.0);
    for reading in readings {
        let x = reading.firing - mean_firing;
        firings_spread += x * x;
        product += x * (reading.value_mm - mean_value_mm);
    }
    // Equal firings can leave a rounding of their mean behind, so this asks them, not the sum.
    let first = readings[0].firing;
    if !firings_spread.is_normal() || readings.iter().all(|reading| reading.firing == first) {
        return Err(NoLine::OneFiring);
    }
    let slope = product / firings_spread;
    let residual = |r: &Reading| (r.value_mm - mean_value_mm) - slope * (r.firing - mean_firing);
    let squares: f64 = readings.iter().map(|r| residual(r) * residual(r)).sum();
    Ok(Line {
        n_readings,
        mean_firing,
        mean_value_mm,
        firings_spread,
        slope_mm_per_firing: slope,
        intercept_mm: mean_value_mm - slope * mean_firing,
        residual_sd_mm: (squares / (n_readings - 2.0)).sqrt(),
    })
}

/// Where a line meets a limit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Crossing {
    /// The firing; nothing where the line is level.
    pub at: Option<f64>,
    /// Least and greatest firing that the data allow; nothing where they allow any.
    pub between: Option<(f64, f64)>,
}

impl Line {
    /// Degrees of freedom of the residuals.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> u32 {
        // At least 1, and at most MOST_READINGS: `as` is exact.
        (self.n_readings - 2.0) as u32
    }

    /// The line's value at a firing.
    #[must_use]
    pub fn at(&self, firing: f64) -> f64 {
        self.mean_value_mm + self.slope_mm_per_firing * (firing - self.mean_firing)
    }

    /// Half the width of the confidence band of the mean line at a firing, for a `t` from [`t_quantile`].
    ///
    /// # Source   t s sqrt(1/n + (x − mean x)² / S), as in any text on regression.
    #[must_use]
    pub fn half_width(&self, firing: f64, t: f64) -> f64 {
        let u = firing - self.mean_firing;
        t * self.residual_sd_mm * (1.0 / self.n_readings + u * u / self.firings_spread).sqrt()
    }

    /// The ends of the slope's confidence interval, for a `t` from [`t_quantile`].
    #[must_use]
    pub fn slope_limits(&self, t: f64) -> (f64, f64) {
        let half = t * self.residual_sd_mm / self.firings_spread.sqrt();
        (self.slope_mm_per_firing - half, self.slope_mm_per_firing + half)
    }

    /// Where the fitted line meets `limit_mm`, with Fieller's limits for the mean line.
    ///
    /// # Source
    /// E. C. Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16 (1954): the firings
    /// at which the confidence band of the line holds the limit. They are an interval only where the
    /// slope differs from 0 at the same confidence.
    #[must_use]
    pub fn crossing(&self, limit_mm: f64, t: f64) -> Crossing {
        self.crossing_with(limit_mm, t, 0.0)
    }

    /// Where the mean of `n_readings` new readings is expected to be `limit_mm`, with Fieller's limits.
    #[must_use]
    pub fn crossing_of_readings(&self, limit_mm: f64, t: f64, n_readings: u32) -> Crossing {
        self.crossing_with(limit_mm, t, 1.0 / f64::from(n_readings.max(1)))
    }

    fn crossing_with(&self, limit_mm: f64, t: f64, of_new_readings: f64) -> Crossing {
        let slope = self.slope_mm_per_firing;
        let rise = limit_mm - self.mean_value_mm;
        let finite = |firing: f64| Some(firing).filter(|firing| firing.is_finite());
        let at = finite(self.mean_firing + rise / slope);
        // (slope·u − rise)² <= w (1/n + u²/S), u from the mean firing: a u² − 2 b u + c <= 0.
        let w = t * t * self.residual_sd_mm * self.residual_sd_mm;
        let height = w * (of_new_readings + 1.0 / self.n_readings);
        let a = slope * slope - w / self.firings_spread;
        let b = slope * rise;
        let c = rise * rise - height;
        if at.is_none() || a <= 0.0 {
            return Crossing { at, between: None };
        }
        // b² − a c, written so that nothing cancels.
        let root = (w * rise * rise / self.firings_spread + a * height).sqrt();
        let far = if b < 0.0 { b - root } else { b + root };
        let (one, two) = (far / a, if far == 0.0 { 0.0 } else { c / far });
        let ends =
            |low: f64, high: f64| Some((finite(self.mean_firing + low)?, finite(self.mean_firing + high)?));
        Crossing { at, between: ends(one.min(two), one.max(two)) }
    }
}

#[cfg(test)]
mod tests;
