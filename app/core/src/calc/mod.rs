//! The calculations behind `tripoise calc`: JSON text in, JSON text out, by kind.
//!
//! What this does not do: compute. Each kind reads its input with [`input`], calls one pure function of
//! [`crate::geometry`] or of a sibling, and writes the answer with [`output`]. Nothing here reads a file.
//!
//! A new kind is one file and one line in [`KINDS`].
mod cone;
pub mod error;
mod flatness;
mod four_post;
pub mod input;
mod life;
mod match_sets;
pub mod output;
mod plate;
mod stack;
mod straightedge;
mod three_post;
mod trend;

pub use error::CalcError;
use input::Node;

/// One calculation: its name on the command line, how to run it, and its help.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    /// The word after `tripoise calc`.
    pub name: &'static str,
    /// Reads the parsed input and returns one JSON object as text.
    pub run: fn(&Node<'_>) -> Result<String, CalcError>,
    /// What it computes, its fields, and between `<<'END'` and `END` an example that runs.
    pub help: &'static str,
}

/// Every calculation, in the order in which help lists them.
pub const KINDS: &[Kind] = &[
    flatness::KIND,
    straightedge::KIND,
    three_post::KIND,
    four_post::KIND,
    match_sets::KIND,
    stack::KIND,
    plate::KIND,
    life::KIND,
    trend::KIND,
    cone::KIND,
];

/// Runs the calculation `kind` on the JSON text `input`.
///
/// # Returns
/// One JSON object as text, without a line end.
/// # Errors
/// [`CalcError`], whose text is the one line for stderr: the field's path, its value, what is wanted.
pub fn run(kind: &str, input: &str) -> Result<String, CalcError> {
    let found = find(kind).ok_or_else(|| CalcError::UnknownKind { kind: kind.to_owned(), known: names() })?;
    if found.name == match_sets::KIND.name
        && let Some(answer) = match_sets::quick(input)
    {
        return answer;
    }
    let value = input::parse(input)?;
    (found.run)(&Node::root(&value))
}

/// The help of `kind`, with an example that runs.
#[must_use]
pub fn help(kind: &str) -> Option<&'static str> {
    find(kind).map(|found| found.help)
}

/// The JSON of the example in the help of `kind`: what stands between `<<'END'` and `END`.
#[must_use]
pub fn example(kind: &str) -> Option<&'static str> {
    let (_, rest) = help(kind)?.split_once("<<'END'\n")?;
    rest.split_once("\nEND").map(|(json, _)| json)
}

fn find(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.name == name)
}

fn names() -> String {
    KINDS.iter().map(|kind| kind.name).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod postmortem;
#[cfg(test)]
mod properties;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_help_has_an_example_that_runs() {
        for kind in KINDS {
            let json = example(kind.name).unwrap_or_else(|| panic!("{}: no example in the help", kind.name));
            let answer = run(kind.name, json).unwrap_or_else(|err| panic!("{}: {err}", kind.name));
            assert!(answer.starts_with('{') && answer.ends_with('}'), "{}: {answer}", kind.name);
            assert!(kind.help.contains(&format!("tripoise calc {} <<'END'", kind.name)), "{}", kind.name);
        }
    }

    #[test]
    fn no_name_twice() {
        let mut seen = KINDS.iter().map(|kind| kind.name).collect::<Vec<_>>();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), KINDS.len());
    }

    #[test]
    fn an_unknown_kind_lists_the_known_ones() {
        let text = run("roundness", "{}").map_err(|err| err.to_string());
        assert_eq!(text, Err(format!("KIND: roundness is not a calculation; give one of {}", names())));
    }
}
