//! Going on without damaged lines, when there is no backup to restore: only on request, and nothing is
//! thrown away. The segment as it was stays beside the journal.
//!
//! What this does not do: guess what a damaged line said.
use super::journal::sync_folder;
use super::segment::{self, Found, JOURNAL_FOLDER, Place};
use super::{StoreError, open};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// Takes damaged and repeated lines out of the journal of the store in `folder`.
///
/// # Returns  What was done, one line each.
/// # Errors   The store is in use, or a file cannot be read or written.
pub fn set_aside_damaged(folder: &Path) -> Result<Vec<String>, StoreError> {
    let _lock = open::prepare(folder)?;
    let journal = folder.join(JOURNAL_FOLDER);
    let (mut said, mut out) = (Vec::new(), BTreeMap::<u64, BTreeSet<u64>>::new());
    let mut missing = Vec::new();
    let mut seen = HashMap::new();
    segment::scan(&journal, &mut |found| {
        let fault: Option<(Place, String)> = match &found {
            Found::Line { record, place, .. } => open::stop_at_repeat(&mut seen, record.id, *place)
                .err()
                .map(|_| (*place, format!("it repeats event {}", record.id))),
            Found::Damaged { place, cause, .. } => Some((*place, cause.to_string())),
            Found::Missing { segment } => {
                missing.push(*segment);
                None
            }
        };
        if let Some((place, cause)) = fault {
            out.entry(place.segment).or_default().insert(place.line);
            said.push(format!("{}, line {}: {cause}", segment::name(place.segment), place.line));
        }
        Ok(())
    })?;
    let write = |segment: u64| StoreError::write(segment::name(segment));
    for (segment, lines) in &out {
        let kept = take_out(&journal, *segment, lines).map_err(write(*segment))?;
        said.push(format!("{} as it was is kept as {kept}", segment::name(*segment)));
    }
    for segment in missing {
        File::create_new(segment::path(&journal, segment)).map_err(write(segment))?;
        said.push(format!("{} was missing and is empty now", segment::name(segment)));
    }
    sync_folder(&journal).map_err(StoreError::write(JOURNAL_FOLDER))?;
    Ok(said)
}

/// Writes the segment again without `lines`; at every moment the old or the new one is there.
fn take_out(journal: &Path, segment: u64, lines: &BTreeSet<u64>) -> io::Result<String> {
    let path = segment::path(journal, segment);
    let before = fs::read(&path)?;
    let mut after = Vec::with_capacity(before.len());
    for (line, number) in before.split_inclusive(|&byte| byte == b'\n').zip(1_u64..) {
        if !lines.contains(&number) {
            after.extend_from_slice(line);
        }
    }
    let kept = free_name(journal, segment);
    fs::hard_link(&path, journal.join(&kept)).or_else(|_| fs::copy(&path, journal.join(&kept)).map(drop))?;
    let new = journal.join("mended.new");
    let mut file = File::create(&new)?;
    file.write_all(&after)?;
    file.sync_all()?;
    fs::rename(&new, &path)?;
    Ok(kept)
}

fn free_name(journal: &Path, segment: u64) -> String {
    let name = |attempt: u32| format!("damaged-{segment:06}-{attempt}.txt");
    (1..u32::MAX).map(name).find(|name| !journal.join(name).exists()).unwrap_or_else(|| name(u32::MAX))
}
