//! The files of a bundle: named by their hash, compressed once, listed in a manifest.
use crate::project::{short_hash, write_if_new};
use anyhow::{Context as _, Result};
use serde::Serialize;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Brotli's highest quality and its largest standard window (RFC 7932): the bundle is built once.
const QUALITY: u32 = 11;
const WINDOW_BITS: u32 = 22;
/// House choice: below this many bytes, brotli gains less than its header line costs.
const WORTH_COMPRESSING: usize = 200;

/// One file as the server's build script reads it.
#[derive(Debug, Clone, Serialize, PartialEq, Eq)]
pub struct Listed {
    /// Where it is served.
    pub path: String,
    /// Its name in the bundle's folder.
    pub file: String,
    /// The compressed form's name, where that is smaller.
    pub brotli: Option<String>,
    /// Its media type.
    #[serde(rename = "type")]
    pub content_type: &'static str,
    /// Whether its path carries its hash.
    pub immutable: bool,
    /// The hash of its content.
    pub hash: String,
    /// Bytes as they are, for reports.
    pub n_bytes: usize,
    /// Bytes over the wire to a browser that takes brotli, for reports.
    pub n_bytes_wire: usize,
}

/// Everything in a bundle.
#[derive(Debug, Default, Serialize)]
pub struct Manifest {
    /// Changes when any file does.
    pub build: String,
    /// Where the module is served.
    pub js: String,
    /// Where the program is served.
    pub wasm: String,
    /// Where the style sheet is served.
    pub css: String,
    /// Where the decoder of QR symbols is served.
    pub decoder: String,
    /// All files.
    pub files: Vec<Listed>,
}

/// How a file is served.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Served {
    /// Under `/assets/`, with its hash in its name.
    ByHash,
    /// Under its own name.
    ByName,
}

/// Puts one file into the bundle's folder and compresses it, unless both are there already.
///
/// # Errors   When its kind is unknown or the folder cannot be written.
pub fn put(folder: &Path, name: &str, content: &[u8], served: Served) -> Result<Listed> {
    let hash = short_hash(&[content]);
    let content_type = content_type(name)?;
    let file = hashed_name(name, &hash);
    write_if_new(&folder.join(&file), content)?;
    let packed = pack(folder, &file, content, content_type)?;
    Ok(Listed {
        path: match served {
            Served::ByHash => format!("/assets/{file}"),
            Served::ByName => format!("/{name}"),
        },
        n_bytes_wire: packed.as_ref().map_or(content.len(), |(_, n_bytes)| *n_bytes),
        brotli: packed.map(|(name, _)| name),
        file,
        content_type,
        immutable: served == Served::ByHash,
        hash,
        n_bytes: content.len(),
    })
}

/// The compressed form's name and size, where it is smaller.
fn pack(folder: &Path, file: &str, content: &[u8], content_type: &str) -> Result<Option<(String, usize)>> {
    let compressed_already = content_type.starts_with("image/") && content_type != "image/svg+xml";
    if compressed_already || content.len() < WORTH_COMPRESSING {
        return Ok(None);
    }
    let name = format!("{file}.br");
    let path = folder.join(&name);
    // The name carries the content's hash: what is there is right, and is moved there only when whole.
    if !path.exists() {
        let half = folder.join(format!("{name}.half"));
        fs::write(&half, brotli(content)?)?;
        fs::rename(half, &path)?;
    }
    let n_bytes = usize::try_from(path.metadata()?.len())?;
    Ok((n_bytes < content.len()).then_some((name, n_bytes)))
}

fn brotli(content: &[u8]) -> Result<Vec<u8>> {
    let mut packed = Vec::new();
    let mut writer = brotli::CompressorWriter::new(&mut packed, 1 << 16, QUALITY, WINDOW_BITS);
    std::io::Write::write_all(&mut writer, content)?;
    drop(writer);
    Ok(packed)
}

/// Writes the manifest when it says something new, then deletes files that it does not name.
///
/// # Errors   When the folder cannot be written.
pub fn finish(folder: &Path, mut manifest: Manifest) -> Result<Manifest> {
    manifest.files.sort_by(|a, b| a.path.cmp(&b.path));
    let parts: Vec<&[u8]> =
        manifest.files.iter().flat_map(|file| [file.path.as_bytes(), file.hash.as_bytes()]).collect();
    manifest.build = short_hash(&parts);
    write_if_new(&folder.join("manifest.json"), &serde_json::to_vec_pretty(&manifest)?)?;
    let mut named: BTreeSet<&str> = BTreeSet::from(["manifest.json"]);
    for file in &manifest.files {
        named.insert(&file.file);
        named.extend(file.brotli.as_deref());
    }
    for entry in folder.read_dir()? {
        let entry = entry?;
        if !entry.file_name().to_str().is_some_and(|name| named.contains(name)) {
            fs::remove_file(entry.path())
                .with_context(|| format!("{} is in the way", entry.path().display()))?;
        }
    }
    Ok(manifest)
}

/// `icons/kiln.svg` and its hash make `icons-kiln-0123456789abcdef.svg`.
fn hashed_name(name: &str, hash: &str) -> String {
    let flat = name.replace('/', "-");
    match flat.rsplit_once('.') {
        Some((stem, extension)) => format!("{stem}-{hash}.{extension}"),
        None => format!("{flat}-{hash}"),
    }
}

fn content_type(name: &str) -> Result<&'static str> {
    Ok(match name.rsplit_once('.').map_or("", |(_, extension)| extension) {
        "js" => "text/javascript; charset=utf-8",
        "wasm" => "application/wasm",
        "css" => "text/css; charset=utf-8",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "txt" => "text/plain; charset=utf-8",
        "woff2" => "font/woff2",
        _ => anyhow::bail!("{name} is of a kind without a media type; add it to app/xtask/src/files.rs"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_carries_the_hash_before_its_ending() {
        assert_eq!(hashed_name("tripoise.js", "ab"), "tripoise-ab.js");
        assert_eq!(hashed_name("icons/mark.svg", "ab"), "icons-mark-ab.svg");
        assert_eq!(hashed_name("robots", "ab"), "robots-ab");
    }

    #[test]
    fn what_is_compressed_comes_back_the_same() -> Result<()> {
        let content = b"one shelf, three posts; ".repeat(500);
        let packed = brotli(&content)?;
        let mut back = Vec::new();
        std::io::Read::read_to_end(&mut brotli::Decompressor::new(&packed[..], 4096), &mut back)?;
        assert_eq!(back, content);
        assert!(packed.len() < 200, "{}", packed.len());
        Ok(())
    }

    #[test]
    fn a_bundle_is_written_once_and_forgets_old_files() -> Result<()> {
        let folder = tempfile::tempdir()?;
        let make = |style: &str| -> Result<Manifest> {
            let css = put(folder.path(), "style.css", style.as_bytes(), Served::ByHash)?;
            let worker = put(folder.path(), "sw.js", b"// short", Served::ByName)?;
            finish(folder.path(), Manifest { files: vec![worker, css], ..Manifest::default() })
        };
        let first = make(&"a { color: red }".repeat(40))?;
        let written = folder.path().join("manifest.json").metadata()?.modified()?;
        let again = make(&"a { color: red }".repeat(40))?;
        assert_eq!(first.build, again.build);
        assert_eq!(folder.path().join("manifest.json").metadata()?.modified()?, written);
        let second = make("a { color: blue }")?;
        assert_ne!(first.build, second.build);
        let names: BTreeSet<_> = folder.path().read_dir()?.flatten().map(|entry| entry.file_name()).collect();
        assert_eq!(names.len(), 3, "{names:?}");
        assert!(second.files.iter().all(|file| folder.path().join(&file.file).exists()));
        assert_eq!(second.files[1].path, "/sw.js");
        assert!(!second.files[1].immutable && second.files[0].immutable);
        Ok(())
    }
}
