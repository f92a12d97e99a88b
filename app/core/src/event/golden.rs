//! Every kind and version ever stored still reads, and is written as it was.
//!
//! The files in `app/core/golden/` are added to, never edited; `tests/tidy.rs` holds their hashes.
use super::samples;
use super::{Event, KINDS, SCHEMA};
use crate::record::Record;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("golden")
}

fn name(kind: &str) -> String {
    format!("{kind}.v{SCHEMA}.json")
}

/// The first sample of each kind as it is stored, one pretty JSON text a file.
fn written() -> BTreeMap<String, String> {
    let mut files = BTreeMap::new();
    for event in samples::events() {
        let record = event.write().and_then(|record| serde_json::to_string_pretty(&record));
        files.entry(name(event.body.kind())).or_insert_with(|| record.unwrap_or_default() + "\n");
    }
    files
}

#[test]
fn every_kind_has_a_sample() {
    let samples = written();
    let missing: Vec<_> = KINDS.iter().filter(|kind| !samples.contains_key(&name(kind))).collect();
    assert!(missing.is_empty(), "no sample for {missing:?}");
}

#[test]
fn golden_files_read_and_write_as_they_were() -> Result<(), Box<dyn std::error::Error>> {
    for (file, now) in written() {
        let path = folder().join(&file);
        if !path.exists() {
            fs::write(&path, &now)?;
            return Err(format!("{file} was missing and is written now; look at it and add it").into());
        }
        let kept = fs::read_to_string(&path)?;
        let record: Record = serde_json::from_str(&kept)?;
        let event = Event::read(&record)?;
        assert_eq!(event.write()?, record, "{file}");
        assert_eq!(now, kept, "{file}: the sample is no longer written as the golden file is");
    }
    Ok(())
}
