//! Lengths, masses and temperatures: the only unit conversions in the project.
//!
//! Quantities are integers (nanometres, milligrams, thousandths of a degree), so that events compare
//! exactly and 0.001 in and 1/64 in survive a round trip (1 in = 25.4 mm exactly).
//!
//! What this does not do: parse what a person typed; that is [`crate::form::quantity`].
use serde::{Deserialize, Serialize};

/// Nanometres in a millimetre.
const NM_PER_MM: f64 = 1e6;
/// Nanometres in an inch: exact by definition (international yard and pound agreement, 1959).
pub const NM_PER_INCH: i64 = 25_400_000;

/// A length in whole nanometres; JSON writes the bare number, so fields are named `…_nm`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(pub i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// A length from whole micrometres.
    #[must_use]
    pub const fn from_um(um: i64) -> Self {
        Self(um * 1000)
    }

    /// The nearest length to `mm` millimetres; values beyond ±9.2 million kilometres saturate, NaN is 0.
    #[must_use]
    pub fn from_mm(mm: f64) -> Self {
        // `as` saturates and maps NaN to 0: both are stated above.
        #[expect(clippy::cast_possible_truncation, reason = "saturation is the documented behaviour")]
        Self(libm::round(mm * NM_PER_MM) as i64)
    }

    /// In millimetres.
    #[must_use]
    pub fn mm(self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "lengths are far below 2^53 nm = 9000 km")]
        let nm = self.0 as f64;
        nm / NM_PER_MM
    }

    /// The distance from zero.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }
}

impl std::ops::Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::ops::Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

/// A mass in whole milligrams; fields are named `…_mg`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mass(pub i64);

impl Mass {
    /// In kilograms.
    #[must_use]
    pub fn kg(self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "masses are far below 2^53 mg")]
        let mg = self.0 as f64;
        mg / 1e6
    }

    /// The nearest mass to `kg` kilograms; saturates, NaN is 0.
    #[must_use]
    pub fn from_kg(kg: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "saturation is the documented behaviour")]
        Self(libm::round(kg * 1e6) as i64)
    }
}
