//! Published and independently computed reference cases, through `tripoise_core::calc` as a user meets it.
//!
//! Agreement is asserted in decimal digits (log relative error, as NIST's Statistical Reference Datasets do),
//! by [`agree`]. Each check names its source. A row that cannot agree stands in [`EXPECTED_FAILURES`] with the
//! reason; the day it agrees, its test fails until it is taken off the list.
//!
//! Provenance, as the files in data/ flag it: O = the published text was read; M = quoted from memory and
//! reproduced; C = computed by general-purpose libraries, two routes agreeing.
mod cones;
mod flatness;
mod grouping;
mod oracle;
mod plate;
mod stack;
mod straightedge;
mod support;
mod survival;
mod trend;

use serde_json::Value;
use std::io::Write as _;

/// What a test here returns.
type Res<T> = Result<T, Box<dyn std::error::Error>>;

/// Rows that do not agree, each with the reason.
const EXPECTED_FAILURES: &[(&str, &str)] = &[(
    "A3 closure of E-W with the centre lines in the network",
    "Moody leaves the whole misclosure in the centre line; a least-squares network shares it among all \
     readings at the centre",
)];

/// The decimal digits in which two numbers agree: −log10 of the relative error, of the error itself where
/// the wanted value is 0; at most 16.
fn digits(found: f64, wanted: f64) -> f64 {
    let error = (found - wanted).abs() / if wanted == 0.0 { 1.0 } else { wanted.abs() };
    // NaN agrees with nothing.
    if error.is_nan() { f64::NEG_INFINITY } else { (-error.log10()).min(16.0) }
}

/// Asserts that the number in `found` agrees with `wanted` to so many digits, or, for a row on the list of
/// expected failures, that it still does not.
#[track_caller]
fn agree(row: &str, found: &Value, wanted: f64, least_digits: f64) {
    let found = found.as_f64().unwrap_or(f64::NAN);
    let reached = digits(found, wanted);
    let agrees = reached >= least_digits;
    match EXPECTED_FAILURES.iter().find(|(name, _)| *name == row) {
        Some((_, reason)) => assert!(!agrees, "{row}: agrees now; take it off the list ({reason})"),
        None => assert!(agrees, "{row}: {found} for {wanted}: {reached:.1} of {least_digits} digits"),
    }
}

/// Runs a calculation; notes the question where TRIPOISE_QUESTIONS names a file, so that the program for wasm32
/// can be asked the same.
fn run(kind: &str, input: &Value) -> Res<String> {
    let input = input.to_string();
    if let Some(file) = std::env::var_os("TRIPOISE_QUESTIONS") {
        let line = format!("{}\n", serde_json::json!({"kind": kind, "input": input}));
        // One write a line: tests run side by side and append to the same file.
        std::fs::File::options().create(true).append(true).open(file)?.write_all(line.as_bytes())?;
    }
    Ok(tripoise_core::calc::run(kind, &input)?)
}

/// Runs a calculation and parses its answer.
fn calc(kind: &str, input: &Value) -> Res<Value> {
    Ok(serde_json::from_str(&run(kind, input)?)?)
}

#[test]
fn digits_are_counted_as_published() {
    assert_eq!(digits(1.0, 1.0), 16.0);
    assert_eq!(digits(0.001, 0.0), 3.0);
    assert!((digits(101.0, 100.0) - 2.0).abs() < 1e-12);
    assert_eq!(digits(f64::NAN, 1.0), f64::NEG_INFINITY);
}
