//! `seeds FOLDER [QUESTIONS]`: writes the corpus to start from, a folder for each kind.
//!
//! The examples of the helps and 40 random questions of each kind; with a file of recorded questions
//! (`cargo xtask equal` leaves target/questions.jsonl), what the reference tests ask as well.
//!
//! What this does not do: choose. libFuzzer keeps those that reach something new.
use serde_json::Value;
use std::error::Error;
use std::fs;
use std::path::PathBuf;
use tripoise_questions::questions::{Question, of_every_kind};

/// House choice: longer questions make every step slow; libFuzzer is told the same bound.
const LONGEST: usize = 16_384;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().ok_or("give the folder for the corpus")?);
    let mut questions = of_every_kind(1, 40);
    if let Some(file) = arguments.next() {
        for line in fs::read_to_string(file)?.lines() {
            let value: Value = serde_json::from_str(line)?;
            let text = |name: &str| value[name].as_str().map(str::to_owned).ok_or("a question is two texts");
            questions.push(Question { kind: text("kind")?, input: text("input")? });
        }
    }
    for (i, Question { kind, input }) in questions.iter().enumerate() {
        if input.len() <= LONGEST {
            let own = folder.join(kind);
            fs::create_dir_all(&own)?;
            fs::write(own.join(format!("{i}.json")), input)?;
        }
    }
    Ok(())
}
