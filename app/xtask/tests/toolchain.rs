//! The ways to a compiler for the browser, each walked with stand-in commands on a search path of its own.
//!
//! What this does not do: install or compile anything.
use anyhow::Result;
use std::ffi::OsString;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use tempfile::TempDir;
use xtask::toolchain::{Machine, Toolchain, find};

/// A machine made of shell scripts. What they were asked stands in its `log`.
struct StandIn {
    folder: TempDir,
    _turn: MutexGuard<'static, ()>,
}

/// One machine at a time: a script that is being written while another test starts a process cannot be run.
static TURN: Mutex<()> = Mutex::new(());

impl StandIn {
    /// A machine with a compiler that has no standard library for the browser.
    fn new() -> Result<Self> {
        let turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
        let machine = Self { folder: tempfile::tempdir()?, _turn: turn };
        machine.command("rustc", &format!("echo {}", machine.at("sysroot").display()))?;
        Ok(machine)
    }

    fn at(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    /// Puts a command on the search path that writes its arguments to the log and then does `script`.
    fn command(&self, name: &str, script: &str) -> Result<()> {
        let log = self.at("log");
        script_at(&self.at("bin").join(name), &format!("echo {name} \"$@\" >> {}\n{script}", log.display()))
    }

    /// What Debian's three packages bring.
    fn debian_files(&self, version: &str) -> Result<()> {
        script_at(&self.at("debian/usr/bin/rustc"), &format!("echo rustc {version} from Debian"))?;
        script_at(&self.at("debian/usr/bin/cargo"), "")?;
        script_at(&self.at("debian/usr/lib/rustlib/src/rust/library/std/Cargo.toml"), "")
    }

    /// The line that makes the standard library appear, as rustup would.
    fn adds_std(&self) -> String {
        let folder = self.at("sysroot/lib/rustlib/wasm32-unknown-unknown/lib");
        format!("/bin/mkdir -p {0}; /bin/touch {0}/libstd-0a1b.rlib", folder.display())
    }

    fn linker(&self) -> Result<PathBuf> {
        let file = self.at("sysroot/lib/rustlib/x86_64-unknown-linux-gnu/bin/rust-lld");
        script_at(&file, "")?;
        Ok(file)
    }

    fn debian(&self, linker: PathBuf) -> Toolchain {
        let bin = self.at("debian/usr/bin");
        Toolchain::Debian { cargo: bin.join("cargo"), rustc: bin.join("rustc"), linker }
    }

    fn find(&self, asked: Option<&str>) -> Result<Toolchain> {
        let path = self.at("bin").into_os_string();
        find(&Machine { path, debian_root: self.at("debian"), asked: asked.map(OsString::from) })
    }

    /// What rustup, apt-get and sudo were asked, in order.
    fn asked(&self) -> Vec<String> {
        let log = fs::read_to_string(self.at("log")).unwrap_or_default();
        log.lines().filter(|line| !line.starts_with("rustc ")).map(str::to_owned).collect()
    }
}

fn script_at(file: &Path, script: &str) -> Result<()> {
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder)?;
    }
    fs::write(file, format!("#!/bin/sh\n{script}\n"))?;
    Ok(fs::set_permissions(file, fs::Permissions::from_mode(0o755))?)
}

/// sudo as a stand-in, so that these tests take the same way for root and for everyone else.
fn sudo_and_apt(machine: &StandIn, apt: &str) -> Result<()> {
    machine.command("apt-get", apt)?;
    machine.command("sudo", "while [ \"${1#*/}\" = \"$1\" ]; do shift; done; exec \"$@\"")
}

#[test]
fn a_standard_library_that_is_there_is_used_and_nobody_is_asked() -> Result<()> {
    let machine = StandIn::new()?;
    machine.command("rustup", "exit 1")?;
    script_at(&machine.at("add"), &machine.adds_std())?;
    xtask::project::run(&mut std::process::Command::new(machine.at("add")))?;
    assert_eq!(machine.find(None)?, Toolchain::Current);
    assert_eq!(machine.find(Some("debian"))?, Toolchain::Current);
    assert_eq!(machine.asked(), Vec::<String>::new());
    Ok(())
}

#[test]
fn rustup_fetches_the_standard_library() -> Result<()> {
    let machine = StandIn::new()?;
    machine.command("rustup", &machine.adds_std())?;
    machine.debian_files("1.96.0")?;
    assert_eq!(machine.find(None)?, Toolchain::Current);
    assert_eq!(machine.asked(), ["rustup target add wasm32-unknown-unknown"]);
    Ok(())
}

#[test]
fn debian_is_taken_when_it_is_asked_for_and_rustup_left_alone() -> Result<()> {
    let machine = StandIn::new()?;
    machine.command("rustup", &machine.adds_std())?;
    machine.debian_files("1.96.0")?;
    let linker = machine.linker()?;
    assert_eq!(machine.find(Some("debian"))?, machine.debian(linker));
    assert_eq!(machine.asked(), Vec::<String>::new());
    Ok(())
}

#[test]
fn debian_helps_when_rustup_fails_or_says_it_did_and_did_not() -> Result<()> {
    for rustup in ["echo no network >&2; exit 1", "exit 0"] {
        let machine = StandIn::new()?;
        machine.command("rustup", rustup)?;
        machine.debian_files("1.96.0")?;
        let linker = machine.linker()?;
        assert_eq!(machine.find(None)?, machine.debian(linker), "{rustup}");
        assert_eq!(machine.asked(), ["rustup target add wasm32-unknown-unknown"], "{rustup}");
    }
    Ok(())
}

#[test]
fn without_rustup_the_packages_are_installed_and_llvms_linker_serves() -> Result<()> {
    let machine = StandIn::new()?;
    // The package of the linker brings the linker; the others bring the compiler.
    let installed = machine.at("ready");
    fs::create_dir_all(&installed)?;
    machine.debian_files("1.96.0")?;
    fs::rename(machine.at("debian"), installed.join("debian"))?;
    let (bin, ready) = (machine.at("bin"), installed.join("debian"));
    let apt = format!(
        "case \"$*\" in *lld-19*) /bin/cp /bin/true {}/wasm-ld-19;; *install*) /bin/mv {} {};; esac",
        bin.display(),
        ready.display(),
        machine.at("debian").display()
    );
    sudo_and_apt(&machine, &apt)?;
    assert_eq!(machine.find(None)?, machine.debian(bin.join("wasm-ld-19")));
    let asked: Vec<String> = machine.asked().into_iter().filter(|line| line.starts_with("apt-get")).collect();
    let install = "apt-get install -y -qq --no-install-recommends";
    let expected = [
        "apt-get update -qq".to_owned(),
        format!("{install} rustc-web cargo-web rust-web-src"),
        "apt-get update -qq".to_owned(),
        format!("{install} lld-19"),
    ];
    assert_eq!(asked, expected);
    Ok(())
}

#[test]
fn an_install_that_fails_is_tried_once_and_then_it_is_said_what_to_do() -> Result<()> {
    let machine = StandIn::new()?;
    machine.command("rustup", "echo no network >&2; exit 1")?;
    sudo_and_apt(&machine, "exit 100")?;
    let said = machine.find(None).err().map(|problem| problem.to_string()).unwrap_or_default();
    assert!(said.starts_with("`rustup target add wasm32-unknown-unknown` failed"), "{said}");
    assert!(said.contains("apt-get update && apt-get install rustc-web cargo-web rust-web-src"), "{said}");
    let n_installs = machine.asked().iter().filter(|line| line.starts_with("apt-get install")).count();
    assert_eq!(n_installs, 1, "{:?}", machine.asked());
    Ok(())
}

/// A machine whose lists of packages are of last year: only a refreshed list knows the compiler of today.
#[test]
fn a_compiler_of_debian_that_is_too_old_is_replaced_from_a_fresh_list() -> Result<()> {
    let machine = StandIn::new()?;
    let linker = machine.linker()?;
    machine.debian_files("1.96.0")?;
    let (here, newer) = (machine.at("debian"), machine.at("newer"));
    fs::rename(&here, &newer)?;
    machine.debian_files("1.85.0")?;
    let apt = format!(
        "case \"$1\" in update) /bin/touch {fresh};; \
         install) [ -e {fresh} ] && /bin/rm -r {here} && /bin/mv {newer} {here};; esac; exit 0",
        fresh = machine.at("fresh").display(),
        here = here.display(),
        newer = newer.display()
    );
    sudo_and_apt(&machine, &apt)?;
    assert_eq!(machine.find(Some("debian"))?, machine.debian(linker));
    let asked: Vec<String> = machine.asked().into_iter().filter(|line| line.starts_with("apt-get")).collect();
    let install = "apt-get install -y -qq --no-install-recommends rustc-web cargo-web rust-web-src";
    assert_eq!(asked, ["apt-get update -qq", install]);
    Ok(())
}

#[test]
fn a_compiler_of_debian_that_is_too_old_does_not_count() -> Result<()> {
    let machine = StandIn::new()?;
    machine.debian_files("1.63.0")?;
    machine.linker()?;
    let said = machine.find(Some("debian")).err().map(|problem| problem.to_string()).unwrap_or_default();
    assert_eq!(
        said,
        "TRIPOISE_WASM=debian asks for Debian's compiler; install version 1.95 or newer as root with \
         `apt-get update && apt-get install rustc-web cargo-web rust-web-src`, then try again"
    );
    Ok(())
}
