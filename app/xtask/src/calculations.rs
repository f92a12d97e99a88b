//! How long the calculations take and how much memory they hold, beside their peers: part of `cargo xtask bench`.
//!
//! Criterion measures, in tests/questions; general-purpose libraries do the same work in tests/oracle/peers.py.
//! What this does not do: time anything itself.
use crate::answers::Answers;
use crate::project::{Project, output, run, say};
use crate::tools;
use anyhow::{Context as _, Result};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// How long OR-tools may look for its largest match, in seconds.
const MATCH_PEER_S: &str = "60";

/// One line of the table.
struct Line {
    /// What is measured.
    what: &'static str,
    /// Criterion's name for it.
    name: &'static str,
    /// The calculation and the workload's file, for the memory; none where another line has it.
    memory: Option<(&'static str, &'static str)>,
    /// The budget in seconds; none where there is none.
    budget_s: Option<f64>,
    /// What peers.py is asked.
    peer: Option<(&'static str, &'static str)>,
}

const fn line(what: &'static str, name: &'static str, budget_s: Option<f64>) -> Line {
    Line { what, name, memory: None, budget_s, peer: None }
}

/// Budgets as the calculations' contract has them; the `text` lines are from JSON to JSON and have none, but for the
/// plate and life, whose text is a small part.
const LINES: [Line; 11] = [
    Line {
        peer: Some(("flatness", "flatness_25")),
        ..line("flatness, 5 x 5 grid", "flatness_25", Some(40e-6))
    },
    line("the same, from text to text", "flatness_25_text", None),
    Line {
        peer: Some(("flatness", "flatness_10000")),
        memory: Some(("flatness", "flatness_10000")),
        ..line("flatness, 10,000 points", "flatness_10000", Some(4e-3))
    },
    line("the same, from text to text", "flatness_10000_text", None),
    line("match, 96 posts", "match_96", None),
    line("match, 10,000 posts", "match_10000", Some(5e-3)),
    Line {
        memory: Some(("match", "match_1000000")),
        ..line("match, 1,000,000 posts", "match_1000000", Some(1.0))
    },
    line("the same, from text to text", "match_1000000_text", Some(1.0)),
    Line {
        peer: Some(("plate", "plate")),
        memory: Some(("plate", "plate")),
        ..line("plate on three posts", "plate_text", Some(20e-3))
    },
    Line {
        peer: Some(("life", "life_10000")),
        memory: Some(("life", "life_10000")),
        ..line("life, 10,000 pieces", "life_10000_text", Some(20e-3))
    },
    line("match, 10,000 posts, from text to text", "match_10000_text", None),
];
/// The plate in Chromium, so that dragging a post draws it again at once.
const PLATE_IN_CHROMIUM_MS: f64 = 60.0;

/// Measures and prints; returns what is over its budget.
///
/// # Errors   When something does not build or run.
pub fn measure(project: &Project) -> Result<Vec<String>> {
    let browser = tools::browser(project)?;
    tools::oracles()?;
    let answers = Answers::build(project)?;
    let workloads = project.target.join("workloads");
    say("measuring the calculations");
    let mut bench = project.cargo();
    bench.args(["bench", "--quiet", "--package", "tripoise_questions", "--bench", "calculations"]);
    run(bench.env("TRIPOISE_WORKLOADS", &workloads).stdout(Stdio::null()))?;
    say("measuring the peers");
    let python = oracle_python(project)?;
    let mut over = Vec::new();
    println!(
        "{:<42} {:>11} {:>9} {:>24} {:>8} {:>10}",
        "calculation", "measured", "budget", "peer", "ratio", "memory"
    );
    for line in &LINES {
        let took = estimate(project, line.name)?;
        let peer =
            line.peer.map(|(what, file)| ask_peer(project, &python, what, &workload(&workloads, file)));
        let peer = peer.transpose()?;
        let memory = line.memory.map(|(kind, file)| peak_kb(&answers, kind, &workloads, file)).transpose()?;
        print_line(line, took, peer.as_ref(), memory);
        if line.budget_s.is_some_and(|budget| took > budget) {
            over.push(format!("{} takes {}", line.what, time(took)));
        }
    }
    print_match_peer(project, &python)?;
    let plate = in_chromium(project, &browser, &answers)?;
    println!(
        "{:<42} {:>11} {:>9}",
        "plate in Chromium, median",
        format!("{plate:.1} ms"),
        format!("{PLATE_IN_CHROMIUM_MS} ms")
    );
    if plate > PLATE_IN_CHROMIUM_MS {
        over.push(format!("the plate takes {plate:.1} ms in Chromium"));
    }
    Ok(over)
}

fn workload(folder: &Path, name: &str) -> String {
    folder.join(format!("{name}.json")).to_string_lossy().into_owned()
}

/// Criterion's point estimate of the mean, in seconds.
fn estimate(project: &Project, name: &str) -> Result<f64> {
    let file = project.target.join("criterion").join(name).join("new/estimates.json");
    let text = fs::read_to_string(&file).with_context(|| file.display().to_string())?;
    let value: Value = serde_json::from_str(&text)?;
    value["mean"]["point_estimate"].as_f64().map(|ns| ns * 1e-9).context("criterion wrote no estimate")
}

/// The oracles' Python, made on first use.
fn oracle_python(project: &Project) -> Result<std::path::PathBuf> {
    let venv = project.target.join("oracle");
    let mut prepare = Command::new("python3");
    prepare.arg(project.root.join("tests/oracle/run.py")).arg("--venv").arg(&venv).arg("--prepare");
    run(&mut prepare)?;
    Ok(venv.join("bin/python"))
}

fn ask_peer(project: &Project, python: &Path, what: &str, argument: &str) -> Result<Value> {
    let mut peer = Command::new(python);
    peer.arg(project.root.join("tests/oracle/peers.py")).args([what, argument]);
    Ok(serde_json::from_str(&output(&mut peer)?)?)
}

/// The most memory that the native program holds while it answers once.
fn peak_kb(answers: &Answers, kind: &str, workloads: &Path, file: &str) -> Result<u64> {
    let input = fs::File::open(workload(workloads, file))?;
    let asked = Command::new(&answers.native).arg(kind).stdin(input).output()?;
    String::from_utf8(asked.stderr)?.trim().parse().context("the program says no memory")
}

fn print_line(line: &Line, took: f64, peer: Option<&Value>, memory: Option<u64>) {
    let budget = line.budget_s.map_or_else(String::new, time);
    let name = peer.and_then(|peer| peer["peer"].as_str()).unwrap_or_default();
    let seconds = peer.and_then(|peer| peer["seconds"].as_f64());
    let said = seconds.map_or_else(String::new, |seconds| format!("{name} {}", time(seconds)));
    let ratio = seconds.map_or_else(String::new, |seconds| format!("{:.0} x", seconds / took));
    let memory = memory.map_or_else(String::new, |kb| format!("{:.1} MB", kb as f64 / 1e3));
    println!("{:<42} {:>11} {budget:>9} {said:>24} {ratio:>8} {memory:>10}", line.what, time(took));
}

/// OR-tools on the largest match that it proves in a minute, and what Tripoise takes for as many posts: measured where
/// they are 96, as on the two cores this was written on, and otherwise by n log n from there.
fn print_match_peer(project: &Project, python: &Path) -> Result<()> {
    let peer = ask_peer(project, python, "match", MATCH_PEER_S)?;
    let proved = &peer["largest_proved"];
    let (Some(posts), Some(seconds)) = (proved["posts"].as_f64(), proved["seconds"].as_f64()) else {
        println!("OR-tools CP-SAT proved no match within {MATCH_PEER_S} s");
        return Ok(());
    };
    let ours = estimate(project, "match_96")? * posts * posts.ln() / (96.0 * 96_f64.ln());
    println!(
        "OR-tools CP-SAT proves {posts} posts in {seconds:.1} s, the most within {MATCH_PEER_S} s; Tripoise takes {} for as many \
         ({:.0} x)",
        time(ours),
        seconds / ours
    );
    Ok(())
}

fn in_chromium(project: &Project, browser: &tools::BrowserTools, answers: &Answers) -> Result<f64> {
    let mut example = project.cargo();
    example.args(["run", "--quiet", "--package", "tripoise_questions", "--example", "in_chromium", "--"]);
    let found: Value = serde_json::from_str(&output(example.arg(&browser.chromium).arg(&answers.wasm))?)?;
    found["median"].as_f64().context("the page measured nothing")
}

/// "2.1 us", "4.30 ms", "0.48 s".
fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1e-3 => format!("{:.1} us", s * 1e6),
        s if s < 1.0 => format!("{:.2} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_the_unit_that_fits() {
        assert_eq!([2.14e-6, 4.3e-3, 1.5].map(time), ["2.1 us", "4.30 ms", "1.50 s"]);
    }
}
