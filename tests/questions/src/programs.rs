//! The same questions put to the native program, to node and to Chromium.
//!
//! What this does not do: build the programs, or fetch anything. A page carries its program and questions.
use crate::questions::Question;
use anyhow::{Context as _, Result, anyhow, ensure};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

/// Reads the questions from the standard input, as the native program does.
const NODE: &str = "
import { readFileSync } from 'node:fs';
const folder = process.argv[1];
const { initSync, answer } = await import(`file://${folder}/answers.mjs`);
initSync({ module: readFileSync(`${folder}/answers.wasm`) });
const questions = readFileSync(0, 'utf8').trimEnd().split('\\n').map(line => JSON.parse(line));
console.log(questions.map(({ kind, input }) => JSON.stringify(answer(kind, input))).join('\\n'));
";

/// Leaves what `work` returns as the page's whole text, so that `--dump-dom` prints it.
const PAGE: &str = r"
initSync({ module: Uint8Array.from(program) });
document.body.textContent = JSON.stringify(work()).replace(/[<>&\u007f-\uffff]/g,
    letter => '\\u' + letter.charCodeAt(0).toString(16).padStart(4, '0'));
";

fn lines(questions: &[Question]) -> Result<String> {
    let mut lines = String::new();
    for Question { kind, input } in questions {
        writeln!(lines, "{}", json!({"kind": kind, "input": input}))?;
    }
    Ok(lines)
}

/// The standard output of a command that is given `input`.
fn piped(command: &mut Command, input: String) -> Result<String> {
    let name = command.get_program().to_string_lossy().into_owned();
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("{name} did not start"))?;
    let mut pipe = child.stdin.take().context("no pipe")?;
    let writer = std::thread::spawn(move || pipe.write_all(input.as_bytes()));
    let out = child.wait_with_output()?;
    let written = writer.join().map_err(|_| anyhow!("the writer panicked"))?;
    ensure!(out.status.success(), "{name} failed ({}); its message stands above", out.status);
    written?;
    Ok(String::from_utf8(out.stdout)?)
}

fn answers(text: &str) -> Result<Vec<String>> {
    text.lines().map(|line| Ok(serde_json::from_str(line)?)).collect()
}

/// The native program's answers.
///
/// # Errors   When it does not run, or ends in a panic.
pub fn native(program: &Path, questions: &[Question]) -> Result<Vec<String>> {
    answers(&piped(&mut Command::new(program), lines(questions)?)?)
}

/// The answers in node of the program for wasm32 in the folder `wasm`.
///
/// # Errors   When it does not run, or ends in a panic.
pub fn node(wasm: &Path, questions: &[Question]) -> Result<Vec<String>> {
    let mut node = Command::new("node");
    answers(&piped(node.args(["--input-type=module", "--eval", NODE, "--"]).arg(wasm), lines(questions)?)?)
}

/// The answers in Chromium of the program for wasm32 in the folder `wasm`.
///
/// # Errors   When it does not run, or ends in a panic.
pub fn browser(chromium: &Path, wasm: &Path, questions: &[Question]) -> Result<Vec<String>> {
    let work = "const work = () => questions.map(({ kind, input }) => answer(kind, input));";
    let found = in_page(chromium, wasm, &format!("{}{work}", script(questions)?))?;
    serde_json::from_value(found).context("the page shows no list of answers")
}

/// What the function `work` of this script returns in a page of Chromium that has the program for wasm32.
///
/// # Errors   When the browser does not run, or the script throws.
pub fn in_page(chromium: &Path, wasm: &Path, work: &str) -> Result<Value> {
    let folder = tempfile::tempdir()?;
    let page = folder.path().join("page.html");
    let module = std::fs::read_to_string(wasm.join("answers.mjs"))?;
    let program = std::fs::read(wasm.join("answers.wasm"))?;
    let html = format!(
        "<!doctype html><meta charset=utf-8><body><script type=module>\n{module}\nconst program = {program:?};\n{work}\n{PAGE}</script>"
    );
    std::fs::write(&page, html)?;
    let mut command = Command::new(chromium);
    command.args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--dump-dom"]);
    command.args([
        "--disable-dev-shm-usage",
        "--disable-background-networking",
        "--disable-component-update",
    ]);
    let profile = format!("--user-data-dir={}", folder.path().join("profile").display());
    let url = format!("file://{}", page.display());
    let dom = piped(command.arg(profile).arg(url).stderr(Stdio::null()), String::new())?;
    let text = dom.split_once("<body>").and_then(|(_, rest)| rest.split_once("</body>"));
    let (text, _) = text.context("chromium gave no page")?;
    // Where the script has thrown, the body still holds the script.
    serde_json::from_str(text.trim()).context("the page's script has thrown")
}

/// The questions as a line of script that stays one, whatever they hold.
fn script(questions: &[Question]) -> Result<String> {
    let questions: Vec<Value> =
        questions.iter().map(|Question { kind, input }| json!({"kind": kind, "input": input})).collect();
    let mut script = String::from("const questions = ");
    for letter in serde_json::to_string(&questions)?.chars() {
        if letter.is_ascii() && letter != '<' {
            script.push(letter);
        } else {
            for unit in letter.encode_utf16(&mut [0; 2]) {
                write!(script, "\\u{unit:04x}")?;
            }
        }
    }
    script.push_str(";\n");
    Ok(script)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_cannot_end_the_script_it_stands_in() -> Result<()> {
        let question = Question { kind: "cone".into(), input: "</script>&é".into() };
        let script = script(&[question])?;
        assert!(!script.contains("</script>") && script.is_ascii(), "{script}");
        Ok(())
    }
}
