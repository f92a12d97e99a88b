//! What every journey stands on: a server with its own store, a browser the size of a phone, ways to find
//! things as a person or a screen reader does, and the checks at a journey's end.
//!
//! Start reading at [`Phone`]. `cargo xtask test` says where server, browser, driver and checks are, in
//! `TRIPOISE_BIN`, `CHROMIUM`, `CHROMEDRIVER` and `AXE_JS`; without them every test here fails and says so.
//!
//! What this does not do: sleep. It asks again until a condition holds or patience ends.
mod checks;
mod driver;
mod find;
mod keys;
mod look;
mod offline;
mod phone;
mod server;
mod wire;

pub use driver::Lens;
pub use keys::strike;
pub use look::Look;
pub use phone::Phone;
pub use server::{Server, Studio};
pub use wire::devtools;

use anyhow::{Context as _, Result};
use std::path::PathBuf;
use std::time::Duration;

/// House choice: how long a condition may take on a slow machine that builds something else meanwhile.
pub const PATIENCE: Duration = Duration::from_secs(20);
/// House choice: how often a condition is asked for.
const AGAIN: Duration = Duration::from_millis(40);

/// A file or program that `cargo xtask test` names.
fn named(variable: &str) -> Result<PathBuf> {
    let value = std::env::var_os(variable);
    value.map(PathBuf::from).with_context(|| format!("{variable} is not set; run `cargo xtask test`"))
}
