//! How Lighthouse, as on a slow phone, rates the home page and a shelf's card.
//!
//! Lighthouse slows the processor down fourfold and the network to a mobile one; its figures differ from run to
//! run, so the middle of three is held to the budget.
use crate::project::{Project, output, say};
use crate::server_process::ServerProcess;
use crate::{bundle, tools};
use anyhow::{Context as _, Result};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

/// What both ratings must reach, of 100.
const LEAST: u32 = 95;
/// How often each page is rated; odd, so that there is a middle one.
const RUNS: usize = 3;
/// The ratings that count, by Lighthouse's names for them.
const CATEGORIES: [&str; 2] = ["performance", "accessibility"];

/// Rates both pages; returns what is under its budget.
///
/// # Errors   When something does not build or run, or the demo has no shelf.
pub fn measure(project: &Project) -> Result<Vec<String>> {
    let binary = bundle::finished_binary(project)?;
    let (browser, lighthouse) = (tools::browser(project)?, tools::lighthouse(project)?);
    let store = project.target.join("rating-store");
    let server = ServerProcess::start_demo(&binary, &store)?;
    let rack = server.get("/rack", "identity")?.text;
    let card = rack.split("href=\"").find_map(|rest| rest.split('"').next().filter(|path| is_card(path)));
    let card = card.context("the demo's rack links to no shelf")?.to_owned();
    let mut under = Vec::new();
    for (what, path) in [("the home page", "/"), ("a shelf's card", card.as_str())] {
        say(format_args!("{what}: {RUNS} ratings"));
        let mut runs = (0..RUNS)
            .map(|_| rate(&lighthouse, &browser.chromium, &server.url(path)))
            .collect::<Result<Vec<[u32; 2]>>>()?;
        for (index, category) in CATEGORIES.iter().enumerate() {
            runs.sort_by_key(|run| run[index]);
            let middle = runs[RUNS / 2][index];
            println!("{what}, {path}: {category} {middle} of 100 (at least {LEAST})");
            if middle < LEAST {
                under.push(format!("{what}: {category} is {middle}"));
            }
        }
    }
    drop(server);
    fs::remove_dir_all(store)?;
    Ok(under)
}

fn is_card(path: &str) -> bool {
    path.strip_prefix("/shelf/").is_some_and(|code| !code.contains(['/', '?']))
}

/// One run: performance and accessibility.
fn rate(lighthouse: &Path, chromium: &Path, url: &str) -> Result<[u32; 2]> {
    let mut command = Command::new("node");
    command.arg(lighthouse).arg(url).env("CHROME_PATH", chromium);
    command.args([
        "--output=json",
        "--quiet",
        "--form-factor=mobile",
        "--only-categories=performance,accessibility",
    ]);
    command.arg("--chrome-flags=--headless=new --no-sandbox --disable-gpu --disable-background-networking");
    let report: Value = serde_json::from_str(&output(&mut command)?).context("Lighthouse gave no report")?;
    let score = |category: &str| {
        let score = report["categories"][category]["score"].as_f64();
        let score = score.with_context(|| format!("Lighthouse gave no {category}"))?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of 1, times 100"
        )]
        let points = (score * 100.0).round() as u32;
        anyhow::Ok(points)
    };
    Ok([score(CATEGORIES[0])?, score(CATEGORIES[1])?])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_is_a_shelf_itself() {
        assert!(is_card("/shelf/F07"));
        assert!(!is_card("/shelf/F07/measure"));
        assert!(!is_card("/post/P07"));
    }
}
