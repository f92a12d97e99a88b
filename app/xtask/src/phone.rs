//! What is waited for on a phone, measured in Chromium and held to its budgets: part of `cargo xtask bench`.
//!
//! `tests/times` measures, on the finished binary and on the calculations' program for wasm32. The middle of the runs is
//! held to the budget, since a machine that also does something else has slow runs; the slowest is printed beside it.
//!
//! What this does not do: time anything itself.
use crate::answers::Answers;
use crate::project::{Project, output, say};
use crate::{bundle, test, tools};
use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

/// One list of times.
struct Line {
    /// What is measured.
    what: &'static str,
    /// Its name among the figures.
    name: &'static str,
    /// What its middle may be, in milliseconds; none where it is only told.
    budget_ms: Option<f64>,
}

const fn line(what: &'static str, name: &'static str, budget_ms: Option<f64>) -> Line {
    Line { what, name, budget_ms }
}

/// In the order in which they are printed.
const LINES: [Line; 11] = [
    line("label read, its card painted; no signal, 4 x slower", "scan_painted_ms", Some(150.0)),
    line("  until the card is in the document", "scan_there_ms", None),
    line("tap, \"on this phone\" painted; 50,000 events held", "tap_painted_ms", Some(50.0)),
    line("  until the badge says so", "tap_said_ms", None),
    line("  until the next page is in the document", "tap_page_ms", None),
    line("first exchange of 50,000 events", "first_exchange_ms", None),
    line("a page opened with them, no signal", "opened_offline_ms", None),
    line("plan of 12 layers in 2 stacks, a post dragged; 4 x slower", "plan_drag_ms", Some(30.0)),
    line("  a number changed", "plan_ware_ms", Some(30.0)),
    line("  checked for the first time", "plan_cold_ms", None),
    line("proposal: 20 layers, 200 shelves, 1,000 posts", "proposal_ms", Some(2_000.0)),
];

/// Measures and prints; returns what is over its budget.
///
/// # Errors   When something does not build or run.
pub fn measure(project: &Project) -> Result<Vec<String>> {
    let browser = tools::browser(project)?;
    let binary = bundle::finished_binary(project)?;
    let answers = Answers::build(project)?;
    say("measuring what is waited for on a phone");
    let mut times = project.cargo();
    times.args(["test", "--quiet", "--package", "tripoise_tests", "--test", "times"]);
    test::browser_variables(&mut times, &browser, &binary);
    answers.variables(&mut times);
    let figures: Value = serde_json::from_str(&output(&mut times)?).context("no figures were printed")?;
    println!(
        "{:<58} {:>10} {:>10} {:>9} {:>5}",
        "on a phone, in Chromium", "middle", "slowest", "budget", "runs"
    );
    let mut over = Vec::new();
    for line in &LINES {
        let times = Times::of(&figures, line.name)?;
        let budget = line.budget_ms.map_or_else(String::new, said);
        let (middle, slowest) = (said(times.middle_ms), said(times.slowest_ms));
        println!("{:<58} {middle:>10} {slowest:>10} {budget:>9} {:>5}", line.what, times.n_runs);
        over.extend(over_budget(line, &times));
    }
    println!("{}", gap(&figures)?);
    println!("{}", storage(&figures)?);
    Ok(over)
}

/// Several runs of the same.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Times {
    middle_ms: f64,
    slowest_ms: f64,
    n_runs: usize,
}

impl Times {
    fn of(figures: &Value, name: &str) -> Result<Self> {
        let list = figures[name].as_array().with_context(|| format!("there is no {name}"))?;
        let runs: Option<Vec<f64>> = list.iter().map(Value::as_f64).collect();
        let mut runs = runs.with_context(|| format!("{name} has something else than numbers"))?;
        runs.sort_by(f64::total_cmp);
        let slowest_ms = *runs.last().with_context(|| format!("{name} was never measured"))?;
        ensure!(runs.iter().all(|ms| *ms >= 0.0), "{name} ends before it begins: {runs:?}");
        Ok(Self { middle_ms: runs[runs.len() / 2], slowest_ms, n_runs: runs.len() })
    }
}

fn over_budget(line: &Line, times: &Times) -> Option<String> {
    let budget = line.budget_ms.filter(|budget| times.middle_ms > *budget)?;
    Some(format!("{} takes {} of {}", line.what.trim(), said(times.middle_ms), said(budget)))
}

/// How near the best the proposal is known to be.
fn gap(figures: &Value) -> Result<String> {
    let number = |name: &str| figures[name].as_f64().with_context(|| format!("there is no {name}"));
    let (objective, bound) = (number("proposal_objective")?, number("proposal_bound")?);
    let gap = objective - bound;
    let share = 100.0 * gap / objective.max(1.0);
    Ok(format!(
        "the proposal costs {objective:.0} points, the bound is {bound:.0}: a gap of {gap:.0} ({share:.1} %)"
    ))
}

/// What a phone's store takes for each thousand events.
fn storage(figures: &Value) -> Result<String> {
    let number = |name: &str| figures[name].as_f64().with_context(|| format!("there is no {name}"));
    let (n_events, used_bytes) = (number("n_events")?, number("used_bytes")?);
    let each_kb = used_bytes / n_events;
    Ok(format!(
        "storage: {:.1} MB for {n_events:.0} events, {each_kb:.0} kB for each 1,000",
        used_bytes / 1e6
    ))
}

/// "12.3 ms", "1.25 s".
fn said(ms: f64) -> String {
    if ms < 1_000.0 { format!("{ms:.1} ms") } else { format!("{:.2} s", ms / 1e3) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_middle_of_the_runs_is_held_to_the_budget() -> Result<()> {
        let line = line("tap", "tap_ms", Some(50.0));
        let judged = |runs: Value| Ok::<_, anyhow::Error>(over_budget(&line, &Times::of(&runs, "tap_ms")?));
        assert_eq!(judged(json!({ "tap_ms": [900.0, 20, 50.0] }))?, None, "one slow run, and just kept");
        let said = judged(json!({ "tap_ms": [51.25, 900.0, 20.0] }))?;
        assert_eq!(said.as_deref(), Some("tap takes 51.2 ms of 50.0 ms"));
        let told = Line { budget_ms: None, ..line };
        assert_eq!(over_budget(&told, &Times::of(&json!({ "tap_ms": [9e9] }), "tap_ms")?), None);
        Ok(())
    }

    #[test]
    fn figures_that_are_not_there_are_an_error_and_not_a_kept_budget() {
        for figures in
            [json!({}), json!({ "a": [] }), json!({ "a": [1.0, null] }), json!({ "a": [-1.0, 2.0] })]
        {
            assert!(Times::of(&figures, "a").is_err(), "{figures}");
        }
        assert!(gap(&json!({ "proposal_objective": 4 })).is_err() && storage(&json!({})).is_err());
    }

    #[test]
    fn gap_and_storage_are_said_with_their_units() -> Result<()> {
        let figures = json!({ "proposal_objective": 4000, "proposal_bound": 3900, "n_events": 50000, "used_bytes": 13.8e6 });
        assert_eq!(gap(&figures)?, "the proposal costs 4000 points, the bound is 3900: a gap of 100 (2.5 %)");
        assert_eq!(storage(&figures)?, "storage: 13.8 MB for 50000 events, 276 kB for each 1,000");
        assert_eq!([said(12.34), said(1250.0)], ["12.3 ms", "1.25 s"]);
        Ok(())
    }
}
