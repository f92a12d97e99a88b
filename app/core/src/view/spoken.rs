//! Codes and values as a voice should say them, through a mask and over a grinder.
//!
//! What this does not do: speak. The browser does, where somebody switched it on.
use super::LengthUnit;

/// A code letter by letter: "F 0 7".
#[must_use]
pub fn code(code: &str) -> String {
    let letters: Vec<String> = code.chars().map(String::from).collect();
    letters.join(" ")
}

/// A value as it was typed, with its unit where none was typed: "0.7 millimetres", "2 cards".
#[must_use]
pub fn value(typed: &str, unit: LengthUnit) -> String {
    let typed = typed.trim();
    let has_unit = typed.contains(|c: char| c.is_alphabetic() || c == '"');
    match unit {
        _ if typed.is_empty() => "nothing".to_owned(),
        _ if has_unit => typed.replace(" mm", " millimetres").replace(" in", " inches"),
        LengthUnit::Mm => format!("{typed} millimetres"),
        LengthUnit::Inch | LengthUnit::InchFraction => format!("{typed} inches"),
    }
}

/// An entry as the history tells it, its code letter by letter: "P 0 7: 149.6 millimetres, caliper".
#[must_use]
pub fn entry(said: &str) -> String {
    let (first, rest) = match said.split_once(": ") {
        Some((first, rest)) if !first.contains(' ') => (format!("{}: ", code(first)), rest),
        _ => (String::new(), said),
    };
    format!("{first}{}", rest.replace(" mm", " millimetres").replace(" in,", " inches,"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_spelt_and_values_have_their_unit() {
        assert_eq!(code("F07"), "F 0 7");
        assert_eq!(value(" 0.7 ", LengthUnit::Mm), "0.7 millimetres");
        assert_eq!(value("7/8", LengthUnit::InchFraction), "7/8 inches");
        assert_eq!(value("3 mm", LengthUnit::Inch), "3 millimetres");
        assert_eq!(value("2 cards", LengthUnit::Mm), "2 cards");
        assert_eq!(value("", LengthUnit::Mm), "nothing");
        assert_eq!(entry("P07: 149.6 mm, caliper"), "P 0 7: 149.6 millimetres, caliper");
        assert_eq!(entry("P07: 5.89 in, tape"), "P 0 7: 5.89 inches, tape");
        assert_eq!(entry("2 entries recorded, the last: F01"), "2 entries recorded, the last: F01");
    }
}
