//! The name of a pyrometric cone: 022 (coolest) to 01, then 1 to 14.
//!
//! What this does not do: temperatures. They depend on the chart and the heating rate; the calculation
//! of kind `cone` has them with their sources.
use serde::{Deserialize, Serialize};
use std::fmt;

/// A cone, ordered from the coolest. Stored as its name: "06", "10".
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ConeName(i8);

/// A text that names no cone.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0:?} is not a cone; give 022 to 01 or 1 to 14, with its leading zero where it has one")]
pub struct NoSuchCone(pub String);

impl ConeName {
    /// Reads "06", "6", "10".
    ///
    /// # Errors   [`NoSuchCone`] for anything else.
    pub fn read(text: &str) -> Result<Self, NoSuchCone> {
        let name = text.trim();
        let bad = || NoSuchCone(name.to_owned());
        let number: i8 = name.parse().map_err(|_| bad())?;
        let all_digits = name.bytes().all(|b| b.is_ascii_digit());
        match name.strip_prefix('0') {
            Some(_) if all_digits && (1..=22).contains(&number) && name.len() <= 3 => Ok(Self(-number)),
            None if all_digits && (1..=14).contains(&number) => Ok(Self(number)),
            _ => Err(bad()),
        }
    }

    /// Every cone from the coolest to the hottest.
    pub fn all() -> impl Iterator<Item = Self> {
        (-22..=14).filter(|n| *n != 0).map(Self)
    }

    /// Steps from cone 01 upwards: cone 1 is 1, cone 10 is 10, cone 04 is -4.
    #[must_use]
    pub const fn rank(self) -> i8 {
        self.0
    }
}

impl fmt::Display for ConeName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 < 0 { write!(f, "0{}", -self.0) } else { write!(f, "{}", self.0) }
    }
}

impl TryFrom<String> for ConeName {
    type Error = NoSuchCone;
    fn try_from(text: String) -> Result<Self, NoSuchCone> {
        Self::read(&text)
    }
}

impl From<ConeName> for String {
    fn from(cone: ConeName) -> Self {
        cone.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_round_trip_in_order() {
        let all: Vec<ConeName> = ConeName::all().collect();
        assert!(all.is_sorted());
        assert_eq!(all.len(), 36);
        for cone in all {
            assert_eq!(ConeName::read(&cone.to_string()), Ok(cone));
        }
        for bad in ["", "0", "00", "15", "023", "6.5", "-6", "six", "+6"] {
            assert!(ConeName::read(bad).is_err(), "{bad}");
        }
    }
}
