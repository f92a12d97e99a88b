//! `cargo xtask`: prepares what is missing, builds, serves, tests and measures Tripoise.
//!
//! Start reading at [`xtask::bundle`].
use clap::{Parser, Subcommand};
use std::process::ExitCode;
use xtask::{bench, bundle, pictures, project::Project, serve, test, toolchain};

/// Builds, serves, tests and measures Tripoise; prepares what is missing and says each step.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask")]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Builds what is out of date and starts the server; options go to `tripoise serve`
    #[command(disable_help_flag = true)]
    Serve {
        /// --demo, --store DIR, --listen ADDRESS: see `tripoise serve --help`
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        options: Vec<String>,
    },
    /// Installs what the tests need and runs all of them, browser included
    Test,
    /// Compares the calculations in wasm32 with this machine's to the last byte, and tests nothing else
    Equal,
    /// Builds the one binary, target/release/tripoise, with the browser bundle inside
    Bundle,
    /// Prints what the budgets speak of and fails where one is not kept: first load, memory, build, calculations
    Bench {
        /// Only this part
        part: Option<bench::Part>,
    },
    /// Takes the README's pictures from the demo
    Screenshots {
        /// Where the pictures go
        #[arg(default_value = "tests/browser/pictures")]
        folder: std::path::PathBuf,
    },
    /// Finds or prepares a compiler for the browser and says which
    Toolchain,
}

fn main() -> ExitCode {
    let done = Project::open().and_then(|project| match Arguments::parse().task {
        Task::Serve { options } => serve::serve(&project, &options),
        Task::Test => test::test(&project),
        Task::Equal => test::equal(&project),
        Task::Bundle => bundle::finished_binary(&project).map(|_| ()),
        Task::Bench { part } => bench::bench(&project, part),
        Task::Screenshots { folder } => pictures::take(&project, &folder),
        Task::Toolchain => toolchain::find(&toolchain::Machine::here()?).map(|_| ()),
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("xtask: {problem:#}");
            ExitCode::FAILURE
        }
    }
}
