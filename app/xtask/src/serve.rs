//! `cargo xtask serve`: builds what is out of date, then becomes the server.
use crate::bundle;
use crate::project::Project;
use anyhow::{Result, anyhow};
use std::os::unix::process::CommandExt as _;
use std::process::Command;

/// Builds and starts the server with these options. Returns only when that fails.
///
/// # Errors   When something does not build or the binary does not start.
pub fn serve(project: &Project, options: &[String]) -> Result<()> {
    let binary = bundle::finished_binary(project)?;
    // The server takes this process over, so that Ctrl-C and SIGTERM reach it and nothing else.
    let problem = Command::new(&binary).arg("serve").args(options).exec();
    Err(anyhow!(problem).context(format!("{} did not start", binary.display())))
}
