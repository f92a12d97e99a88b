//! What the build and the tests need from outside: Debian's packages and three packages of npm.
//!
//! What this does not do: install anything that the finished binary needs; it needs nothing.
use crate::project::{Project, find_on, output, run, say};
use anyhow::{Context as _, Result};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::IsTerminal as _;
use std::os::unix::fs::MetadataExt as _;
use std::path::PathBuf;
use std::process::Command;

/// apt-get, where this user may use it.
#[derive(Debug)]
pub struct Apt {
    program: PathBuf,
    sudo: Option<PathBuf>,
    path: OsString,
}

impl Apt {
    /// LLVM's linker of a version that reads what Debian's `rustc-web` writes.
    pub const LINKER: &str = "lld-19";

    /// apt-get on `path`, used directly as root and through sudo otherwise; `None` where neither goes.
    #[must_use]
    pub fn find(path: &OsStr) -> Option<Self> {
        let program = find_on(path, "apt-get")?;
        let root = fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0);
        let sudo = find_on(path, "sudo");
        if !root && sudo.is_none() {
            return None;
        }
        Some(Self { program, sudo: sudo.filter(|_| !root), path: path.to_owned() })
    }

    /// Refreshes the lists of packages, then installs: an old list would bring an old package, or none.
    ///
    /// # Errors   When the install fails. Without a network the old list is tried.
    pub fn install(&self, packages: &[&str]) -> Result<()> {
        say("apt-get update");
        if let Err(problem) = run(self.command().args(["update", "-qq"])) {
            say(format_args!("{problem:#}; going on with the lists of packages that are there"));
        }
        say(format_args!("apt-get install --no-install-recommends {}", packages.join(" ")));
        let fixed = ["install", "-y", "-qq", "--no-install-recommends"];
        run(self.command().args(fixed).args(packages)).map(drop)
    }

    fn command(&self) -> Command {
        let mut command = match &self.sudo {
            Some(sudo) => {
                let mut command = Command::new(sudo);
                if !std::io::stdin().is_terminal() {
                    command.arg("-n");
                }
                command.arg("DEBIAN_FRONTEND=noninteractive").arg(&self.program);
                command
            }
            None => Command::new(&self.program),
        };
        command.env("PATH", &self.path).env("DEBIAN_FRONTEND", "noninteractive");
        command
    }
}

/// One package of npm, its exact version and the file of it that is used.
struct FromNpm {
    name: &'static str,
    version: &'static str,
    file: &'static str,
}

const BINARYEN: FromNpm = FromNpm { name: "binaryen", version: "132.0.0", file: "bin/wasm-opt" };
const AXE: FromNpm = FromNpm { name: "axe-core", version: "4.14.1", file: "axe.min.js" };

const LIGHTHOUSE: FromNpm = FromNpm { name: "lighthouse", version: "12.8.2", file: "cli/index.js" };

impl FromNpm {
    /// The file, fetched once into `target/tools`.
    fn fetch(&self, project: &Project) -> Result<PathBuf> {
        let folder = project.target.join("tools").join(format!("{}-{}", self.name, self.version));
        let file = folder.join("node_modules").join(self.name).join(self.file);
        if !file.exists() {
            let package = format!("{}@{}", self.name, self.version);
            say(format_args!("npm install {package}"));
            fs::create_dir_all(&folder)?;
            let mut npm = Command::new("npm");
            npm.arg("install").arg("--prefix").arg(&folder).arg(package);
            output(npm.args(["--no-save", "--no-audit", "--no-fund", "--ignore-scripts"]))?;
        }
        file.exists()
            .then_some(file)
            .with_context(|| format!("npm installed {} without {}", self.name, self.file))
    }
}

/// The optimiser for WebAssembly, or why there is none.
///
/// # Errors   When npm or node is missing or does not get the package; the build goes on without it.
pub fn wasm_opt(project: &Project) -> Result<PathBuf> {
    output(Command::new("node").arg("--version")).context("node is not there")?;
    BINARYEN.fetch(project)
}

/// The program that rates pages, run by node.
///
/// # Errors   When npm does not get the package.
pub fn lighthouse(project: &Project) -> Result<PathBuf> {
    LIGHTHOUSE.fetch(project)
}

/// A name for the optimiser's version, part of what the built program depends on.
#[must_use]
pub fn wasm_opt_version() -> String {
    format!("{} {}", BINARYEN.name, BINARYEN.version)
}

/// Installs what the oracles of the tests need where it is missing: Python, whose libraries they are, and
/// poppler's pdftoppm, which turns printed labels into pictures.
///
/// # Errors   When it is missing and cannot be installed; says what to install.
pub fn oracles() -> Result<()> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let there = || {
        output(Command::new("python3").args(["-c", "import venv, ensurepip"])).is_ok()
            && find_on(&path, "pdftoppm").is_some()
    };
    if let (false, Some(apt)) = (there(), Apt::find(&path)) {
        apt.install(&["python3", "python3-venv", "poppler-utils"])?;
    }
    there().then_some(()).context(
        "the oracles need more; install it as root with `apt-get install python3 python3-venv poppler-utils`",
    )
}

/// What the browser tests need.
#[derive(Debug)]
pub struct BrowserTools {
    /// The browser.
    pub chromium: PathBuf,
    /// What drives it.
    pub chromedriver: PathBuf,
    /// The accessibility checks, as one script.
    pub axe: PathBuf,
}

/// Finds the browser and its checks, and installs what is missing.
///
/// # Errors   When one of them cannot be had; says what to install.
pub fn browser(project: &Project) -> Result<BrowserTools> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let wanted = [("CHROMIUM", "chromium", "chromium"), ("CHROMEDRIVER", "chromedriver", "chromium-driver")];
    let found = |variable: &str, name: &str| {
        std::env::var_os(variable).map(PathBuf::from).or_else(|| find_on(&path, name))
    };
    let mut missing: Vec<&str> = wanted
        .iter()
        .filter(|(variable, name, _)| found(variable, name).is_none())
        .map(|(_, _, package)| *package)
        .collect();
    if find_on(&path, "npm").is_none() {
        missing.push("npm");
    }
    if let (false, Some(apt)) = (missing.is_empty(), Apt::find(&path)) {
        apt.install(&missing)?;
    }
    let have = |(variable, name, package): (&str, &str, &str)| {
        found(variable, name).with_context(|| {
            format!("the browser tests need {name}; install it as root with `apt-get install {package}` or set {variable}")
        })
    };
    Ok(BrowserTools { chromium: have(wanted[0])?, chromedriver: have(wanted[1])?, axe: AXE.fetch(project)? })
}
