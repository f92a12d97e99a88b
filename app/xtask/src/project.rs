//! Where things are, and running a command so that its failure reads well.
use anyhow::{Context as _, Result, bail};
use sha2::{Digest as _, Sha256};
use std::env;
use std::fmt::Write as _;
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// The folders of this checkout.
#[derive(Debug, Clone)]
pub struct Project {
    /// The folder of the workspace's `Cargo.toml`.
    pub root: PathBuf,
    /// Cargo's output folder.
    pub target: PathBuf,
}

impl Project {
    /// The checkout that this tool was started from.
    ///
    /// # Errors   When the folder two above the tool's own has no `Cargo.toml`.
    pub fn open() -> Result<Self> {
        let own = env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into());
        let root = PathBuf::from(own).join("../..").canonicalize()?;
        if !root.join("Cargo.toml").is_file() {
            bail!("{} holds no Cargo.toml; start this with `cargo xtask`", root.display());
        }
        let target =
            env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), |dir| root.join(dir));
        Ok(Self { root, target })
    }

    /// Where the bundle that goes into the binary lies.
    #[must_use]
    pub fn bundle_dir(&self) -> PathBuf {
        self.target.join("bundle")
    }

    /// The finished binary.
    #[must_use]
    pub fn binary(&self) -> PathBuf {
        self.target.join("release/tripoise")
    }

    /// Waits until no other `cargo xtask` builds here; the turn ends when the file is dropped.
    ///
    /// # Errors   When `target/` cannot be written.
    pub fn take_turn(&self) -> Result<File> {
        fs::create_dir_all(&self.target)?;
        let path = self.target.join("xtask.lock");
        let turn = File::create(&path).with_context(|| format!("{} could not be written", path.display()))?;
        match turn.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                say("waiting for another `cargo xtask` that builds here");
                turn.lock()?;
            }
            Err(TryLockError::Error(problem)) => return Err(problem.into()),
        }
        Ok(turn)
    }

    /// The cargo that started this tool, at the root of the workspace.
    #[must_use]
    pub fn cargo(&self) -> Command {
        let mut command = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
        command.current_dir(&self.root);
        command
    }
}

/// Says a step on one line before it is done. On stderr, so that stdout stays the server's and the tests'.
pub fn say(step: impl std::fmt::Display) {
    eprintln!("xtask: {step}");
}

/// Runs a command to its end with its output shown.
///
/// # Errors   When it cannot start or does not succeed; names the command.
pub fn run(command: &mut Command) -> Result<Duration> {
    let name = name_of(command);
    let start = Instant::now();
    let status = command.status().with_context(|| format!("{name} did not start"))?;
    if !status.success() {
        bail!("{name} failed ({status}); its own message stands above");
    }
    Ok(start.elapsed())
}

/// Runs a command and returns what it printed on stdout.
///
/// # Errors   When it cannot start or does not succeed; carries the end of its stderr.
pub fn output(command: &mut Command) -> Result<String> {
    let name = name_of(command);
    let out = command.output().with_context(|| format!("{name} did not start"))?;
    if !out.status.success() {
        let said = String::from_utf8_lossy(&out.stderr);
        bail!("{name} failed ({}): {}", out.status, said.trim().lines().last().unwrap_or("it said nothing"));
    }
    Ok(String::from_utf8_lossy(&out.stdout).trim().to_owned())
}

fn name_of(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    let first = command.get_args().next().map(|argument| format!(" {}", argument.to_string_lossy()));
    format!("`{}{}`", program.to_string_lossy(), first.unwrap_or_default())
}

/// The file that `name` stands for in the folders of `path`, as a shell would find it.
#[must_use]
pub fn find_on(path: &std::ffi::OsStr, name: &str) -> Option<PathBuf> {
    env::split_paths(path).map(|folder| folder.join(name)).find(|file| is_executable(file))
}

/// Whether a file is there and may be run.
#[must_use]
pub fn is_executable(file: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt as _;
    file.metadata().is_ok_and(|about| about.is_file() && about.permissions().mode() & 0o111 != 0)
}

/// The first 16 hexadecimal digits of the SHA-256 of `parts`, each with its length before it.
///
/// # Limits   64 bits tell versions of a file apart; they protect against no attacker.
#[must_use]
pub fn short_hash(parts: &[&[u8]]) -> String {
    let mut sum = Sha256::new();
    for part in parts {
        sum.update(part.len().to_le_bytes());
        sum.update(part);
    }
    sum.finalize().iter().take(8).fold(String::new(), |mut text, byte| {
        if write!(text, "{byte:02x}").is_err() {
            text.push('?');
        }
        text
    })
}

/// Writes a file unless it already holds exactly this, so that its time changes only with its content.
///
/// # Errors   When the file cannot be written.
pub fn write_if_new(file: &Path, content: &[u8]) -> Result<()> {
    if fs::read(file).is_ok_and(|there| there == content) {
        return Ok(());
    }
    fs::write(file, content).with_context(|| format!("{} could not be written", file.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_depends_on_where_parts_end() {
        assert_ne!(short_hash(&[b"ab", b"c"]), short_hash(&[b"a", b"bc"]));
        assert_eq!(short_hash(&[b"ab"]).len(), 16);
    }

    #[test]
    fn a_failing_command_is_named_with_what_it_said() {
        let problem =
            output(Command::new("sh").args(["-c", "echo first >&2; echo no such target >&2; exit 3"]));
        let text = problem.unwrap_or_else(|problem| problem.to_string());
        assert!(text.contains("`sh -c`") && text.contains("3") && text.ends_with("no such target"), "{text}");
    }

    #[test]
    fn one_builds_at_a_time() -> Result<()> {
        let folder = tempfile::tempdir()?;
        let project = Project { root: folder.path().into(), target: folder.path().join("target") };
        let first = project.take_turn()?;
        let other = File::open(project.target.join("xtask.lock"))?;
        assert!(matches!(other.try_lock(), Err(TryLockError::WouldBlock)));
        drop(first);
        project.take_turn()?;
        Ok(())
    }

    #[test]
    fn the_search_path_is_walked_in_order() {
        assert!(
            find_on("/nowhere:/bin:/usr/bin".as_ref(), "sh").is_some_and(|file| file.ends_with("bin/sh"))
        );
        assert_eq!(find_on("/nowhere".as_ref(), "sh"), None);
    }
}
