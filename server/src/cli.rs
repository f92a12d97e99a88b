//! The command line: what `tripoise` can be told, and what it answers.
//!
//! What this does not do: any of the work; each subcommand calls the library. Exit codes: 0 done, 1 it
//! could not be done or `verify` found something, 2 the input or the command line was not understood.

mod calc;
mod data;
mod pair;
mod reach;
mod serve;

use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// Tripoise keeps the record of a pottery's kiln shelves and posts and says which checks they pass.
#[derive(Debug, Parser)]
#[command(name = "tripoise", version, propagate_version = true)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve the pages and take events in
    Serve(serve::Serve),
    /// Make a pairing code for a device that is to come in, and show it
    ///
    /// Works beside a running server. The code is good once, for ten minutes.
    Pair(StoreArg),
    /// Write every event to the standard output, one JSON object a line, oldest first
    ///
    /// Works while a server has the store open. The lines are the backup: `tripoise import` reads them.
    Export(StoreArg),
    /// Add the events of an export to the store
    ///
    /// Events that are there already are counted and left alone, so importing twice is harmless. When a
    /// line does not read, its number is named and nothing is imported.
    Import(data::Import),
    /// Build the index again from the journal
    Rebuild(data::Rebuild),
    /// Check journal, index and fold; exits with 1 and says what is wrong
    Verify(StoreArg),
    /// Run one calculation: JSON in, JSON out
    Calc(calc::Calc),
}

/// Where the store is.
#[derive(Debug, clap::Args)]
pub struct StoreArg {
    /// The store's folder [default: $XDG_DATA_HOME/tripoise, or ~/.local/share/tripoise]
    #[arg(long, value_name = "DIR")]
    store: Option<PathBuf>,
}

impl StoreArg {
    fn folder(&self) -> anyhow::Result<PathBuf> {
        if let Some(folder) = &self.store {
            return Ok(folder.clone());
        }
        let absolute =
            |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
        absolute("XDG_DATA_HOME")
            .or_else(|| absolute("HOME").map(|home| home.join(".local/share")))
            .map(|data| data.join("tripoise"))
            .ok_or_else(|| {
                anyhow::anyhow!("there is no home folder to keep the store in; name one with --store DIR")
            })
    }
}

/// Parses the arguments, does what they say, and prints one line where it cannot.
#[must_use]
pub fn main() -> ExitCode {
    match Cli::parse().command.run() {
        Ok(code) => code,
        Err(cause) => {
            eprintln!("tripoise: {cause:#}");
            ExitCode::FAILURE
        }
    }
}

impl Command {
    fn run(self) -> anyhow::Result<ExitCode> {
        match self {
            Self::Serve(serve) => serve.run(),
            Self::Pair(store) => pair::run(&store),
            Self::Export(store) => data::export(&store.folder()?),
            Self::Import(import) => import.run(),
            Self::Rebuild(rebuild) => rebuild.run(),
            Self::Verify(store) => data::verify(&store.folder()?),
            Self::Calc(calc) => calc.run(),
        }
    }
}
