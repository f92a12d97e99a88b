//! The calculations as two small programs, for this machine and for wasm32, to compare and to measure.
//!
//! What this does not do: ask them anything; tests/questions does.
use crate::project::{Project, run, say, write_if_new};
use crate::wasm;
use anyhow::Result;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

/// Where both programs are.
#[derive(Debug)]
pub struct Answers {
    /// The native program.
    pub native: PathBuf,
    /// A folder with `answers.mjs` and `answers.wasm`.
    pub wasm: PathBuf,
}

impl Answers {
    /// Builds what is out of date of both.
    ///
    /// # Errors   When something does not build.
    pub fn build(project: &Project) -> Result<Self> {
        let _turn = project.take_turn()?;
        let program = wasm::program(project, &wasm::ANSWERS)?;
        let wasm = project.target.join("answers");
        fs::create_dir_all(&wasm)?;
        write_if_new(&wasm.join("answers.mjs"), &program.js)?;
        write_if_new(&wasm.join("answers.wasm"), &program.wasm)?;
        say("building the calculations for this machine");
        run(project.cargo().args(["build", "--release", "--package", "tripoise_questions"]))?;
        Ok(Self { native: project.target.join("release/tripoise_answers"), wasm })
    }

    /// Tells tests and measurements where the programs are.
    pub fn variables(&self, command: &mut Command) {
        command.env("TRIPOISE_ANSWERS", &self.native).env("TRIPOISE_WASM_ANSWERS", &self.wasm);
    }
}
