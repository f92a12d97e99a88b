//! `cargo xtask bench phone`: what is waited for on a phone, measured in Chromium. Prints one JSON object.
//!
//! Times are lists in milliseconds, one number a run, in the order measured. What this does not do: judge them, or take a
//! middle; `xtask::phone` knows the budgets.
#[path = "../browser/film.rs"]
mod film;
mod held;
mod planned;
mod studio;

use anyhow::{Context as _, Result, bail};
use browser_support::Phone;
use serde_json::{Map, Value, json};

/// House choice: how much slower than the machine at hand the budgets of the shop floor take a phone to be.
const SLOWER: u32 = 4;

#[tokio::main]
async fn main() -> Result<()> {
    let mut figures = Map::new();
    planned::measure(&mut figures).await?;
    held::measure(&mut figures).await?;
    println!("{}", Value::Object(figures));
    Ok(())
}

/// Slows the page's processor down to the part `1 / rate`.
async fn slow_down(phone: &Phone, rate: u32) -> Result<()> {
    phone.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": rate })).await?;
    Ok(())
}

/// What a script hands to `done`, its last argument; `{ error }` is an error.
async fn told(phone: &Phone, script: &str, arguments: Vec<Value>) -> Result<Value> {
    let found = phone.client().execute_async(script, arguments).await?;
    match found.get("error").and_then(Value::as_str) {
        Some(problem) => bail!("{problem}; the console: {:?}", phone.take_console_errors().await?),
        None => Ok(found),
    }
}

/// A number out of what a script told.
fn number(found: &Value, name: &str) -> Result<f64> {
    found[name].as_f64().with_context(|| format!("no {name} in {found}"))
}
