//! `cargo xtask screenshots`: the README's pictures, taken from the demo.
use crate::project::{Project, run, say};
use crate::{bundle, test, tools};
use anyhow::Result;
use std::path::Path;

/// Builds what is out of date and takes the pictures into `folder`.
///
/// # Errors   When something does not build or the browser does not play along.
pub fn take(project: &Project, folder: &Path) -> Result<()> {
    let browser = tools::browser(project)?;
    let binary = bundle::finished_binary(project)?;
    let folder = project.root.join(folder);
    say(format_args!("taking pictures into {}", folder.display()));
    let mut pictures = project.cargo();
    pictures.args(["test", "--quiet", "--package", "tripoise_tests", "--test", "pictures", "--"]).arg(folder);
    test::browser_variables(&mut pictures, &browser, &binary);
    run(&mut pictures)?;
    Ok(())
}
