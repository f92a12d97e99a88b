//! Writes the table of the browser bundle that `src/assets.rs` includes.
//!
//! `cargo xtask` sets `TRIPOISE_BUNDLE_DIR` to a folder with a `manifest.json` and the files it lists.
//! Without that variable the table is empty, so that checks, lints and tests need no bundle. The
//! manifest's names carry hashes: while it stays the same, nothing is built again.
use serde_json::Value;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-env-changed=TRIPOISE_BUNDLE_DIR");
    let out = PathBuf::from(env::var("OUT_DIR")?).join("bundle.rs");
    let table = match env::var_os("TRIPOISE_BUNDLE_DIR") {
        Some(folder) => table_of(Path::new(&folder))?,
        None => {
            if env::var("PROFILE")? == "release" {
                println!(
                    "cargo::warning=built without pages' script and style; `cargo xtask bundle` embeds them"
                );
            }
            "static ASSETS: &[Asset] = &[];\nconst NAMES: Option<AssetNames> = None;\nconst BUILD_ID: &str = \"\";\n".into()
        }
    };
    fs::write(out, table)?;
    Ok(())
}

/// The Rust source of the table for the bundle in `folder`.
fn table_of(folder: &Path) -> Result<String, Box<dyn std::error::Error>> {
    let manifest_path = folder.join("manifest.json");
    println!("cargo::rerun-if-changed={}", manifest_path.display());
    let text = fs::read_to_string(&manifest_path).map_err(|cause| {
        io::Error::new(
            cause.kind(),
            format!("{}: {cause}; run `cargo xtask bundle`", manifest_path.display()),
        )
    })?;
    let manifest: Value = serde_json::from_str(&text)?;
    let field = |value: &Value, name: &str| -> Result<String, String> {
        value[name]
            .as_str()
            .map(str::to_owned)
            .ok_or_else(|| format!("the bundle's manifest has no {name:?}; run `cargo xtask bundle`"))
    };
    let mut files = manifest["files"].as_array().cloned().unwrap_or_default();
    files.sort_by_key(|file| file["path"].as_str().unwrap_or_default().to_owned());
    let mut table = String::from("static ASSETS: &[Asset] = &[\n");
    for file in &files {
        let content = folder.join(field(file, "file")?);
        let brotli = match file["brotli"].as_str() {
            Some(name) => format!("Some(include_bytes!({:?}))", folder.join(name)),
            None => "None".into(),
        };
        writeln!(
            table,
            "Asset {{ path: {:?}, content_type: {:?}, immutable: {}, hash: {:?}, bytes: include_bytes!({content:?}), brotli: {brotli} }},",
            field(file, "path")?,
            field(file, "type")?,
            file["immutable"].as_bool().unwrap_or(false),
            field(file, "hash")?,
        )?;
    }
    writeln!(
        table,
        "];\nconst NAMES: Option<AssetNames> = Some(AssetNames {{ js: {:?}, wasm: {:?}, css: {:?}, decoder: {:?} }});\nconst BUILD_ID: &str = {:?};",
        field(&manifest, "js")?,
        field(&manifest, "wasm")?,
        field(&manifest, "css")?,
        field(&manifest, "decoder")?,
        field(&manifest, "build")?,
    )?;
    Ok(table)
}
