//! Random questions that a potter could ask, by kind.
//!
//! What this does not do: bad input; [`crate::spoil`] makes that from these.
mod face;
mod record;
mod support;

pub use face::grid;
pub use record::{pieces, posts};
pub use support::shelf_on_three;

use crate::chance::Chance;
use crate::spoil;
use serde_json::Value;
use tripoise_core::calc;

/// One question.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Question {
    /// Which calculation.
    pub kind: String,
    /// The text given to it.
    pub input: String,
}

/// A random question that should be answered; nothing where the kind is unknown.
#[must_use]
pub fn random(kind: &str, chance: &mut Chance) -> Option<Value> {
    Some(match kind {
        "flatness" => face::flatness(chance),
        "straightedge" => face::straightedge(chance),
        "three-post" => support::three_post(chance),
        "four-post" => support::four_post(chance),
        "stack" => support::stack(chance),
        "plate" => support::plate(chance),
        "match" => record::matching(chance),
        "life" => record::life(chance),
        "trend" => record::trend(chance),
        "cone" => record::cone(chance),
        _ => return None,
    })
}

/// The examples of every help, and `n` questions of each kind: two of three as a potter asks them, one spoiled.
#[must_use]
pub fn of_every_kind(seed: u64, n: usize) -> Vec<Question> {
    let mut questions = Vec::new();
    for (kind, number) in calc::KINDS.iter().zip(1..) {
        let mut chance = Chance::new(seed ^ (number << 48));
        let mut add = |input: String| questions.push(Question { kind: kind.name.to_owned(), input });
        add(calc::example(kind.name).unwrap_or_default().to_owned());
        for _ in 0..n {
            let Some(question) = random(kind.name, &mut chance) else { continue };
            let spoil = chance.once_in(3);
            add(if spoil { spoil::spoiled(&question, &mut chance) } else { question.to_string() });
        }
    }
    questions
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_questions_and_nearly_all_are_answered() {
        for kind in calc::KINDS {
            let mut chance = Chance::new(1);
            let n = if kind.name == "plate" { 6 } else { 60 };
            let questions: Vec<Value> = (0..n).filter_map(|_| random(kind.name, &mut chance)).collect();
            assert_eq!(questions.len(), n, "{}", kind.name);
            let refusals: Vec<_> = questions
                .iter()
                .filter_map(|question| calc::run(kind.name, &question.to_string()).err())
                .collect();
            assert!(
                refusals.len() * 10 <= n,
                "{}: {} refused: {:?}",
                kind.name,
                refusals.len(),
                refusals.first()
            );
        }
    }

    #[test]
    fn a_seed_asks_the_same_again_and_some_of_it_is_refused() {
        let questions = of_every_kind(7, 30);
        assert_eq!(questions, of_every_kind(7, 30));
        assert_ne!(questions, of_every_kind(8, 30));
        let not_plates = questions.iter().filter(|question| question.kind != "plate");
        let n_refused =
            not_plates.filter(|question| calc::run(&question.kind, &question.input).is_err()).count();
        assert!((20..150).contains(&n_refused), "{n_refused} refused");
    }
}
