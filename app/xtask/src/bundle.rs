//! The bundle: program, style and public files, and the server's binary with all of it inside.
//!
//! Start reading at [`finished_binary`].
use crate::files::{Listed, Manifest, Served, finish, put};
use crate::project::{Project, run, say, short_hash};
use crate::{decoder, times, wasm};
use anyhow::{Context as _, Result};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Stands in `public/sw.js` for the build's id.
const BUILD_MARK: &str = "\"BUILD_ID\"";
/// Stands in `public/sw.js` for the list of files that a device keeps.
const LIST_MARK: &str = "[\"ASSET_LIST\"]";

/// Builds everything that is out of date and returns the binary's path.
///
/// # Errors   When a compiler or a file is missing, or does not build.
pub fn finished_binary(project: &Project) -> Result<PathBuf> {
    // Two at once would each delete the files that the other's manifest names.
    let _turn = project.take_turn()?;
    let cold = !project.binary().exists() && !project.target.join("wasm").exists();
    let program = wasm::program(project, &wasm::PAGES)?;
    let decoder = decoder::module(project)?;
    let compressing = std::time::Instant::now();
    let manifest = assemble(project, &program, &decoder)?;
    let compressing = compressing.elapsed();
    say(format_args!("the bundle holds {} files, build {}", manifest.files.len(), manifest.build));
    let server = server(project)?;
    let steps = [
        ("browser program", program.compiling),
        ("binding and wasm-opt", program.finishing),
        ("brotli", compressing),
        ("server", server),
    ];
    times::note(project, cold, &steps)?;
    Ok(project.binary())
}

/// Builds the server around the bundle.
fn server(project: &Project) -> Result<Duration> {
    say("building the server");
    let mut cargo = project.cargo();
    cargo.args(["build", "--release", "--package", "tripoise"]);
    run(cargo.env("TRIPOISE_BUNDLE_DIR", project.bundle_dir()))
}

/// Writes the bundle's files and its manifest.
fn assemble(project: &Project, program: &wasm::Program, decoder: &[u8]) -> Result<Manifest> {
    let folder = project.bundle_dir();
    fs::create_dir_all(&folder)?;
    let js = put(&folder, "tripoise.js", &program.js, Served::ByHash)?;
    let wasm = put(&folder, "tripoise.wasm", &program.wasm, Served::ByHash)?;
    let css = put(&folder, "tripoise.css", style(&project.root.join("style"))?.as_bytes(), Served::ByHash)?;
    let decoder = put(&folder, "decoder.wasm", decoder, Served::ByHash)?;
    let mut manifest = Manifest {
        js: js.path.clone(),
        wasm: wasm.path.clone(),
        css: css.path.clone(),
        decoder: decoder.path.clone(),
        ..Manifest::default()
    };
    manifest.files = vec![js, wasm, css, decoder];
    let (workers, others): (Vec<_>, Vec<_>) =
        public_files(&project.root.join("public"))?.into_iter().partition(|(name, _)| name == "sw.js");
    for (name, content) in others {
        manifest.files.push(put(&folder, &name, &content, Served::ByName)?);
    }
    for (name, content) in workers {
        let filled = fill_worker(&String::from_utf8(content).context("sw.js is not text")?, &manifest.files)?;
        manifest.files.push(put(&folder, &name, filled.as_bytes(), Served::ByName)?);
    }
    finish(&folder, manifest)
}

/// The style sheet: `tokens.css`, then the others in the order of their names.
fn style(folder: &Path) -> Result<String> {
    let mut files: Vec<PathBuf> = match folder.read_dir() {
        Ok(entries) => entries.flatten().map(|entry| entry.path()).collect(),
        Err(_) => vec![],
    };
    files.retain(|file| file.extension().is_some_and(|extension| extension == "css"));
    files.sort_by_key(|file| (!file.ends_with("tokens.css"), file.clone()));
    let parts: std::io::Result<Vec<String>> = files.iter().map(fs::read_to_string).collect();
    Ok(parts.context("a style sheet could not be read")?.join("\n"))
}

/// Every file under `public/` with its path from there, in the order of their names.
fn public_files(folder: &Path) -> Result<Vec<(String, Vec<u8>)>> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        let Ok(entries) = next.read_dir() else { continue };
        for entry in entries {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder)?.to_str().context("a public file's name is not text")?;
                found.push((name.to_owned(), fs::read(&path)?));
            }
        }
    }
    found.sort();
    Ok(found)
}

/// Writes the list of hashed files and an id for it into the service worker.
fn fill_worker(text: &str, files: &[Listed]) -> Result<String> {
    let kept: Vec<&str> = files.iter().filter(|file| file.immutable).map(|file| file.path.as_str()).collect();
    let list = serde_json::to_string(&kept)?;
    let id = short_hash(&[text.as_bytes(), list.as_bytes()]);
    Ok(text.replace(BUILD_MARK, &format!("\"{id}\"")).replace(LIST_MARK, &list))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_come_first_and_the_rest_by_name() -> Result<()> {
        let folder = tempfile::tempdir()?;
        for name in ["shelf.css", "tokens.css", "a.css", "notes.txt"] {
            fs::write(folder.path().join(name), name)?;
        }
        assert_eq!(style(folder.path())?, "tokens.css\na.css\nshelf.css");
        assert_eq!(style(&folder.path().join("missing"))?, "");
        Ok(())
    }

    #[test]
    fn public_files_keep_their_folders() -> Result<()> {
        let folder = tempfile::tempdir()?;
        fs::create_dir(folder.path().join("icons"))?;
        fs::write(folder.path().join("icons/mark.svg"), "<svg/>")?;
        fs::write(folder.path().join("sw.js"), "")?;
        let names: Vec<String> = public_files(folder.path())?.into_iter().map(|(name, _)| name).collect();
        assert_eq!(names, ["icons/mark.svg", "sw.js"]);
        Ok(())
    }

    #[test]
    fn the_worker_names_this_build() -> Result<()> {
        let folder = tempfile::tempdir()?;
        let files = [
            put(folder.path(), "tripoise.js", b"1", Served::ByHash)?,
            put(folder.path(), "x.txt", b"2", Served::ByName)?,
        ];
        let source = "const build = \"BUILD_ID\"; const assets = [\"ASSET_LIST\"];";
        let filled = fill_worker(source, &files)?;
        assert!(filled.contains(&format!("const assets = [\"{}\"];", files[0].path)), "{filled}");
        assert!(!filled.contains("BUILD_ID"), "{filled}");
        let others = [put(folder.path(), "tripoise.js", b"3", Served::ByHash)?];
        assert_ne!(fill_worker(source, &others)?, filled);
        Ok(())
    }
}
