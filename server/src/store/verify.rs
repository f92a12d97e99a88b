//! Reading the whole store again and listing everything that is wrong with it.
//!
//! What this does not do: change anything. The index of a store that is not open is looked at in a copy,
//! since its engine writes as soon as it opens.
use super::index::{INDEX_FOLDER, Index};
use super::lock::Lock;
use super::manifest::Manifest;
use super::segment::{self, Found, JOURNAL_FOLDER};
use super::{Fault, StoreError, conflicts, open};
use std::collections::HashMap;
use std::fs;
use std::io;
use std::path::Path;
use tripoise_core::record::Record;

/// What [`verify`] found.
#[derive(Clone, Debug, Default)]
pub struct Verified {
    /// What is wrong; empty when nothing is.
    pub faults: Vec<Fault>,
    /// Every event that reads, in journal order.
    pub records: Vec<Record>,
    /// Lines for the report that are no faults.
    pub remarks: Vec<String>,
}

/// Checks the store in `folder`, which no other process has open.
///
/// # Errors   There is no store, it is in use, or it cannot be read.
pub fn verify(folder: &Path) -> Result<Verified, StoreError> {
    if Manifest::read(folder)?.is_none() && !folder.join(JOURNAL_FOLDER).is_dir() {
        return Err(StoreError::NotAStore { folder: folder.to_owned() });
    }
    let _lock = Lock::take(folder)?;
    let mut verified = Verified::default();
    let scanned = scan(folder, &mut |record| verified.records.push(record))?;
    verified.faults = scanned.faults;
    verified.remarks = scanned.remarks;
    match copy_of_index(folder) {
        Ok(Some(copy)) => match Index::open(copy.path()) {
            Ok(index) => check_index(folder, &index, scanned.n_events, &mut verified.faults)?,
            Err(cause) => verified.faults.push(index_fault(&cause.to_string())),
        },
        Ok(None) => verified.remarks.push("there is no index; the next start builds it".to_owned()),
        Err(cause) => return Err(StoreError::read("the index")(cause)),
    }
    verified.faults.extend(conflicts::check(folder)?);
    Ok(verified)
}

/// Checks an open store against its open index.
///
/// # Errors   It cannot be read.
pub fn check(folder: &Path, index: &Index) -> Result<Vec<Fault>, StoreError> {
    let scanned = scan(folder, &mut drop)?;
    let mut faults = scanned.faults;
    check_index(folder, index, scanned.n_events, &mut faults)?;
    faults.extend(conflicts::check(folder)?);
    Ok(faults)
}

struct Scanned {
    faults: Vec<Fault>,
    remarks: Vec<String>,
    n_events: u64,
}

fn scan(folder: &Path, keep: &mut dyn FnMut(Record)) -> Result<Scanned, StoreError> {
    let mut faults = Vec::new();
    let mut seen = HashMap::new();
    let tail = segment::scan(&folder.join(JOURNAL_FOLDER), &mut |found| {
        if let Err(cause) = segment::stop_at_damage(&found) {
            faults.push(journal_fault(&cause));
        }
        if let Found::Line { record, place, .. } = found {
            if let Err(cause) = open::stop_at_repeat(&mut seen, record.id, place) {
                faults.push(journal_fault(&cause));
            }
            keep(record);
        }
        Ok(())
    })?;
    let mut remarks = Vec::new();
    if !tail.torn.is_empty() {
        let (segment, n_bytes) = (segment::name(tail.segment), tail.torn.len());
        remarks.push(format!(
            "the last write to {segment} was cut off ({n_bytes} bytes); it was not acknowledged and the next start cuts it"
        ));
    }
    Ok(Scanned { faults, remarks, n_events: tail.n_events })
}

fn check_index(
    folder: &Path,
    index: &Index,
    n_events: u64,
    faults: &mut Vec<Fault>,
) -> Result<(), StoreError> {
    let applied = match index.applied_upto() {
        Ok(applied) => applied,
        Err(cause) => {
            faults.push(index_fault(&cause.to_string()));
            return Ok(());
        }
    };
    if applied > n_events {
        let what = format!(
            "it holds {applied} events and the journal only {n_events}; restore the journal from a backup, or start Tripoise, which writes the missing ones again"
        );
        faults.push(Fault { part: "journal".to_owned(), what });
    }
    let mut first_disagreement = None;
    segment::scan(&folder.join(JOURNAL_FOLDER), &mut |found| {
        if let Found::Line { seq, json, record, .. } = found
            && seq <= applied
            && first_disagreement.is_none()
        {
            first_disagreement = open::agrees(index, seq, record.id, json).err();
        }
        Ok(())
    })?;
    faults.extend(first_disagreement.map(|cause| index_fault(&cause.to_string())));
    Ok(())
}

fn copy_of_index(folder: &Path) -> io::Result<Option<tempfile::TempDir>> {
    let from = folder.join(INDEX_FOLDER);
    if !from.is_dir() {
        return Ok(None);
    }
    let copy = tempfile::tempdir()?;
    copy_folder(&from, copy.path())?;
    Ok(Some(copy))
}

fn copy_folder(from: &Path, to: &Path) -> io::Result<()> {
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            fs::create_dir(&target)?;
            copy_folder(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), &target)?;
        }
    }
    Ok(())
}

fn journal_fault(cause: &StoreError) -> Fault {
    Fault { part: "journal".to_owned(), what: cause.to_string() }
}

fn index_fault(cause: &str) -> Fault {
    let what = format!("{cause}; nothing is lost: the next start builds it again from the journal");
    Fault { part: "index".to_owned(), what }
}
