//! Lengths, dates and counts as text, in the unit that the studio chose.
use crate::units::{Length, NM_PER_INCH};
use jiff::Timestamp;
use jiff::tz::Offset;
use serde::{Deserialize, Serialize};

/// The unit that lengths are shown in, and that a bare typed number is read in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Decimal inches.
    Inch,
    /// Inches and 64ths.
    InchFraction,
}

impl LengthUnit {
    /// From the setting's value.
    #[must_use]
    pub const fn from_setting(value: i64) -> Self {
        match value {
            1 => Self::Inch,
            2 => Self::InchFraction,
            _ => Self::Mm,
        }
    }

    /// The unit's sign after a number.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch | Self::InchFraction => "in",
        }
    }
}

/// A length with its unit: `1.9 mm`, `0.075 in`, `5 63/64 in`. Millimetres to the hundredth and decimal
/// inches to the thousandth, without trailing zeros; fractions to the nearest 64th.
#[must_use]
pub fn length(value: Length, unit: LengthUnit) -> String {
    format!("{} {}", length_bare(value, unit), unit.sign())
}

/// A length that was read by eye on a drawing, a crack's for one: to the millimetre, the tenth or the eighth
/// of an inch. More figures would say more than anyone saw.
#[must_use]
pub fn length_by_eye(value: Length, unit: LengthUnit) -> String {
    let step = match unit {
        LengthUnit::Mm => 1_000_000,
        LengthUnit::Inch => NM_PER_INCH / 10,
        LengthUnit::InchFraction => NM_PER_INCH / 8,
    };
    let steps = value.0.signum() * ((value.0.saturating_abs() + step / 2) / step);
    length(Length(steps * step), unit)
}

/// [`length`] without the unit.
#[must_use]
pub fn length_bare(value: Length, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => decimal(value.0, 10_000, 2),
        LengthUnit::Inch => decimal(value.0, NM_PER_INCH / 1000, 3),
        LengthUnit::InchFraction => sixty_fourths(value.0),
    }
}

/// `value / step` rounded to the nearest whole step, written with `places` decimals, zeros trimmed.
fn decimal(value: i64, step: i64, places: u32) -> String {
    let steps = (value.unsigned_abs() + step.unsigned_abs() / 2) / step.unsigned_abs();
    let scale = 10_u64.pow(places);
    let (whole, part) = (steps / scale, steps % scale);
    let sign = if value < 0 && steps > 0 { "\u{2212}" } else { "" };
    let width = places as usize;
    let text = format!("{sign}{whole}.{part:0width$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn sixty_fourths(value: i64) -> String {
    let parts = (value.unsigned_abs() * 64 + NM_PER_INCH.unsigned_abs() / 2) / NM_PER_INCH.unsigned_abs();
    let sign = if value < 0 && parts > 0 { "\u{2212}" } else { "" };
    let (whole, mut top) = (parts / 64, parts % 64);
    if top == 0 {
        return format!("{sign}{whole}");
    }
    let mut bottom = 64;
    while top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    if whole == 0 { format!("{sign}{top}/{bottom}") } else { format!("{sign}{whole} {top}/{bottom}") }
}

/// The length as plain ASCII for a form field's value: a minus that can be typed back.
#[must_use]
pub fn length_input(value: Length, unit: LengthUnit) -> String {
    length_bare(value, unit).replace('\u{2212}', "-")
}

/// An amount of money in hundredths as a form field takes it: `84.50`, `84`. The currency is the studio's own.
#[must_use]
pub fn money_input(cents: i64) -> String {
    let (whole, part) = (cents / 100, cents % 100);
    if part == 0 { whole.to_string() } else { format!("{whole}.{part:02}") }
}

/// A moment as "2026-03-01 14:05" in UTC; the browser turns it into local time after hydration.
#[must_use]
pub fn moment(at: Timestamp) -> String {
    let civil = Offset::UTC.to_datetime(at);
    format!("{} {:02}:{:02}", civil.date(), civil.hour(), civil.minute())
}

/// A moment's day as "2026-03-01", in UTC.
#[must_use]
pub fn day(at: Timestamp) -> String {
    Offset::UTC.to_datetime(at).date().to_string()
}

/// "1 firing", "12 firings".
#[must_use]
pub fn count(n: u64, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// A share as a whole per cent: 0.253 is "25 %".
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{} %", libm::round(share * 100.0))
}

/// An angle or slope with this many decimals, without a negative zero.
#[must_use]
pub fn fixed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        text.trim_start_matches('-').to_owned()
    } else {
        text.replace('-', "\u{2212}")
    }
}

/// The text with its first letter upper case, as a line of its own begins.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(nm: i64, unit: LengthUnit, expected: &str) {
        assert_eq!(length(Length(nm), unit), expected);
    }

    #[test]
    fn lengths_as_shown() {
        check(1_900_000, LengthUnit::Mm, "1.9 mm");
        check(152_314_999, LengthUnit::Mm, "152.31 mm");
        check(-400_000, LengthUnit::Mm, "\u{2212}0.4 mm");
        check(-4_000, LengthUnit::Mm, "0 mm");
        check(25_400, LengthUnit::Inch, "0.001 in");
        check(25_400_000 * 6, LengthUnit::Inch, "6 in");
        check(25_400_000 * 47 / 8, LengthUnit::InchFraction, "5 7/8 in");
        check(25_400_000 / 64, LengthUnit::InchFraction, "1/64 in");
        check(0, LengthUnit::InchFraction, "0 in");
    }

    #[test]
    fn what_was_read_by_eye_is_not_told_to_the_hundredth() {
        let check = |nm, unit, expected: &str| assert_eq!(length_by_eye(Length(nm), unit), expected);
        check(82_870_000, LengthUnit::Mm, "83 mm");
        check(400_000, LengthUnit::Mm, "0 mm");
        check(82_870_000, LengthUnit::Inch, "3.3 in");
        check(82_870_000, LengthUnit::InchFraction, "3 1/4 in");
    }
}
