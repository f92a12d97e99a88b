//! `tripoise calc KIND`: standard input to standard output.
//!
//! What this does not do: calculate; see `tripoise_core::calc`.
use clap::Args;
use std::io::{self, Read, Write};
use std::process::ExitCode;
use tripoise_core::calc;

/// The kind, and whether only its help is wanted.
#[derive(Debug, Args)]
#[command(disable_help_flag = true)]
pub struct Calc {
    /// Which calculation
    kind: Option<String>,
    /// Show what a calculation takes and gives, with an example that runs
    #[arg(short, long)]
    help: bool,
}

impl Calc {
    /// Exit 0 with one JSON object; 2 with one line on the standard error.
    pub(super) fn run(self) -> anyhow::Result<ExitCode> {
        let Some(kind) = self.kind else {
            return if self.help { say(&overview()) } else { bad(&overview()) };
        };
        if self.help {
            return match calc::help(&kind) {
                Some(help) => say(help),
                None => bad(&unknown(&kind)),
            };
        }
        if calc::help(&kind).is_none() {
            return bad(&unknown(&kind));
        }
        let mut input = Vec::new();
        io::stdin().read_to_end(&mut input)?;
        let Ok(input) = String::from_utf8(input) else {
            return bad("the input is not UTF-8 text; give one JSON object");
        };
        match calc::run(&kind, &input) {
            Ok(output) => say(&output),
            Err(cause) => bad(&cause.to_string()),
        }
    }
}

fn overview() -> String {
    let kinds: Vec<&str> = calc::KINDS.iter().map(|kind| kind.name).collect();
    format!(
        "usage: tripoise calc KIND < input.json > output.json\nKIND: {}\n`tripoise calc KIND --help` shows what it takes, with an example that runs",
        kinds.join(", ")
    )
}

fn unknown(kind: &str) -> String {
    let kinds: Vec<&str> = calc::KINDS.iter().map(|kind| kind.name).collect();
    format!("{kind:?} is no calculation; choose one of {}", kinds.join(", "))
}

fn say(text: &str) -> anyhow::Result<ExitCode> {
    let mut out = io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush()) {
        Err(cause) if cause.kind() != io::ErrorKind::BrokenPipe => Err(cause.into()),
        _ => Ok(ExitCode::SUCCESS),
    }
}

fn bad(line: &str) -> anyhow::Result<ExitCode> {
    eprintln!("{line}");
    Ok(ExitCode::from(2))
}
