//! What the fuzz targets once found, asked again; and that no calculation is without a target.
//!
//! tests/fuzz/kept holds a folder for each kind; a file is one input, and its name says what it did.
//!
//! What this does not do: fuzz. DEVELOPERS.md says how that is done.
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use tripoise_core::calc::KINDS;
use tripoise_questions::verdict::judge;

fn fuzz() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz")
}

#[test]
fn nothing_that_was_found_comes_back() -> Result<(), Box<dyn Error>> {
    let mut n_inputs = 0;
    for folder in fs::read_dir(fuzz().join("kept"))? {
        let folder = folder?;
        let kind = folder.file_name().into_string().map_err(|name| format!("{name:?} is no kind"))?;
        assert!(KINDS.iter().any(|known| known.name == kind), "{kind} is no calculation");
        for file in fs::read_dir(folder.path())? {
            let path = file?.path();
            if let Err(finding) = judge(&kind, &fs::read_to_string(&path)?) {
                panic!("{}: {finding}", path.display());
            }
            n_inputs += 1;
        }
    }
    assert!(n_inputs > 0, "tests/fuzz/kept is empty");
    Ok(())
}

#[test]
fn every_calculation_has_a_fuzz_target() -> Result<(), Box<dyn Error>> {
    let manifest = fs::read_to_string(fuzz().join("Cargo.toml"))?;
    for kind in KINDS {
        let path = manifest
            .split_once(&format!("name = \"{}\"\npath = \"", kind.name))
            .and_then(|(_, rest)| rest.split_once('"'))
            .map(|(path, _)| path);
        let path = path.ok_or_else(|| format!("tests/fuzz/Cargo.toml has no target for {}", kind.name))?;
        let target = fs::read_to_string(fuzz().join(path))?;
        assert!(target.contains(&format!("ask(\"{}\",", kind.name)), "{path} does not ask {}", kind.name);
    }
    Ok(())
}
