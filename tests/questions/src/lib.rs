//! Questions to every calculation, and a way to ask them of this machine's code and of wasm32's.
//!
//! Start reading at [`questions`] (what is asked) and [`answer`] (what comes back). [`verdict`] says what
//! must hold of any answer; the fuzz targets in tests/fuzz use it. [`programs`] starts node and Chromium.
//!
//! What this does not do: know a right answer. tests/reference does.
pub mod chance;
pub mod load;
pub mod planned;
#[cfg(not(target_arch = "wasm32"))]
pub mod programs;
#[cfg(not(target_arch = "wasm32"))]
pub mod questions;
#[cfg(not(target_arch = "wasm32"))]
pub mod spoil;
#[cfg(not(target_arch = "wasm32"))]
pub mod verdict;
#[cfg(target_arch = "wasm32")]
pub mod wasm;
#[cfg(not(target_arch = "wasm32"))]
pub mod workloads;

/// The calculation's answer behind `= `, or its refusal behind `! `.
#[must_use]
pub fn answer(kind: &str, input: &str) -> String {
    match tripoise_core::calc::run(kind, input) {
        Ok(text) => format!("= {text}"),
        Err(refusal) => format!("! {refusal}"),
    }
}
