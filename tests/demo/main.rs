//! Writes the demo studio as JSON Lines: `cargo run -p tripoise_tests --example demo_studio > demo-data/studio.jsonl`.
//!
//! An invented shared studio with two kilns and three years of firings. It is made by rule from one fixed
//! seed, so that the file can be made again, byte for byte; `tests/api` holds the file to that.
//!
//! What this does not do: describe anybody's real studio. Names, marks and wear are made up; the sizes and
//! rates of wear lie within what the trade calls usual (common practice, no source).

mod chance;
mod diary;
mod pieces;
mod plans;
mod story;
mod studio;

use std::io::Write;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let text = studio::jsonl()?;
    std::io::stdout().lock().write_all(text.as_bytes())?;
    Ok(())
}
