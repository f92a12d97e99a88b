//! The codes of a batch: given by the tool, or kept from the marks that the pieces already bear.
use crate::code::{self, Code};
use crate::form::Reader;
use std::collections::BTreeSet;

/// A code for each of `count` pieces: the marks typed where there are any, else the next free ones.
/// Every mark that cannot be kept is named, not only the first.
pub(super) fn read(reader: &mut Reader<'_>, letter: char, taken: &[Code], count: u32) -> Option<Vec<Code>> {
    let typed = reader.text("marks");
    if typed.is_empty() {
        return Some(code::next_free(letter, taken.iter(), count as usize));
    }
    let marks = split(typed, count as usize);
    let mut codes = Vec::with_capacity(marks.len());
    let mut wrong = Vec::new();
    let mut seen = BTreeSet::new();
    for mark in &marks {
        match Code::read(mark) {
            Ok(code) if !seen.insert(code.clone()) => wrong.push(format!("{code} stands twice in the list")),
            Ok(code) if taken.contains(&code) => wrong.push(format!("{code} is taken by another piece")),
            Ok(code) => codes.push(code),
            Err(cause) => wrong.push(cause.to_string()),
        }
    }
    if marks.len() != count as usize {
        wrong.push(format!("{} marks for {count} pieces; give one for each, or none", marks.len()));
    }
    if wrong.is_empty() {
        return Some(codes);
    }
    reader.problem("marks", wrong.join("; "));
    None
}

/// The code of a piece that is being corrected, which may keep its own.
pub(super) fn corrected(reader: &mut Reader<'_>, taken: &[Code], own: &Code) -> Option<Code> {
    let code = reader.code("code")?;
    if code != *own && taken.contains(&code) {
        reader.problem("code", format!("{code} is taken by another piece"));
        return None;
    }
    Some(code)
}

/// One mark a line, or with commas or semicolons; with spaces only where that gives as many as are wanted,
/// since a mark may be typed as "F 07".
fn split(typed: &str, count: usize) -> Vec<&str> {
    let part = |at: fn(char) -> bool| {
        typed.split(at).map(str::trim).filter(|mark| !mark.is_empty()).collect::<Vec<_>>()
    };
    let by_mark = part(|c| matches!(c, ',' | ';' | '\n' | '\r'));
    let by_space = part(|c| matches!(c, ',' | ';') || c.is_whitespace());
    if by_mark.len() != count && by_space.len() == count { by_space } else { by_mark }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::FormValues;
    use crate::form::quantity::Feelers;
    use crate::view::LengthUnit;

    fn check(typed: &str, count: u32, expected: Result<&[&str], &str>) {
        let values = FormValues::from_pairs([("marks".to_owned(), typed.to_owned())]);
        let mut reader = Reader::new(&values, LengthUnit::Mm, Feelers::default());
        let taken: Vec<Code> = ["F01", "OLD7"].iter().filter_map(|t| Code::read(t).ok()).collect();
        let read = read(&mut reader, 'F', &taken, count);
        match (reader.finish(read), expected) {
            (Ok(codes), Ok(wanted)) => {
                assert_eq!(codes.iter().map(Code::as_str).collect::<Vec<_>>(), wanted, "{typed:?}");
            }
            (Err(problems), Err(wanted)) => assert_eq!(problems[0].cause, wanted, "{typed:?}"),
            (got, _) => panic!("{typed:?}: {got:?}, expected {expected:?}"),
        }
    }

    #[test]
    fn codes_are_given_or_kept() {
        check("", 2, Ok(&["F02", "F03"]));
        check(" a1, b 2\n\nC3;", 3, Ok(&["A1", "B2", "C3"]));
        check("a1 b2 c3", 3, Ok(&["A1", "B2", "C3"]));
        check("f 07", 1, Ok(&["F07"]));
        check(&code::nth('F', 7).checked(), 1, Ok(&["F07"]));
    }

    #[test]
    fn every_mark_that_cannot_be_kept_is_named() {
        check("a1, a1, old7", 3, Err("A1 stands twice in the list; OLD7 is taken by another piece"));
        check("a1", 2, Err("1 marks for 2 pieces; give one for each, or none"));
        check(
            "a/1, F01",
            2,
            Err(
                "'/' in \"a/1\" cannot be in a code; use letters A to Z and digits; F01 is taken by another piece",
            ),
        );
    }

    #[test]
    fn a_wrong_check_character_is_refused() {
        let right = code::check_character("F07").unwrap_or('0');
        let wrong = if right == 'X' { 'Y' } else { 'X' };
        let said = format!("check character {wrong} does not fit F07; read the label again");
        check(&format!("F07-{wrong}"), 1, Err(&said));
    }
}
