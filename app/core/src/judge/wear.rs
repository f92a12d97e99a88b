//! How fast a piece wears, and in how many firings that takes it past a limit: on posts and on shelves.
//!
//! What this does not do: say that wear goes on as it did, or use readings from before a dressing or grinding.
//! Where the readings cannot tell, it says so and why.
//!
//! Start reading at [`Wear::of`], then [`Wear::outlook`].
pub mod post;
pub mod shelf;

use crate::trend::{Line, NoLine, Reading, fit_line, t_quantile, theil_sen_slope};
use crate::units::Length;
use crate::view::text::{LengthUnit, count, length, length_bare};

/// Confidence of the limits.
pub const CONFIDENCE: f64 = 0.95;
/// How far a line is carried on, in spans of the firings that were read. House choice: over three times as long
/// as was watched, a straight line is a guess.
pub const FARTHEST: f64 = 3.0;

/// Which way a limit lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// Wear brings the value down to it: heights.
    Down,
    /// Wear brings the value up to it: flatness.
    Up,
}

/// A line through readings.
#[derive(Clone, PartialEq, Debug)]
pub struct Wear {
    /// The readings.
    pub readings: Vec<Reading>,
    /// Least squares.
    pub line: Line,
    /// The quantile of Student's law for its degrees of freedom.
    pub t: f64,
    /// The median of the slopes of all pairs, which one slip does not move.
    pub median_slope: Option<f64>,
    /// The piece's firings now.
    pub now: f64,
}

/// What the line says of a limit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Outlook {
    /// It is past it already.
    Past,
    /// The readings scatter more than they change.
    CannotTell,
    /// It moves away from it.
    Away,
    /// So far off that a straight line is a guess.
    Far {
        /// How many firings the line may be carried on.
        at_most: f64,
    },
    /// In so many firings from now.
    In {
        /// By the line.
        about: f64,
        /// At the earliest.
        low: f64,
        /// At the latest.
        high: f64,
    },
}

impl Wear {
    /// Fits a line; `now` is how often the piece was fired, `u` the standard uncertainty of one reading.
    ///
    /// Readings that happen to lie on a line scatter less than the instrument does; the line is then no surer
    /// than the instrument, so the scatter is taken as `u` at least.
    ///
    /// # Errors   [`NoLine`] with fewer than three readings, or all after the same number of firings.
    pub fn of(readings: Vec<Reading>, now: u32, u: Length) -> Result<Self, NoLine> {
        let mut line = fit_line(&readings)?;
        line.residual_sd_mm = line.residual_sd_mm.max(u.mm());
        let t = t_quantile(CONFIDENCE, line.degrees_of_freedom());
        // Quadratic in the readings; a piece has dozens.
        let median_slope = theil_sen_slope(&readings);
        Ok(Self { readings, line, t, median_slope, now: f64::from(now) })
    }

    /// From the first to the last firing that was read.
    #[must_use]
    pub fn span(&self) -> f64 {
        let firings = || self.readings.iter().map(|reading| reading.firing);
        firings().fold(f64::NEG_INFINITY, f64::max) - firings().fold(f64::INFINITY, f64::min)
    }

    /// When the value meets a limit, counted from now.
    #[must_use]
    pub fn outlook(&self, limit: Length, way: Way) -> Outlook {
        let towards = |value: f64| if way == Way::Down { -value } else { value };
        if towards(self.line.at(self.now) - limit.mm()) >= 0.0 {
            return Outlook::Past;
        }
        let crossing = self.line.crossing(limit.mm(), self.t);
        let (Some(at), Some((low, high))) = (crossing.at, crossing.between) else {
            return Outlook::CannotTell;
        };
        if towards(self.line.slope_mm_per_firing) <= 0.0 {
            return Outlook::Away;
        }
        let at_most = FARTHEST * self.span();
        if at - self.now > at_most {
            return Outlook::Far { at_most };
        }
        let from_now = |firing: f64| (firing - self.now).max(0.0);
        Outlook::In { about: from_now(at), low: from_now(low), high: from_now(high) }
    }

    /// "4 readings over 61 firings".
    #[must_use]
    pub fn rests_on(&self) -> String {
        format!("{} readings over {}", self.readings.len(), firings(self.span()))
    }

    /// "0.04 mm less in 10 firings (0.03 to 0.06; the median of all pairs says 0.04)".
    #[must_use]
    pub fn rate_said(&self, unit: LengthUnit, [less, more]: [&str; 2]) -> String {
        let ten = |slope: f64| Length::from_mm(10.0 * slope);
        let slope = ten(self.line.slope_mm_per_firing);
        let (low, high) = self.line.slope_limits(self.t);
        // As seen in the direction of the slope.
        let turned = |slope_of: f64| if slope.0 < 0 { ten(-slope_of) } else { ten(slope_of) };
        let (from, to) = if slope.0 < 0 { (high, low) } else { (low, high) };
        let bare = |slope_of: f64| length_bare(turned(slope_of), unit);
        let median = self
            .median_slope
            .map_or_else(String::new, |median| format!("; the median of all pairs says {}", bare(median)));
        format!(
            "{} {} in 10 firings ({} to {}{median})",
            length(slope.abs(), unit),
            if slope.0 < 0 { less } else { more },
            bare(from),
            bare(to)
        )
    }
}

impl Outlook {
    /// What follows "at this rate it ...": "leaves its set in about 14 firings (9 to 31)".
    #[must_use]
    pub fn said(&self, does: &str, wear: &Wear) -> String {
        match *self {
            Self::Past => format!("{does} already, by this line"),
            Self::CannotTell => format!(
                "whether and when it {does} cannot be told: in {} it changed no more than readings scatter",
                wear.rests_on()
            ),
            Self::Away => format!("it does not come nearer to where it {does}: it moves the other way"),
            Self::Far { at_most } => {
                format!("{does} in more than {}: too far off to put a number on", firings(at_most))
            }
            Self::In { about, low, high } => {
                format!("{does} in about {} ({} to {})", firings(about), whole(low), whole(high))
            }
        }
    }
}

/// Why there is no line, for a piece whose readings count since `since`: "the last dressing".
#[must_use]
pub fn no_line_said(cause: NoLine, since: &str) -> String {
    match cause {
        NoLine::TooFew { n_readings } => format!(
            "{} since {since}, and a line with limits takes 3",
            match n_readings {
                0 => "no reading".to_owned(),
                n => count(n as u64, "reading", "readings"),
            }
        ),
        NoLine::OneFiring => {
            format!(
                "all readings since {since} are after the same number of firings; read it after the next ones"
            )
        }
    }
}

/// A number of firings as said.
fn firings(value: f64) -> String {
    let text = whole(value);
    format!("{text} {}", if text == "1" { "firing" } else { "firings" })
}

/// To the nearest whole firing; beyond 9999 nobody counts.
fn whole(value: f64) -> String {
    if value > 9_999.0 { "9999 and more".to_owned() } else { crate::view::text::fixed(libm::round(value), 0) }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn wear(values: &[(f64, f64)], now: u32) -> Wear {
        let reading = |(firing, value_mm): &(f64, f64)| Reading { firing: *firing, value_mm: *value_mm };
        Wear::of(values.iter().map(reading).collect(), now, Length::from_um(30)).unwrap()
    }

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    const WEARING: [(f64, f64); 5] =
        [(0.0, 150.0), (10.0, 149.71), (20.0, 149.5), (31.0, 149.12), (40.0, 148.93)];

    #[test]
    fn a_steady_wear_is_foretold_with_its_limits() {
        let wear = wear(&WEARING, 42);
        let outlook = wear.outlook(mm(148.5), Way::Down);
        // The same by hand from the sums: slope -0.02707, 13.37 firings from now; the band meets 148.5 mm at
        // 8.87 and 19.13.
        assert_eq!(outlook.said("leaves its set", &wear), "leaves its set in about 13 firings (9 to 19)");
        assert_eq!(
            wear.rate_said(LengthUnit::Mm, ["less", "more"]),
            "0.27 mm less in 10 firings (0.23 to 0.31; the median of all pairs says 0.27)"
        );
        assert_eq!(wear.outlook(mm(149.0), Way::Down), Outlook::Past);
        assert_eq!(wear.outlook(mm(151.0), Way::Up), Outlook::Away);
        assert_eq!(wear.outlook(mm(100.0), Way::Down), Outlook::Far { at_most: 120.0 });
    }

    #[test]
    fn scatter_is_not_taken_for_wear() {
        let wear = wear(&[(0.0, 150.0), (20.0, 150.04), (40.0, 149.98), (60.0, 150.01)], 61);
        let outlook = wear.outlook(mm(149.0), Way::Down);
        assert_eq!(outlook, Outlook::CannotTell);
        assert_eq!(
            outlook.said("leaves its set", &wear),
            "whether and when it leaves its set cannot be told: in 4 readings over 60 firings it changed no more \
             than readings scatter"
        );
    }

    #[test]
    fn readings_that_happen_to_lie_on_a_line_are_no_surer_than_the_instrument() {
        // 0.1 mm in 20 firings by an instrument of 0.03 mm, three times: t is 12.7 with one degree of freedom.
        let few = wear(&[(0.0, 150.0), (10.0, 149.95), (20.0, 149.9)], 20);
        assert_eq!(few.outlook(mm(149.7), Way::Down), Outlook::CannotTell);
        let many: Vec<(f64, f64)> =
            (0..12).map(|n| 10.0 * f64::from(n)).map(|at| (at, 150.0 - at / 200.0)).collect();
        let outlook = wear(&many, 110).outlook(mm(149.2), Way::Down);
        assert!(matches!(outlook, Outlook::In { low, high, .. } if low < 48.0 && high > 52.0), "{outlook:?}");
    }

    #[test]
    fn too_few_readings_are_counted() {
        let said = |cause| no_line_said(cause, "the last dressing");
        assert_eq!(
            said(NoLine::TooFew { n_readings: 1 }),
            "1 reading since the last dressing, and a line with limits takes 3"
        );
        assert!(said(NoLine::TooFew { n_readings: 0 }).starts_with("no reading since"));
    }
}
