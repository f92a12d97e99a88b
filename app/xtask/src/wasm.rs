//! The programs for the browser: compiled, bound to JavaScript, optimised.
//!
//! There are two, built in the same way: the pages, and for tests and measurements the calculations alone.
//!
//! Cargo decides whether anything needs compiling; the two later steps are kept under the hash of their
//! input, so that a second run with nothing changed does neither.
//!
//! What this does not do: compress or name the files; that is [`crate::bundle`].
use crate::project::{Project, output, run, say, short_hash};
use crate::{toolchain, tools};
use anyhow::{Context as _, Result, ensure};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
use wasm_bindgen_cli_support::Bindgen;

/// Raise this when the steps below change, so that kept results of older ones are not used.
const STEPS: &str = "1";

/// What the compiled program uses; the optimiser may use nothing else, or browsers refuse the result.
const FEATURES: [&str; 7] = [
    "--enable-bulk-memory",
    "--enable-bulk-memory-opt",
    "--enable-sign-ext",
    "--enable-mutable-globals",
    "--enable-nontrapping-float-to-int",
    "--enable-reference-types",
    "--enable-multivalue",
];

/// What is built for the browser.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// What to call it when saying so.
    said: &'static str,
    package: &'static str,
    features: &'static [&'static str],
    /// The names of its files.
    name: &'static str,
    /// Where the finished files are kept, under `target/wasm`.
    kept: &'static str,
}

/// The pages.
pub const PAGES: Part = Part {
    said: "the pages",
    package: "tripoise_ui",
    features: &["--features", "hydrate"],
    name: "tripoise",
    kept: "finished",
};

/// The calculations alone, as tests/questions asks them.
pub const ANSWERS: Part = Part {
    said: "the calculations",
    package: "tripoise_questions",
    features: &[],
    name: "answers",
    kept: "finished-answers",
};

/// The program as two files.
#[derive(Debug)]
pub struct Program {
    /// The module that loads it.
    pub js: Vec<u8>,
    /// The program.
    pub wasm: Vec<u8>,
    /// How long compiling took, by cargo's freshness next to nothing when nothing changed.
    pub compiling: Duration,
    /// How long the later steps took.
    pub finishing: Duration,
}

/// Builds a program.
///
/// # Errors   When there is no compiler, it fails, or the binding step does.
pub fn program(project: &Project, part: &Part) -> Result<Program> {
    let (raw, compiling) = compile(project, part)?;
    let start = Instant::now();
    let optimiser = tools::wasm_opt(project);
    let optimiser_version =
        optimiser.as_ref().map_or_else(|_| "none".to_owned(), |_| tools::wasm_opt_version());
    // The version of wasm-bindgen stands in the compiled program itself.
    let key = short_hash(&[STEPS.as_bytes(), &raw, optimiser_version.as_bytes()]);
    let folder = project.target.join("wasm").join(part.kept).join(key);
    let (js, wasm) = (format!("{}.js", part.name), format!("{}_bg.wasm", part.name));
    let done = folder.join("done");
    if !done.exists() {
        fs::create_dir_all(&folder)?;
        bind(&raw, part, &folder)?;
        match optimiser {
            Ok(wasm_opt) => optimise(&wasm_opt, &folder.join(&wasm))?,
            Err(why) => {
                say(format_args!("going on without wasm-opt ({why:#}); the program is some 15 % larger"))
            }
        }
        fs::write(&done, "")?;
    }
    forget_others(&folder)?;
    Ok(Program {
        js: fs::read(folder.join(js))?,
        wasm: fs::read(folder.join(wasm))?,
        compiling,
        finishing: start.elapsed(),
    })
}

/// Compiles for the browser.
fn compile(project: &Project, part: &Part) -> Result<(Vec<u8>, Duration)> {
    let toolchain = toolchain::find(&toolchain::Machine::here()?)?;
    say(format_args!("compiling {} for the browser", part.said));
    let (mut cargo, extra) = toolchain.cargo();
    let folder = project.target.join("wasm");
    // `rustc --crate-type`: with the rlib beside it, cargo would silently leave link-time optimisation out.
    cargo
        .current_dir(&project.root)
        .args(["rustc", "--package", part.package, "--lib", "--crate-type", "cdylib"])
        .args(["--no-default-features", "--profile", "wasm"])
        .args(part.features)
        .args(["--target", toolchain::TARGET, "--target-dir"])
        .arg(&folder)
        .args(extra);
    let took = run(&mut cargo)?;
    let file = folder.join(toolchain::TARGET).join("wasm").join(format!("{}.wasm", part.package));
    let raw = fs::read(&file).with_context(|| format!("the compiler left no {}", file.display()))?;
    Ok((raw, took))
}

/// Writes the module that loads the program, and the program as that module wants it.
fn bind(raw: &[u8], part: &Part, folder: &Path) -> Result<()> {
    say("wasm-bindgen");
    let mut bindgen = Bindgen::new();
    bindgen.input_bytes(part.name, raw.to_vec()).web(true)?.typescript(false);
    bindgen.omit_default_module_path(true).remove_name_section(true).remove_producers_section(true);
    let mut output = bindgen.generate_output()?;
    ensure!(
        output.snippets().values().all(Vec::is_empty) && output.local_modules().is_empty(),
        "a dependency brings JavaScript of its own, which the bundle does not carry; see app/xtask/src/wasm.rs"
    );
    output.emit(folder)
}

/// Shrinks a program in place.
pub(crate) fn optimise(wasm_opt: &Path, file: &Path) -> Result<()> {
    say("wasm-opt");
    let optimised = file.with_extension("opt");
    let mut node = Command::new("node");
    node.arg(wasm_opt).arg("-Oz").args(FEATURES).arg(file).arg("-o").arg(&optimised);
    output(&mut node)?;
    fs::rename(optimised, file).context("the optimised program could not be put in place")
}

/// Deletes what older programs left.
fn forget_others(keep: &Path) -> Result<()> {
    let siblings = keep.parent().map(Path::read_dir).context("the finished program has no folder")??;
    let old: Vec<PathBuf> =
        siblings.flatten().map(|entry| entry.path()).filter(|path| path != keep).collect();
    old.iter().try_for_each(|path| {
        fs::remove_dir_all(path).with_context(|| format!("{} could not be deleted", path.display()))
    })
}
