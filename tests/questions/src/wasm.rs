//! What the browser and node call.
//!
//! What this does not do: catch a panic. It ends the program, and the caller sees that.
use wasm_bindgen::prelude::wasm_bindgen;

/// See [`crate::answer`].
#[wasm_bindgen]
#[must_use]
pub fn answer(kind: &str, input: &str) -> String {
    crate::answer(kind, input)
}
