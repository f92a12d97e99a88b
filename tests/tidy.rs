//! House rules that a script can see, as plain tests: they fail like any other.
//!
//! What this does not do: judge style. rustfmt and clippy do, in `cargo xtask test`.

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

type Outcome = Result<(), Box<dyn Error>>;

/// Files over 400 lines, each with its reason.
const LONG_FILES: &[(&str, &str)] = &[];

/// Crates that the core may name, with why.
const CORE_MAY_USE: &[(&str, &str)] = &[
    ("serde", "events and pages are data"),
    ("serde_json", "the body of an event that this build cannot read stays JSON; calculations speak JSON"),
    ("uuid", "ids, without generators"),
    ("thiserror", "errors"),
    ("libm", "the same digits in the browser and on the server"),
    ("jiff", "dates and moments, without a clock"),
    ("qrcodegen", "QR symbols (ISO/IEC 18004) of labels, on the page and in the PDF"),
    ("serde_path_to_error", "names the field that a calculation refuses"),
];

/// SHA-256 of every golden file ever shipped: added to, never edited.
const GOLDEN: &str = include_str!("golden.sha256");

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every file that git tracks or would track, relative to the root.
fn files() -> Result<Vec<String>, Box<dyn Error>> {
    let listed = Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard"])
        .current_dir(root())
        .output()?;
    assert!(listed.status.success(), "git must list the files");
    let text = String::from_utf8(listed.stdout)?;
    Ok(text.lines().filter(|file| root().join(file).is_file()).map(str::to_owned).collect())
}

fn ends(file: &str, endings: &[&str]) -> bool {
    endings.iter().any(|ending| file.ends_with(ending))
}

fn read(file: &str) -> Result<String, Box<dyn Error>> {
    fs::read_to_string(root().join(file)).map_err(|cause| format!("{file}: {cause}").into())
}

/// Fails with one line a fault.
fn none(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn every_source_file_says_what_it_is() -> Outcome {
    let mut faults = Vec::new();
    for file in files()?.iter().filter(|file| ends(file, &[".rs"])) {
        if !read(file)?.starts_with("//!") {
            faults.push(format!("{file}: begins without //!"));
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn no_file_is_longer_than_can_be_read() -> Outcome {
    let mut faults = Vec::new();
    let allowed: BTreeMap<&str, &str> = LONG_FILES.iter().copied().collect();
    for file in files()?.iter().filter(|file| ends(file, &[".rs", ".css", ".js"])) {
        let lines = read(file)?.lines().count();
        match (lines > 400, allowed.contains_key(file.as_str())) {
            (true, false) => {
                faults.push(format!("{file}: {lines} lines, over 400; split it or list it with its reason"))
            }
            (false, true) => faults.push(format!("{file}: is short again; take it off the list")),
            _ => {}
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn the_core_depends_on_little() -> Outcome {
    let manifest = read("app/core/Cargo.toml")?;
    let section = manifest.split("[dependencies]").nth(1).and_then(|rest| rest.split("\n[").next());
    let mut faults = Vec::new();
    for line in section.unwrap_or_default().lines().filter(|line| !line.trim().is_empty()) {
        let name = line.split(['.', '=', ' ']).next().unwrap_or_default();
        if !name.starts_with('#') && !CORE_MAY_USE.iter().any(|(allowed, _)| *allowed == name) {
            faults.push(format!("app/core/Cargo.toml: {name} is not on the list of what the core may use"));
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn dependencies_point_one_way() -> Outcome {
    let mut faults = Vec::new();
    for (folder, forbidden) in [
        ("app/core/", &["tripoise_ui", "leptos", "web_sys", "tokio", "axum", "sled"][..]),
        ("app/ui/", &["sled", "tokio", "axum"]),
    ] {
        for file in files()?.iter().filter(|file| file.starts_with(folder) && ends(file, &[".rs"])) {
            let text = read(file)?;
            for word in forbidden {
                if text.contains(&format!("use {word}")) || text.contains(&format!("{word}::")) {
                    faults.push(format!("{file}: names {word}"));
                }
            }
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn only_the_store_names_a_database_and_only_the_browser_folder_the_window() -> Outcome {
    let mut faults = Vec::new();
    for file in files()?.iter().filter(|file| ends(file, &[".rs"]) && !file.starts_with("tests/")) {
        let text = read(file)?;
        if text.contains("sled::") && !file.starts_with("server/src/store/") {
            faults.push(format!("{file}: names sled outside the store"));
        }
        if (text.contains("web_sys::") || text.contains("js_sys::"))
            && !file.starts_with("app/ui/src/browser/")
        {
            faults.push(format!("{file}: touches the window outside browser/"));
        }
        let cfg_allowed = ["app/ui/src/lib.rs", "app/ui/src/browser/"].iter().any(|ok| file.starts_with(ok));
        if text.contains("#[cfg(feature")
            && !cfg_allowed
            && file.starts_with("app/")
            && !file.starts_with("app/xtask")
        {
            faults.push(format!("{file}: depends on a feature"));
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn no_test_is_switched_off_and_nothing_is_left_to_do() -> Outcome {
    let words = ["#[ignore", "#[should_panic", "todo!(", "unimplemented!(", "#[allow("];
    let mut faults = Vec::new();
    for file in files()?.iter().filter(|file| ends(file, &[".rs"]) && *file != "tests/tidy.rs") {
        let text = read(file)?;
        for word in words.iter().filter(|word| text.contains(*word)) {
            faults.push(format!("{file}: {word}"));
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn golden_files_are_never_edited() -> Outcome {
    let mut now = String::new();
    let mut golden: Vec<String> =
        files()?.into_iter().filter(|file| file.starts_with("app/core/golden/")).collect();
    golden.sort();
    for file in golden {
        let hash = Sha256::digest(fs::read(root().join(&file))?);
        for byte in hash {
            write!(now, "{byte:02x}")?;
        }
        writeln!(now, "  {file}")?;
    }
    assert_eq!(now, GOLDEN, "a golden file was edited or is not in tests/golden.sha256");
    Ok(())
}

#[test]
fn every_member_is_under_the_project_licence() -> Outcome {
    assert!(read("LICENSE")?.starts_with("MIT License"));
    let mut faults = Vec::new();
    for file in files()?.iter().filter(|file| ends(file, &["Cargo.toml"]) && *file != "Cargo.toml") {
        if !read(file)?.contains("license.workspace = true") && !Path::new(file).starts_with("tests/fuzz") {
            faults.push(format!("{file}: has no licence line"));
        }
    }
    none(&faults);
    Ok(())
}

#[test]
fn the_tool_never_says_safe() -> Outcome {
    let mut faults = Vec::new();
    let shown = ["app/ui/src/", "app/core/src/view/", "app/core/src/judge/", "app/core/src/form/"];
    for file in files()?.iter().filter(|file| shown.iter().any(|folder| file.starts_with(folder))) {
        for (number, line) in read(file)?.lines().enumerate() {
            let code = line.split("//").next().unwrap_or_default();
            let said = code.split('"').skip(1).step_by(2);
            if said
                .flat_map(|text| text.split(|c: char| !c.is_alphabetic()))
                .any(|word| word.eq_ignore_ascii_case("safe"))
            {
                faults.push(format!("{file}:{}: {}", number + 1, line.trim()));
            }
        }
    }
    none(&faults);
    Ok(())
}
