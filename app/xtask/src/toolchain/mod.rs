//! Finds a compiler for the browser, and prepares one where none is there.
//!
//! In this order: the compiler in use, when it has the standard library for wasm32; else Debian's
//! packages, when `TRIPOISE_WASM=debian` asks for them or rustup is missing or fails; else
//! `rustup target add`. [`decide`] holds that order as a pure function; this file acts on it.
//!
//! What this does not do: build anything with it; that is [`crate::wasm`].
mod decide;

pub use decide::{Facts, Step, decide};

use crate::project::{find_on, is_executable, output, run, say};
use crate::tools::Apt;
use anyhow::{Context as _, Result, bail};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The target of the browser bundle.
pub const TARGET: &str = "wasm32-unknown-unknown";

/// Debian's packages with a recent compiler, and the file that shows each is there.
const DEBIAN: [(&str, &str); 3] = [
    ("rustc-web", "usr/bin/rustc"),
    ("cargo-web", "usr/bin/cargo"),
    ("rust-web-src", "usr/lib/rustlib/src/rust/library/std/Cargo.toml"),
];
/// The oldest Debian compiler that will do: the workspace's `rust-version`.
const OLDEST: (u32, u32) = (1, 95);

/// Where to look; a test looks elsewhere than `cargo xtask`.
#[derive(Clone, Debug)]
pub struct Machine {
    /// The search path for commands.
    pub path: OsString,
    /// Where Debian's files lie: `/`.
    pub debian_root: PathBuf,
    /// `TRIPOISE_WASM`, when set.
    pub asked: Option<OsString>,
}

impl Machine {
    /// This machine.
    ///
    /// # Errors   When `TRIPOISE_WASM` holds something other than `debian`.
    pub fn here() -> Result<Self> {
        let asked = std::env::var_os("TRIPOISE_WASM").filter(|value| !value.is_empty());
        if let Some(other) = asked.as_ref().filter(|value| *value != "debian") {
            bail!("TRIPOISE_WASM is {other:?}; set it to debian, or not at all");
        }
        let path = std::env::var_os("PATH").unwrap_or_default();
        Ok(Self { path, debian_root: "/".into(), asked })
    }

    fn command(&self, name: &str) -> Result<Command> {
        let file =
            find_on(&self.path, name).with_context(|| format!("{name} is not on the PATH; install it"))?;
        let mut command = Command::new(file);
        command.env("PATH", &self.path);
        Ok(command)
    }
}

/// A compiler for the browser.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Toolchain {
    /// The one in use, standard library included.
    Current,
    /// Debian's, which builds the standard library along.
    Debian {
        /// Its cargo.
        cargo: PathBuf,
        /// Its rustc.
        rustc: PathBuf,
        /// The linker for wasm, which Debian's compiler does not bring.
        linker: PathBuf,
    },
}

impl Toolchain {
    /// The cargo to call, set up so that it compiles for the browser.
    ///
    /// # Returns  The command without arguments, and the arguments that go after its own.
    #[must_use]
    pub fn cargo(&self) -> (Command, Vec<&'static str>) {
        match self {
            Self::Current => {
                (Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into())), vec![])
            }
            Self::Debian { cargo, rustc, linker } => {
                let mut command = Command::new(cargo);
                // rustup's own settings would lead Debian's cargo back to rustup's compiler and libraries.
                for name in ["RUSTUP_TOOLCHAIN", "LD_LIBRARY_PATH", "RUSTDOC", "CARGO"] {
                    command.env_remove(name);
                }
                // Debian's compiler is a stable release: only with this does it build the standard library along.
                command
                    .env("RUSTC", rustc)
                    .env("RUSTC_BOOTSTRAP", "1")
                    .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
                (command, vec!["-Z", "build-std=std,panic_abort"])
            }
        }
    }
}

/// Finds or prepares a compiler for the browser; each step is said on one line before it is done.
///
/// # Errors   When nothing works; the text says what to install.
pub fn find(machine: &Machine) -> Result<Toolchain> {
    let apt = Apt::find(&machine.path);
    let mut facts = Facts {
        debian_asked: machine.asked.is_some(),
        rustup: find_on(&machine.path, "rustup").is_some(),
        may_install: apt.is_some(),
        ..Facts::default()
    };
    loop {
        facts.has_wasm_std = has_wasm_std(machine);
        facts.debian_missing = debian_missing(machine);
        match decide(&facts) {
            Step::UseCurrent => {
                say(format_args!("the compiler in use has the standard library for {TARGET}"));
                return Ok(Toolchain::Current);
            }
            Step::AddTarget => {
                say(format_args!("rustup target add {TARGET}"));
                if let Err(problem) = run(machine.command("rustup")?.args(["target", "add", TARGET])) {
                    say(format_args!("{problem:#}; trying Debian's packages"));
                    facts.target_add_failed = Some(format!("{problem:#}"));
                } else if !has_wasm_std(machine) {
                    facts.target_add_failed = Some("the compiler in use is not rustup's".into());
                }
            }
            Step::InstallDebian(packages) => {
                facts.install_tried = true;
                if let Some(Err(problem)) = apt.as_ref().map(|apt| apt.install(&packages)) {
                    say(format_args!("{problem:#}"));
                }
            }
            Step::UseDebian => return debian(machine, apt.as_ref()),
            Step::Stuck(why) => bail!(why),
        }
    }
}

/// Whether the compiler in use has a standard library for the browser.
fn has_wasm_std(machine: &Machine) -> bool {
    let Some(sysroot) = sysroot(machine) else { return false };
    let folder = sysroot.join("lib/rustlib").join(TARGET).join("lib");
    folder.read_dir().is_ok_and(|files| {
        files.flatten().any(|file| {
            let name = file.file_name();
            name.to_string_lossy().starts_with("libstd-")
                && Path::new(&name).extension() == Some("rlib".as_ref())
        })
    })
}

fn sysroot(machine: &Machine) -> Option<PathBuf> {
    let mut rustc = machine.command("rustc").ok()?;
    output(rustc.args(["--print", "sysroot"])).ok().map(PathBuf::from)
}

/// The packages to install. They are of one version, so an old compiler asks for all of them.
fn debian_missing(machine: &Machine) -> Vec<&'static str> {
    let there = |file: &str| machine.debian_root.join(file).exists();
    let rustc = "usr/bin/rustc";
    let old = there(rustc) && !is_recent(&machine.debian_root.join(rustc));
    DEBIAN.iter().filter(|(_, file)| old || !there(file)).map(|(package, _)| *package).collect()
}

/// Whether a compiler is at least as new as the workspace needs.
fn is_recent(rustc: &Path) -> bool {
    let mut command = Command::new(rustc);
    output(command.arg("--version").env_remove("LD_LIBRARY_PATH"))
        .is_ok_and(|said| version_of(&said) >= Some(OLDEST))
}

/// The first two numbers of `rustc 1.96.0 (…)`.
fn version_of(said: &str) -> Option<(u32, u32)> {
    let mut numbers = said.split_whitespace().nth(1)?.split('.').map_while(|number| number.parse().ok());
    Some((numbers.next()?, numbers.next()?))
}

fn debian(machine: &Machine, apt: Option<&Apt>) -> Result<Toolchain> {
    let linker = match find_linker(machine) {
        Some(found) => found,
        None => {
            if let Some(apt) = apt {
                apt.install(&[Apt::LINKER])?;
            }
            find_linker(machine).with_context(|| {
                format!(
                    "no linker for wasm was found; install it as root with `apt-get install {}`",
                    Apt::LINKER
                )
            })?
        }
    };
    say(format_args!(
        "Debian's compiler builds the standard library for {TARGET} along; linker {}",
        linker.display()
    ));
    let bin = machine.debian_root.join("usr/bin");
    Ok(Toolchain::Debian { cargo: bin.join("cargo"), rustc: bin.join("rustc"), linker })
}

/// The linker that rustup's compiler brings, else LLVM's own.
fn find_linker(machine: &Machine) -> Option<PathBuf> {
    let rustup = sysroot(machine).and_then(|root| {
        let hosts = root.join("lib/rustlib").read_dir().ok()?;
        hosts.flatten().map(|host| host.path().join("bin/rust-lld")).find(|file| is_executable(file))
    });
    rustup.or_else(|| ["wasm-ld", "wasm-ld-19"].into_iter().find_map(|name| find_on(&machine.path, name)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_compiler_says_its_version() {
        assert_eq!(
            version_of("rustc 1.96.0 (ac68faa20 2026-05-25) (built from a source tarball)"),
            Some((1, 96))
        );
        assert_eq!(version_of("rustc 1.63.0"), Some((1, 63)));
        assert_eq!(version_of("command not found"), None);
        assert!(
            version_of("rustc 1.100.0-nightly") >= Some(OLDEST) && version_of("rustc 1.63.0") < Some(OLDEST)
        );
    }
}
