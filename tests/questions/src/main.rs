//! `tripoise_answers`: answers questions from the standard input in this machine's code.
//!
//! Without arguments each line is `{"kind": ..., "input": ...}` and each answer a JSON string on its own
//! line. With a kind as its argument, all of the input is one question; the answer goes to the standard
//! output and the most memory held, in kilobytes as Linux counts it, to the standard error.
use serde_json::Value;
use std::error::Error;
use std::io::{Read, Write, stdin, stdout};
use tripoise_questions::answer;

fn main() -> Result<(), Box<dyn Error>> {
    match std::env::args().nth(1) {
        Some(kind) => one(&kind),
        None => all(),
    }
}

fn one(kind: &str) -> Result<(), Box<dyn Error>> {
    let mut input = String::new();
    stdin().read_to_string(&mut input)?;
    let answer = answer(kind, &input);
    let status = std::fs::read_to_string("/proc/self/status")?;
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).ok_or("Linux gives no VmHWM")?;
    eprintln!("{}", peak.trim().trim_end_matches("kB").trim());
    writeln!(stdout(), "{answer}")?;
    Ok(())
}

fn all() -> Result<(), Box<dyn Error>> {
    let mut answers = Vec::new();
    for line in stdin().lines() {
        let question: Value = serde_json::from_str(&line?)?;
        let text = |name: &str| question[name].as_str().ok_or("a question has a kind and an input");
        answers.push(Value::from(answer(text("kind")?, text("input")?)).to_string());
    }
    let mut out = stdout().lock();
    for answer in answers {
        writeln!(out, "{answer}")?;
    }
    Ok(())
}
