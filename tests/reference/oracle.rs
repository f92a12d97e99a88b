//! The oracles: general-purpose libraries ask fresh random questions on a pipe and judge the answers.
//!
//! Runs where TRIPOISE_ORACLES=1 is set, as `cargo xtask test` does: it needs python3 and, the first time,
//! pip. TRIPOISE_ORACLE_SEED asks the questions of an earlier run again. The oracles are in tests/oracle;
//! run.py there says how questions and answers look.
//!
//! What this does not do: judge. Each oracle compares; this answers.
use crate::Res;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use tripoise_core::grouping::own_limits::{LimitedPost, best_sets_with_own_limits};
use tripoise_core::grouping::{Rules, SetSize, keep};
use tripoise_core::planning::assign::{Costs, assign};

#[test]
fn general_purpose_libraries_agree() -> Res<()> {
    if std::env::var_os("TRIPOISE_ORACLES").is_none_or(|value| value != "1") {
        println!("left out: set TRIPOISE_ORACLES=1 to ask the oracles");
        return Ok(());
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut command = Command::new("python3");
    command.arg(root.join("tests/oracle/run.py")).arg("--venv").arg(root.join("target/oracle"));
    if let Ok(seed) = std::env::var("TRIPOISE_ORACLE_SEED") {
        command.args(["--seed", &seed]);
    }
    let mut oracle = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()?;
    let mut answers = oracle.stdin.take().ok_or("no pipe to the oracle")?;
    let questions = BufReader::new(oracle.stdout.take().ok_or("no pipe from the oracle")?);
    for question in questions.lines() {
        let answer = answer(&serde_json::from_str(&question?)?)
            .unwrap_or_else(|why| json!({"refused": why.to_string()}).to_string());
        writeln!(answers, "{answer}")?;
    }
    let status = oracle.wait()?;
    assert!(status.success(), "the oracles disagree or could not run ({status}): see the lines above");
    Ok(())
}

fn answer(question: &Value) -> Res<String> {
    let input = &question["input"];
    match question["kind"].as_str().ok_or("no kind")? {
        "own-limits" => own_limits(input),
        "keep" => keep_sets(input),
        "assignment" => assignment(input),
        kind => crate::run(kind, input),
    }
}

fn wholes(list: &Value) -> Res<Vec<i64>> {
    let list = list.as_array().ok_or("not a list")?;
    list.iter().map(whole).collect()
}

fn whole(value: &Value) -> Res<i64> {
    Ok(value.as_i64().ok_or("not a whole number")?)
}

fn set_size(input: &Value) -> Res<SetSize> {
    Ok(SetSize::of(usize::try_from(whole(&input["set_size"])?)?).ok_or("no such set size")?)
}

fn own_limits(input: &Value) -> Res<String> {
    let (heights, limits) = (wholes(&input["heights"])?, wholes(&input["limits"])?);
    let pairs = heights.into_iter().zip(limits);
    let posts: Vec<LimitedPost> =
        pairs.map(|(height, dress_max)| LimitedPost { height, dress_max }).collect();
    let found = best_sets_with_own_limits(&posts, set_size(input)?, whole(&input["tolerance"])?)?;
    let worth = found.worth;
    Ok(json!({"n_sets": worth.n_sets, "removed": worth.removed, "spread": worth.spread}).to_string())
}

fn keep_sets(input: &Value) -> Res<String> {
    let rules = Rules {
        set_size: set_size(input)?,
        tolerance: whole(&input["tolerance"])?,
        dress_max: whole(&input["dress_max"])?,
    };
    let present = input["present"].as_array().ok_or("no present sets")?;
    let present: Vec<Vec<usize>> = present
        .iter()
        .map(|set| Ok(wholes(set)?.into_iter().map(usize::try_from).collect::<Result<_, _>>()?))
        .collect::<Res<_>>()?;
    let kept = keep::regroup(&wholes(&input["heights"])?, &present, &rules)?;
    let answer = json!({
        "n_sets": kept.worth.n_sets,
        "n_leaving": kept.n_leaving,
        "leaving_is_least": kept.leaving_is_least,
    });
    Ok(answer.to_string())
}

fn assignment(input: &Value) -> Res<String> {
    let n_columns = usize::try_from(whole(&input["n_columns"])?)?;
    let costs = Costs::new(n_columns, wholes(&input["leave"])?, |row, column| {
        input["cells"].get(row)?.get(column)?.as_i64()
    });
    let found = assign(&costs);
    Ok(json!({"columns": found.columns, "cost": found.cost, "bound": found.bound()}).to_string())
}
