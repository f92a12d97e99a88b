//! `cargo xtask test`: house style, lints, every test of the workspace, then the browser's.
//!
//! A failure does not stop the rest; what failed is said at the end, with the runners' closing lines.
use crate::answers::Answers;
use crate::project::{Project, output, run, say};
use crate::{bundle, tools};
use anyhow::{Context as _, Result, bail};
use std::env;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::Command;

/// Installs what the tests need and runs all of them.
///
/// # Errors   When something cannot be installed or built, or any test fails.
pub fn test(project: &Project) -> Result<()> {
    let mut report = Report::default();
    style(project, &mut report);
    let browser = tools::browser(project)?;
    tools::oracles()?;
    let binary = bundle::finished_binary(project)?;
    say("testing the workspace");
    let mut workspace = project.cargo();
    // Without --all-features: a page is built for the server or for the browser, never for both.
    workspace.args(["test", "--workspace", "--no-fail-fast"]).env("TRIPOISE_BIN", &binary);
    workspace.env("TRIPOISE_ORACLES", "1");
    // What the reference tests and oracles ask is asked again below, in wasm32.
    let questions = project.target.join("questions.jsonl");
    forget(&questions)?;
    workspace.env("TRIPOISE_QUESTIONS", &questions);
    if env::var_os("TRIPOISE_CRASH_ROUNDS").is_none() {
        workspace.env("TRIPOISE_CRASH_ROUNDS", if in_ci() { "5" } else { "50" });
    }
    let done = run_and_keep(&mut workspace, &mut report.closing);
    report.add("the workspace's tests", done);
    let done = alike(project, &browser, &questions, &mut report.closing);
    report.add("the calculations in wasm32", done);
    say(format_args!("testing in {}", browser.chromium.display()));
    let mut journeys = project.cargo();
    journeys.args(["test", "--package", "tripoise_tests", "--test", "browser"]);
    browser_variables(&mut journeys, &browser, &binary);
    let done = run_and_keep(&mut journeys, &mut report.closing);
    report.add("the browser's tests", done);
    for Look { name, who, without } in LOOKS {
        say(format_args!("the journeys again {who}"));
        let mut again = project.cargo();
        again.args(["test", "--package", "tripoise_tests", "--test", "browser", "--"]);
        again.args(WALKED_ONCE.iter().chain(without).flat_map(|part| ["--skip", part]));
        browser_variables(again.env("TRIPOISE_LOOK", name), &browser, &binary);
        let done = run_and_keep(&mut again, &mut report.closing);
        report.add(&format!("the journeys {who}"), done);
    }
    report.finish()
}

/// Who else walks the journeys.
struct Look {
    /// The name that the harness knows it by.
    name: &'static str,
    who: &'static str,
    /// Journeys that are not theirs.
    without: &'static [&'static str],
}

const LOOKS: [Look; 2] = [
    Look { name: "small", who: "on the smallest phone, in the dark", without: &[] },
    Look {
        name: "keys",
        who: "with keys alone",
        // The number pad is for fingers: who has keys types into the field.
        without: &["a_reading_far_off_the_last_one", "the_pad_the_field_and_the_line"],
    },
];

/// Parts of the browser's tests that say themselves how large the window is and what is touched.
const WALKED_ONCE: [&str; 3] = ["harness::", "every_page::", "other_ways::"];

/// Compares the calculations in wasm32 with those of this machine.
fn alike(
    project: &Project,
    browser: &tools::BrowserTools,
    questions: &Path,
    closing: &mut Vec<String>,
) -> Result<()> {
    let answers = Answers::build(project)?;
    say("asking wasm32 and this machine the same questions");
    let mut equal = project.cargo();
    equal.args(["test", "--package", "tripoise_questions", "--test", "equal", "--", "--nocapture"]);
    equal.env("TRIPOISE_QUESTIONS", questions).env("CHROMIUM", &browser.chromium);
    answers.variables(&mut equal);
    run_and_keep(&mut equal, closing)
}

fn forget(file: &Path) -> Result<()> {
    match fs::remove_file(file) {
        Err(problem) if problem.kind() != std::io::ErrorKind::NotFound => Err(problem.into()),
        _ => Ok(()),
    }
}

/// Runs the reference tests without their oracles, then compares wasm32 with this machine on their questions.
///
/// # Errors   As [`test`].
pub fn equal(project: &Project) -> Result<()> {
    let mut report = Report::default();
    let browser = tools::browser(project)?;
    let questions = project.target.join("questions.jsonl");
    forget(&questions)?;
    let mut reference = project.cargo();
    reference.args(["test", "--package", "tripoise_tests", "--test", "reference"]);
    let done = run_and_keep(reference.env("TRIPOISE_QUESTIONS", &questions), &mut report.closing);
    report.add("the reference tests", done);
    let done = alike(project, &browser, &questions, &mut report.closing);
    report.add("the calculations in wasm32", done);
    report.finish()
}

/// Tells the browser tests where everything is.
pub fn browser_variables(command: &mut Command, browser: &tools::BrowserTools, binary: &Path) {
    command
        .env("TRIPOISE_BIN", binary)
        .env("CHROMIUM", &browser.chromium)
        .env("CHROMEDRIVER", &browser.chromedriver)
        .env("AXE_JS", &browser.axe);
}

/// Formatting and lints, where the compiler in use has the tools for them; in CI they must be there.
fn style(project: &Project, report: &mut Report) {
    let checks: [(&str, &[&str]); 2] = [
        ("fmt", &["--all", "--check"]),
        ("clippy", &["--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"]),
    ];
    for (tool, arguments) in checks {
        if output(project.cargo().args([tool, "--version"])).is_ok() {
            say(format_args!("cargo {tool} {}", arguments.join(" ")));
            let done = run(project.cargo().arg(tool).args(arguments)).map(|_| ());
            report.add(&format!("cargo {tool}"), done);
        } else if in_ci() {
            report.add(&format!("cargo {tool}"), Err(anyhow::anyhow!("this compiler comes without it")));
        } else {
            say(format_args!("cargo {tool} is left out: this compiler comes without it"));
        }
    }
}

/// Whether this runs unattended, on a machine that is thrown away.
fn in_ci() -> bool {
    env::var_os("CI").is_some_and(|value| value == "true")
}

/// What was run, what failed, and how each runner closed.
#[derive(Default)]
struct Report {
    n_run: usize,
    failed: Vec<String>,
    closing: Vec<String>,
}

impl Report {
    fn add(&mut self, what: &str, done: Result<()>) {
        self.n_run += 1;
        if let Err(problem) = done {
            self.failed.push(format!("{what}: {problem:#}"));
        }
    }

    fn finish(self) -> Result<()> {
        for line in &self.closing {
            println!("{line}");
        }
        for failure in &self.failed {
            println!("failed: {failure}");
        }
        if !self.failed.is_empty() {
            bail!("{} of {} checks failed", self.failed.len(), self.n_run);
        }
        println!("all {} checks passed", self.n_run);
        Ok(())
    }
}

/// Runs a test runner, shows what it prints and keeps each closing line with the test binary's name.
fn run_and_keep(command: &mut Command, kept: &mut Vec<String>) -> Result<()> {
    let (reader, writer) = std::io::pipe()?;
    let mut child =
        command.stdout(writer.try_clone()?).stderr(writer).spawn().context("cargo did not start")?;
    // The command holds the writing ends; without this the reader below would wait for ever.
    command.stdout(std::process::Stdio::null()).stderr(std::process::Stdio::null());
    let mut runner = String::from("tests");
    for line in BufReader::new(reader).split(b'\n') {
        let line = String::from_utf8_lossy(&line?).into_owned();
        println!("{line}");
        if let Some(name) = runner_of(&line) {
            name.clone_into(&mut runner);
        }
        if line.starts_with("test result:") {
            kept.push(format!("{runner}: {line}"));
        }
    }
    let status = child.wait()?;
    if !status.success() {
        bail!("{status}");
    }
    Ok(())
}

/// The test binary that cargo announces on this line.
fn runner_of(line: &str) -> Option<&str> {
    let line = line.trim_start();
    if let Some(running) = line.strip_prefix("Running ") {
        let (what, file) = running.rsplit_once(" (")?;
        let binary = file.trim_end_matches(')').rsplit('/').next()?.rsplit_once('-')?.0;
        return Some(if what.starts_with("unittests") { binary } else { what });
    }
    line.strip_prefix("Doc-tests ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_closing_line_is_kept_with_its_runner() -> Result<()> {
        let script = "echo '     Running unittests src/lib.rs (target/debug/deps/xtask-0a1b)' >&2
            echo 'test a ... ok'; echo 'test result: ok. 3 passed; 0 failed'
            echo '     Running api/main.rs (target/debug/deps/api-0a1b)' >&2
            echo 'test result: FAILED. 1 passed; 1 failed'; exit 101";
        let mut kept = Vec::new();
        let done = run_and_keep(Command::new("sh").args(["-c", script]), &mut kept);
        assert!(done.is_err_and(|problem| problem.to_string().contains("101")));
        assert_eq!(
            kept,
            [
                "xtask: test result: ok. 3 passed; 0 failed",
                "api/main.rs: test result: FAILED. 1 passed; 1 failed"
            ]
        );
        Ok(())
    }

    #[test]
    fn a_failure_is_an_error_at_the_end() {
        let mut report = Report::default();
        report.add("one", Ok(()));
        report.add("two", Err(anyhow::anyhow!("broken")));
        assert_eq!(report.failed, ["two: broken"]);
        assert!(report.finish().is_err_and(|problem| problem.to_string() == "1 of 2 checks failed"));
    }
}
