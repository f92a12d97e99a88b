//! Short codes of pieces: one letter and two or three digits, sayable through a mask.
//!
//! The tool gives `F01` to shelves, `P01` to posts and `K01` to sets: three letters that no digit
//! resembles and that do not rhyme with one another ("eff", "pee", "kay"). A mark that a piece already
//! bears may be kept as its code instead. A typed code may end in a hyphen and an ISO/IEC 7064
//! MOD 37,36 check character (`F07-8`), which is verified and dropped.
use serde::{Deserialize, Serialize};
use std::fmt;

/// The longest code kept: an engraved mark is rarely longer, and a label has room for it.
/// House choice: 12 characters of 8 mm capitals fill a 100 mm label.
pub const LONGEST: usize = 12;

/// A code: 1 to 12 of A–Z and 0–9, upper case.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Code(String);

/// Why a typed code was not taken.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum CodeError {
    /// Nothing was typed.
    #[error("type a code, such as F07")]
    Empty,
    /// Too long.
    #[error("{0:?} is too long for a code; use at most {LONGEST} letters and digits")]
    Long(String),
    /// A character that codes do not have.
    #[error("{found:?} in {text:?} cannot be in a code; use letters A to Z and digits")]
    Character {
        /// The character.
        found: char,
        /// What was typed.
        text: String,
    },
    /// The check character does not belong to the code.
    #[error("check character {found} does not fit {code}; read the label again")]
    Check {
        /// The code before the hyphen.
        code: String,
        /// What was typed after it.
        found: char,
    },
}

impl Code {
    /// Reads a code as typed: any case, spaces around and within ignored, check character verified.
    ///
    /// # Errors   [`CodeError`], which says what a code may hold.
    /// # Example
    /// ```
    /// use tripoise_core::code::Code;
    /// assert_eq!(Code::read(" f07 ")?.as_str(), "F07");
    /// # Ok::<(), tripoise_core::code::CodeError>(())
    /// ```
    pub fn read(text: &str) -> Result<Self, CodeError> {
        let compact: String = text.split_whitespace().collect::<String>().to_uppercase();
        let (body, check) = match compact.rsplit_once('-') {
            Some((body, tail)) => {
                let mut tail_chars = tail.chars();
                match (tail_chars.next(), tail_chars.next()) {
                    (Some(check), None) => (body, Some(check)),
                    _ => (compact.as_str(), None),
                }
            }
            None => (compact.as_str(), None),
        };
        if body.is_empty() {
            return Err(CodeError::Empty);
        }
        if let Some(found) = body.chars().find(|c| value_37_36(*c).is_none()) {
            return Err(CodeError::Character { found, text: text.trim().to_owned() });
        }
        if body.len() > LONGEST {
            return Err(CodeError::Long(body.to_owned()));
        }
        match check {
            Some(found) if check_character(body) != Some(found) => {
                Err(CodeError::Check { code: body.to_owned(), found })
            }
            _ => Ok(Self(body.to_owned())),
        }
    }

    /// The code as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The code with its check character, as a label may bear it: `F07-8`.
    #[must_use]
    pub fn checked(&self) -> String {
        check_character(&self.0).map_or_else(|| self.0.clone(), |check| format!("{}-{check}", self.0))
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<String> for Code {
    type Error = CodeError;
    fn try_from(text: String) -> Result<Self, CodeError> {
        Self::read(&text)
    }
}

impl From<Code> for String {
    fn from(code: Code) -> Self {
        code.0
    }
}

/// The `number`-th code with this letter: `F07`, `P120`.
#[must_use]
pub fn nth(letter: char, number: usize) -> Code {
    Code(format!("{letter}{number:02}"))
}

/// The first `count` codes with this letter that are not taken, counting on from the highest one in use.
#[must_use]
pub fn next_free<'a>(letter: char, taken: impl Iterator<Item = &'a Code>, count: usize) -> Vec<Code> {
    let highest = taken
        .filter_map(|code| code.0.strip_prefix(letter))
        .filter(|digits| digits.len() <= 4)
        .filter_map(|digits| digits.parse::<usize>().ok())
        .max()
        .unwrap_or(0);
    (highest + 1..=highest + count).map(|number| nth(letter, number)).collect()
}

fn value_37_36(c: char) -> Option<u32> {
    match c {
        '0'..='9' => Some(u32::from(c) - u32::from('0')),
        'A'..='Z' => Some(u32::from(c) - u32::from('A') + 10),
        _ => None,
    }
}

/// The ISO/IEC 7064 MOD 37,36 check character of a text of A–Z and 0–9; none for any other text.
///
/// # Source   ISO/IEC 7064 hybrid system MOD 37,36; checked in `tests/reference/codes.rs`.
#[must_use]
pub fn check_character(text: &str) -> Option<char> {
    let mut product = 36;
    for c in text.chars() {
        let mut sum = (product + value_37_36(c)?) % 36;
        if sum == 0 {
            sum = 36;
        }
        product = sum * 2 % 37;
    }
    char::from_digit((37 - product) % 36, 36).map(|c| c.to_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(typed: &str, expected: Result<&str, &str>) {
        let got = Code::read(typed);
        match (&got, expected) {
            (Ok(code), Ok(text)) => assert_eq!(code.as_str(), text),
            (Err(error), Err(part)) => assert!(error.to_string().contains(part), "{error}"),
            _ => panic!("{typed:?}: {got:?}, expected {expected:?}"),
        }
    }

    #[test]
    fn codes_as_people_type_them() {
        check("F07", Ok("F07"));
        check("  f 07\n", Ok("F07"));
        check("OLD12", Ok("OLD12"));
        check("", Err("type a code"));
        check("F-07", Err("cannot be in a code"));
        check("ü", Err("cannot be in a code"));
        check("ABCDEFGHIJKLM", Err("too long"));
    }

    #[test]
    fn a_check_character_is_verified_and_dropped() {
        let code = nth('F', 7);
        check(&code.checked(), Ok("F07"));
        let right = check_character("F07");
        let wrong = if right == Some('1') { '2' } else { '1' };
        check(&format!("F07-{wrong}"), Err("does not fit F07"));
    }

    #[test]
    fn given_codes_count_on() {
        let taken: Vec<Code> =
            ["F02", "F09", "P33", "FRED"].iter().filter_map(|t| Code::read(t).ok()).collect();
        let next: Vec<String> = next_free('F', taken.iter(), 2).into_iter().map(String::from).collect();
        assert_eq!(next, ["F10", "F11"]);
    }
}
