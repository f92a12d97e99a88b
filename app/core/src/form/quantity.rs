//! Typed lengths, masses, counts and money.
//!
//! A length may be typed as `150`, `150.4 mm`, `15,04 cm`, `5.875"`, `5 7/8 in`, `7/8`, `30 thou`, or as a
//! household feeler: `card`, `2 cards`, `paper`, `playing card`. A bare number is in the unit of the page.
//! The arithmetic is exact (integers), so that 1/64 in and 0.001 in survive a round trip.
use crate::settings::{SettingKey, Settings};
use crate::units::{Length, Mass, NM_PER_INCH};
use crate::view::text::LengthUnit;

/// Household feelers with their thickness in force.
#[derive(Clone, PartialEq, Eq, Debug, Default, serde::Serialize, serde::Deserialize)]
pub struct Feelers {
    /// A bank card.
    pub card_nm: Length,
    /// A sheet of paper.
    pub paper_nm: Length,
    /// A playing card.
    pub playing_card_nm: Length,
}

impl Feelers {
    /// The thicknesses in force.
    #[must_use]
    pub fn of(settings: &Settings) -> Self {
        Self {
            card_nm: settings.length(SettingKey::CardFeeler),
            paper_nm: settings.length(SettingKey::PaperFeeler),
            playing_card_nm: settings.length(SettingKey::PlayingCardFeeler),
        }
    }

    fn named(&self, word: &str) -> Option<Length> {
        match word {
            "card" | "cards" | "bank card" | "bank cards" => Some(self.card_nm),
            "paper" | "papers" | "sheet" | "sheets" | "sheet of paper" | "sheets of paper" => {
                Some(self.paper_nm)
            }
            "playing card" | "playing cards" => Some(self.playing_card_nm),
            _ => None,
        }
    }
}

/// A non-negative decimal or fraction as a ratio of integers.
#[derive(Clone, Copy)]
struct Rational {
    top: i128,
    bottom: i128,
}

/// The longest number taken, in characters: far beyond any reading, short enough for exact integers.
const LONGEST: usize = 15;

/// Reads a length. Negative values are read too; the caller decides whether they make sense.
///
/// # Errors   One line that says what is wanted, to stand beside the field.
/// # Example
/// ```
/// use tripoise_core::form::quantity::{Feelers, read_length};
/// use tripoise_core::view::LengthUnit;
/// let length = read_length("5 7/8 in", LengthUnit::Mm, &Feelers::default())?;
/// assert_eq!(length.0, 149_225_000);
/// # Ok::<(), String>(())
/// ```
pub fn read_length(text: &str, unit: LengthUnit, feelers: &Feelers) -> Result<Length, String> {
    let clean = normal(text);
    let wanted = || format!("{:?} is not a length; type for example {}", text.trim(), example(unit));
    if clean.is_empty() {
        return Err(format!("type a length, for example {}", example(unit)));
    }
    let (sign, unsigned) = match clean.strip_prefix('-') {
        Some(rest) => (-1, rest.trim_start()),
        None => (1, clean.strip_prefix('+').map_or(clean.as_str(), str::trim_start)),
    };
    let split = unsigned.find(|c: char| c.is_alphabetic() || c == '"' || c == '\'').unwrap_or(unsigned.len());
    let (number, word) = (unsigned[..split].trim(), unsigned[split..].trim());
    if let Some(each) = feelers.named(word) {
        let times = if number.is_empty() {
            Rational { top: 1, bottom: 1 }
        } else {
            rational(number).ok_or_else(wanted)?
        };
        return scale(times, i128::from(each.0) * sign).ok_or_else(wanted);
    }
    let nm_per_unit = match word {
        "" => match unit {
            LengthUnit::Mm => 1_000_000,
            LengthUnit::Inch | LengthUnit::InchFraction => NM_PER_INCH,
        },
        "mm" | "millimetre" | "millimetres" | "millimeters" => 1_000_000,
        "cm" => 10_000_000,
        "m" => 1_000_000_000,
        "um" | "µm" | "μm" => 1_000,
        "in" | "inch" | "inches" | "\"" | "in." | "''" => NM_PER_INCH,
        "thou" | "mil" => NM_PER_INCH / 1000,
        _ => {
            return Err(format!(
                "{word:?} is not a unit here; use mm, cm, in, thou or a feeler such as card"
            ));
        }
    };
    let value = rational(number).ok_or_else(wanted)?;
    scale(value, i128::from(nm_per_unit) * sign).ok_or_else(wanted)
}

/// Reads a count from 0 to `most`.
///
/// # Errors   One line that says what is wanted.
pub fn read_count(text: &str, most: u32) -> Result<u32, String> {
    let clean = normal(text);
    match clean.parse::<u32>() {
        Ok(count) if count <= most => Ok(count),
        _ => Err(format!("{:?} is not a count here; type a whole number up to {most}", text.trim())),
    }
}

/// Reads an amount of money as hundredths: `84`, `84.50`, `84,5`.
///
/// # Errors   One line that says what is wanted.
pub fn read_cents(text: &str) -> Result<i64, String> {
    let clean = normal(text);
    let wanted = || format!("{:?} is not a price; type for example 84.50", text.trim());
    let value = rational(&clean).ok_or_else(wanted)?;
    let cents = value.top.checked_mul(100).ok_or_else(wanted)? / value.bottom;
    i64::try_from(cents).ok().filter(|c| *c <= 100_000_000).ok_or_else(wanted)
}

/// Reads a plain ratio in millionths: `25 %` is 250 000, `6` is 6 000 000.
///
/// # Errors   One line that says what is wanted.
pub fn read_ratio(text: &str) -> Result<i64, String> {
    let clean = normal(text);
    let wanted = || format!("{:?} is not a share; type for example 25 % or 6", text.trim());
    let (number, per) = match clean.strip_suffix('%') {
        Some(number) => (number.trim(), 10_000),
        None => (clean.trim_end_matches("to 1").trim(), 1_000_000),
    };
    let value = rational(number).ok_or_else(wanted)?;
    scale(value, per).map(|scaled| scaled.0).ok_or_else(wanted)
}

/// Reads a figure in thousandths of the unit that is named, which may be left out: `7.5`, `7.5 MPa`.
///
/// # Errors   One line that says what is wanted.
pub fn read_thousandths(text: &str, unit: &str) -> Result<i64, String> {
    let clean = normal(text);
    let wanted = || format!("{:?} is not a figure here; type for example 7.5 {unit}", text.trim());
    let number = clean.strip_suffix(&unit.to_lowercase()).unwrap_or(&clean);
    let value = rational(number).ok_or_else(wanted)?;
    scale(value, 1_000).map(|scaled| scaled.0).ok_or_else(wanted)
}

/// Reads a mass: `12`, `12,5 kg`, `500 g`, `26 lb`. A bare number is in kilograms.
///
/// # Errors   One line that says what is wanted.
pub fn read_mass(text: &str) -> Result<Mass, String> {
    let clean = normal(text);
    let wanted = || format!("{:?} is not a mass; type for example 12 kg, or 26 lb", text.trim());
    let split = clean.find(char::is_alphabetic).unwrap_or(clean.len());
    let (number, word) = (clean[..split].trim(), clean[split..].trim());
    // 1 lb is 0.453 592 37 kg by definition (international yard and pound agreement, 1959); to the milligram.
    let mg = match word {
        "" | "kg" => 1_000_000,
        "g" => 1_000,
        "lb" | "lbs" => 453_592,
        _ => return Err(wanted()),
    };
    let value = rational(number).ok_or_else(wanted)?;
    scale(value, mg).map(|scaled| Mass(scaled.0)).ok_or_else(wanted)
}

/// Lower case, one kind of space, one kind of minus, no space at the ends.
fn normal(text: &str) -> String {
    let swapped: String = text
        .chars()
        .map(|c| match c {
            '\u{2212}' | '\u{2013}' | '\u{2011}' => '-',
            '\u{2033}' | '\u{201d}' | '\u{201c}' => '"',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect();
    let swapped = vulgar(&swapped).to_lowercase();
    swapped.split(' ').filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Replaces ½ and its like, as a phone's keyboard offers them.
fn vulgar(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            other => out.push(other),
        }
    }
    out
}

/// `5`, `5.875`, `5,875`, `.5`, `7/8`, `5 7/8`, `5-7/8`.
fn rational(text: &str) -> Option<Rational> {
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    if let Some((whole_and_top, bottom)) = text.split_once('/') {
        let bottom: i128 = digits(bottom)?;
        let (whole, top) = match whole_and_top.trim().rsplit_once([' ', '-']) {
            Some((whole, top)) => (digits(whole)?, digits(top)?),
            None => (0, digits(whole_and_top)?),
        };
        let proper = (1..=1_000_000).contains(&bottom) && (whole == 0 || top < bottom);
        return proper.then_some(Rational { top: whole * bottom + top, bottom });
    }
    let marks = text.matches(['.', ',']).count();
    if marks > 1 {
        return None;
    }
    match text.split_once(['.', ',']) {
        Some((whole, part)) if !(whole.is_empty() && part.is_empty()) => {
            let bottom = 10_i128.checked_pow(u32::try_from(part.len()).ok()?)?;
            let whole = if whole.is_empty() { 0 } else { digits(whole)? };
            let part = if part.is_empty() { 0 } else { digits(part)? };
            Some(Rational { top: whole * bottom + part, bottom })
        }
        Some(_) => None,
        None => Some(Rational { top: digits(text)?, bottom: 1 }),
    }
}

fn digits(text: &str) -> Option<i128> {
    let text = text.trim();
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// `value * unit`, rounded half away from zero.
fn scale(value: Rational, unit: i128) -> Option<Length> {
    let exact = value.top.checked_mul(unit)?;
    let half = if exact < 0 { -(value.bottom / 2) } else { value.bottom / 2 };
    i64::try_from((exact + half) / value.bottom).ok().map(Length)
}

fn example(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "150.4, or 5 7/8 in",
        LengthUnit::Inch => "5.875, or 150 mm",
        LengthUnit::InchFraction => "5 7/8, or 150 mm",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn feelers() -> Feelers {
        Feelers::of(&Settings::default())
    }

    fn check(text: &str, unit: LengthUnit, expected: Result<i64, &str>) {
        let got = read_length(text, unit, &feelers());
        match (&got, expected) {
            (Ok(length), Ok(nm)) => assert_eq!(length.0, nm, "{text:?}"),
            (Err(said), Err(part)) => assert!(said.contains(part), "{text:?}: {said}"),
            _ => panic!("{text:?}: {got:?}, expected {expected:?}"),
        }
    }

    #[test]
    fn lengths_as_people_type_them() {
        let mm = LengthUnit::Mm;
        check("150", mm, Ok(150_000_000));
        check(" 150,4\u{a0}mm ", mm, Ok(150_400_000));
        check("15.04 cm", mm, Ok(150_400_000));
        check("5 7/8\"", mm, Ok(149_225_000));
        check("5-7/8 in", mm, Ok(149_225_000));
        check("5⅞ in", mm, Ok(149_225_000));
        check("7/8", LengthUnit::InchFraction, Ok(22_225_000));
        check(".001", LengthUnit::Inch, Ok(25_400));
        check("30 thou", mm, Ok(762_000));
        check("bank card", mm, Ok(760_000));
        check("2 cards", mm, Ok(1_520_000));
        check("paper", mm, Ok(100_000));
        check("\u{2212}3", mm, Ok(-3_000_000));
    }

    #[test]
    fn what_is_not_a_length_is_said_so() {
        let mm = LengthUnit::Mm;
        check("", mm, Err("type a length"));
        check("1,234.5", mm, Err("is not a length"));
        check("5 9/8", mm, Err("is not a length"));
        check("7/0", mm, Err("is not a length"));
        check("12 ells", mm, Err("is not a unit"));
        check("NaN", mm, Err("is not a unit"));
        check("1e5", mm, Err("is not a unit"));
        check("99999999999999999999", mm, Err("is not a length"));
    }

    #[test]
    fn money_counts_and_shares() {
        assert_eq!(read_cents("84,5"), Ok(8450));
        assert_eq!(read_count(" 12 ", 500), Ok(12));
        assert!(read_count("-1", 500).is_err());
        assert_eq!(read_ratio("25 %"), Ok(250_000));
        assert_eq!(read_ratio("6"), Ok(6_000_000));
        assert_eq!(read_mass("12,5"), Ok(Mass(12_500_000)));
        assert_eq!(read_mass(" 500 g"), Ok(Mass(500_000)));
        assert_eq!(read_mass("2 lb"), Ok(Mass(907_184)));
        assert!(read_mass("-3").is_err() && read_mass("two").is_err() && read_mass("12 mm").is_err());
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,24}") {
            let read = read_length(&text, LengthUnit::Mm, &feelers());
            prop_assert!(read.is_ok() || read.is_err_and(|said| !said.is_empty()));
        }

        #[test]
        fn shown_sixty_fourths_read_back(n in 0_i64..100_000) {
            let length = Length(n * NM_PER_INCH / 64);
            let shown = crate::view::text::length_input(length, LengthUnit::InchFraction);
            let back = read_length(&shown, LengthUnit::InchFraction, &feelers());
            prop_assert_eq!(back, Ok(length));
        }

        #[test]
        fn shown_hundredths_read_back(n in -1_000_000_i64..1_000_000) {
            let length = Length(n * 10_000);
            let shown = crate::view::text::length_input(length, LengthUnit::Mm);
            prop_assert_eq!(read_length(&shown, LengthUnit::Mm, &feelers()), Ok(length));
        }
    }
}
