//! wasm32 and this machine answer every question with the same text, to the last byte.
//!
//! `cargo xtask test` builds both programs, says where they are and runs this: TRIPOISE_WASM_ANSWERS is a
//! folder with answers.mjs and answers.wasm, TRIPOISE_ANSWERS the native program, TRIPOISE_QUESTIONS a file
//! with what the reference tests and the oracles asked, CHROMIUM the browser. Without the first, this is
//! left out and says so. TRIPOISE_QUESTION_SEED asks the random questions of an earlier run again.
//!
//! What this does not do: judge answers, only compare them.
use anyhow::{Context as _, Result};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};
use tripoise_core::calc;
use tripoise_questions::programs::{browser, native, node};
use tripoise_questions::questions::{Question, of_every_kind};

/// House choice: random questions of each kind. A plate takes some 15 ms on each side, the rest next to nothing.
const N_OF_EACH_KIND: usize = 300;

fn named(variable: &str) -> Result<PathBuf> {
    let value = std::env::var_os(variable);
    value.map(PathBuf::from).with_context(|| format!("{variable} is not set; run `cargo xtask test`"))
}

fn seed() -> Result<u64> {
    if let Ok(given) = std::env::var("TRIPOISE_QUESTION_SEED") {
        return Ok(given.parse()?);
    }
    Ok(SystemTime::now().duration_since(UNIX_EPOCH)?.as_secs())
}

/// What the reference tests and the oracles asked when they ran just before.
fn recorded() -> Result<Vec<Question>> {
    let file = named("TRIPOISE_QUESTIONS")?;
    let text = std::fs::read_to_string(&file).with_context(|| file.display().to_string())?;
    let mut seen = BTreeSet::new();
    let lines = text.lines().filter(|line| seen.insert(line.to_owned()));
    let question = |line: &str| {
        let value: Value = serde_json::from_str(line)?;
        let text = |name: &str| value[name].as_str().map(str::to_owned).context("a question is two texts");
        Ok(Question { kind: text("kind")?, input: text("input")? })
    };
    lines.map(question).collect()
}

/// Fails at the first answer that differs; says what was asked.
fn compare(questions: &[Question], other: &str, here: &[String], there: &[String]) {
    assert_eq!(there.len(), questions.len(), "{other} answered {} questions", there.len());
    for ((question, here), there) in questions.iter().zip(here).zip(there) {
        assert!(
            here == there,
            "{} differs\nasked: {}\nnative: {here}\n{other}: {there}",
            question.kind,
            question.input
        );
    }
}

#[test]
fn wasm_and_this_machine_answer_alike() -> Result<()> {
    let Some(wasm) = std::env::var_os("TRIPOISE_WASM_ANSWERS").map(PathBuf::from) else {
        println!("left out: `cargo xtask test` builds the program for wasm32 and runs this");
        return Ok(());
    };
    let seed = seed()?;
    println!("the random questions' seed: {seed}");
    let mut questions = of_every_kind(seed, N_OF_EACH_KIND);
    let recorded = recorded()?;
    assert!(recorded.len() > 200, "the reference tests asked {} questions", recorded.len());
    questions.extend(recorded);
    let here = native(&named("TRIPOISE_ANSWERS")?, &questions)?;
    assert_eq!(here.len(), questions.len());
    let mut counts: BTreeMap<&str, [usize; 2]> = BTreeMap::new();
    for (question, answer) in questions.iter().zip(&here) {
        counts.entry(&question.kind).or_default()[usize::from(answer.starts_with("! "))] += 1;
    }
    for kind in calc::KINDS {
        let [answered, refused] = counts.get(kind.name).copied().unwrap_or_default();
        println!("{}: {answered} answered, {refused} refused", kind.name);
        assert!(answered > 100 && refused > 10, "too few questions about {}", kind.name);
    }
    compare(&questions, "node", &here, &node(&wasm, &questions)?);
    compare(&questions, "chromium", &here, &browser(&named("CHROMIUM")?, &wasm, &questions)?);
    Ok(())
}
