//! What must hold of any answer to any text: one JSON object of finite numbers, or one line that names a field.
//!
//! What this does not do: check that the answer is right.
use serde_json::Value;
use std::time::{Duration, Instant};
use tripoise_core::calc;

/// House choice: a hundred times what the slowest calculation on a person's input takes.
pub const PATIENCE: Duration = Duration::from_secs(10);

/// Asks, and says what is wrong with how it is answered.
///
/// # Errors   One line that says what should not be. A panic is not caught.
pub fn judge(kind: &str, input: &str) -> Result<(), String> {
    let start = Instant::now();
    let answer = calc::run(kind, input);
    let took = start.elapsed();
    if took > PATIENCE {
        return Err(format!("took {:.1} s", took.as_secs_f64()));
    }
    match answer {
        Ok(text) => answered(&text),
        Err(refusal) => refused(&refusal.to_string()),
    }
}

fn answered(text: &str) -> Result<(), String> {
    if text.contains('\n') {
        return Err(format!("more than one line: {text}"));
    }
    match serde_json::from_str::<Value>(text) {
        Ok(answer) if answer.is_object() && finite(&answer) => Ok(()),
        Ok(_) => Err(format!("no object of finite numbers: {text}")),
        Err(problem) => Err(format!("{problem}: {text}")),
    }
}

fn finite(value: &Value) -> bool {
    match value {
        Value::Number(number) => number.as_f64().is_some_and(f64::is_finite),
        Value::Array(list) => list.iter().all(finite),
        Value::Object(fields) => fields.values().all(finite),
        _ => true,
    }
}

/// A refusal is `path: what is wrong; give what is wanted`.
fn refused(line: &str) -> Result<(), String> {
    // A long path is cut short, within a name's quotes too.
    let is_whole = |path: &&str| !is_inside_quotes(path) || path.ends_with('\u{2026}');
    let path = line.match_indices(": ").map(|(at, _)| &line[..at]).find(is_whole);
    if line.chars().any(char::is_control) {
        return Err(format!("a refusal of more than one line: {line:?}"));
    }
    if path.is_none_or(str::is_empty) {
        return Err(format!("a refusal that names no field: {line}"));
    }
    if !line.contains("; give ") {
        return Err(format!("a refusal that does not say what to give: {line}"));
    }
    if ["NaN", "inf"]
        .iter()
        .any(|word| line.rsplit_once("; give ").is_some_and(|(_, want)| want.contains(word)))
    {
        return Err(format!("a refusal that asks for no number: {line}"));
    }
    Ok(())
}

/// Whether what follows `text` stands in quotes: a name that holds a colon does.
fn is_inside_quotes(text: &str) -> bool {
    let mut escaped = false;
    let quotes = text.chars().filter(|c| {
        let counts = *c == '"' && !escaped;
        escaped = *c == '\\' && !escaped;
        counts
    });
    quotes.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_not_come_out_is_seen() {
        assert_eq!(judge("cone", r#"{"cone":"10","rate_c_per_h":60}"#), Ok(()));
        assert_eq!(judge("cone", "{"), Ok(()));
        for bad in ["[1]", "{\"a\":NaN}", "{\"a\":1e999}", "{}\n", ""] {
            assert!(answered(bad).is_err(), "{bad} passed");
        }
        for bad in ["posts; give 3", "posts: no number", "posts: a\nb; give 3", ": no; give 3"] {
            assert!(refused(bad).is_err(), "{bad} passed");
        }
    }
}
