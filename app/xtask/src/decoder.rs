//! The decoder of QR symbols for browsers that have none: a module of its own, loaded when a camera opens.
//!
//! It imports nothing and exports plain functions, so there is no JavaScript to bind.
//!
//! What this does not do: name or compress the file; that is [`crate::bundle`].
use crate::project::{Project, output, run, say, short_hash, write_if_new};
use crate::{toolchain, tools, wasm};
use anyhow::{Context as _, Result, ensure};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The crate.
const PACKAGE: &str = "tripoise_scan";
/// Of so many frames the middle one counts.
const ROUNDS: usize = 101;

/// Reads one frame over and over in node; prints the middle time in milliseconds, then the text.
const MEASURE: &str = "import { readFileSync } from 'node:fs';
const [module, frame, rounds] = process.argv.slice(1);
const { instance } = await WebAssembly.instantiate(readFileSync(module), {});
const { memory, room, read_rgba, text, text_length } = instance.exports;
const pixels = readFileSync(frame);
const times = [];
for (let round = 0; round < Number(rounds); round += 1) {
  const start = performance.now();
  const at = room(pixels.length);
  new Uint8Array(memory.buffer, at, pixels.length).set(pixels);
  if (read_rgba(960, 720) !== 1) throw new Error('the frame was not read');
  times.push(performance.now() - start);
}
times.sort((one, other) => one - other);
console.log(times[times.length >> 1], new TextDecoder().decode(new Uint8Array(memory.buffer, text(0), text_length(0))));
";

/// Builds the module.
///
/// # Errors   When there is no compiler or it fails.
pub fn module(project: &Project) -> Result<Vec<u8>> {
    let toolchain = toolchain::find(&toolchain::Machine::here()?)?;
    say("compiling the decoder for the browser");
    let (mut cargo, extra) = toolchain.cargo();
    let folder = project.target.join("wasm");
    cargo
        .current_dir(&project.root)
        .args(["rustc", "--package", PACKAGE, "--lib", "--crate-type", "cdylib", "--profile", "wasm"])
        .args(["--target", toolchain::TARGET, "--target-dir"])
        .arg(&folder)
        .args(extra);
    run(&mut cargo)?;
    let file = folder.join(toolchain::TARGET).join("wasm").join(format!("{PACKAGE}.wasm"));
    let raw = fs::read(&file).with_context(|| format!("the compiler left no {}", file.display()))?;
    finished(project, &raw)
}

/// The module without what it does not need, kept under the hash of what it was made of.
fn finished(project: &Project, raw: &[u8]) -> Result<Vec<u8>> {
    let Ok(optimiser) = tools::wasm_opt(project) else { return Ok(raw.to_vec()) };
    let folder = project.target.join("decoder");
    let version = tools::wasm_opt_version();
    let file = folder.join(format!("{}.wasm", short_hash(&[raw, version.as_bytes()])));
    if !file.exists() {
        if folder.exists() {
            fs::remove_dir_all(&folder)?;
        }
        fs::create_dir_all(&folder)?;
        let half = folder.join("half.wasm");
        fs::write(&half, raw)?;
        wasm::optimise(&optimiser, &half)?;
        fs::rename(half, &file)?;
    }
    fs::read(&file).with_context(|| format!("{} is gone", file.display()))
}

/// How long the module takes to read a camera's frame of 960 × 720, pixels copied in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct FrameTimes {
    /// Of a label held near, in milliseconds.
    pub near_ms: f64,
    /// Of one held as far as it can be read.
    pub far_ms: f64,
}

/// Measures the module: medians in node, whose engine is Chromium's.
///
/// # Errors   When it does not build, node is missing, or the frame is not read right.
pub fn frame_times(project: &Project) -> Result<FrameTimes> {
    let _turn = project.take_turn()?;
    let folder = project.target.join("bench-decoder");
    fs::create_dir_all(&folder)?;
    let wasm = folder.join("decoder.wasm");
    write_if_new(&wasm, &module(project)?)?;
    Ok(FrameTimes { near_ms: frame_ms(project, &wasm, "near")?, far_ms: frame_ms(project, &wasm, "far")? })
}

fn frame_ms(project: &Project, wasm: &Path, held: &str) -> Result<f64> {
    let frame = wasm.with_file_name(held);
    let mut draw = project.cargo();
    draw.args(["run", "--release", "--package", PACKAGE, "--example", "frame", "--"]).arg(&frame).arg(held);
    run(&mut draw)?;
    let mut node = Command::new("node");
    node.args(["--input-type=module", "--eval", MEASURE, "--"]).args([wasm, &frame]).arg(ROUNDS.to_string());
    let said = output(&mut node)?;
    let (time, text) = said.trim().split_once(' ').context("the measurement printed nothing")?;
    ensure!(text.contains("/L/"), "the decoder read {text:?}");
    Ok(time.parse()?)
}
