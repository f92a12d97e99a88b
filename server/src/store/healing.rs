//! Tests of starting: what heals by itself, what is told, and what stops the start.
use super::index::{INDEX_FOLDER, Index};
use super::manifest::{FORMAT, MANIFEST_FILE};
use super::open::{self, Note, Options};
use super::segment::JOURNAL_FOLDER;
use super::suite::record;
use super::{EventStore, JournalStore, Numbered, Opened, StoreError, line, read_all, repair, verify};
use std::error::Error;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use tripoise_core::record::Record;

type Done = Result<(), Box<dyn Error>>;

const FIRST: &str = "events-000001.txt";

/// A closed store that holds the events 1 to `n`.
fn made(n: u64) -> Result<tempfile::TempDir, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let store = JournalStore::open(folder.path())?.store;
    store.append(&(1..=n).map(record).collect::<Vec<_>>())?;
    store.close()?;
    Ok(folder)
}

fn segment(folder: &Path, name: &str) -> PathBuf {
    folder.join(JOURNAL_FOLDER).join(name)
}

/// Opens and expects exactly the events 1 to `n`, and that a later start finds nothing more to do.
fn opens_with(folder: &Path, n: u64) -> Result<Vec<Note>, Box<dyn Error>> {
    let Opened { store, notes } = JournalStore::open(folder)?;
    assert_eq!(read_all(&store)?, (1..=n).map(record).collect::<Vec<_>>());
    assert_eq!(store.check()?, []);
    store.close()?;
    drop(store);
    let again = JournalStore::open(folder)?;
    assert_eq!(again.notes, []);
    again.store.close()?;
    drop(again);
    assert_eq!(verify::verify(folder)?.faults, []);
    Ok(notes)
}

/// Expects that the start is refused with these words, and that nothing was changed.
fn refused(folder: &Path, words: &[&str]) -> Done {
    let before = journal_bytes(folder)?;
    let Err(cause) = JournalStore::open(folder).map(|_| ()) else { panic!("it opened: {words:?}") };
    let text = cause.to_string();
    words.iter().for_each(|word| assert!(text.contains(word), "{text:?} lacks {word:?}"));
    assert_eq!(journal_bytes(folder)?, before);
    Ok(())
}

type Files = Vec<(PathBuf, Vec<u8>)>;

fn journal_bytes(folder: &Path) -> Result<Files, Box<dyn Error>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder.join(JOURNAL_FOLDER))? {
        let path = entry?.path();
        files.push((path.clone(), fs::read(path)?));
    }
    files.sort();
    Ok(files)
}

fn is_rebuilt(notes: &[Note], n: u64) {
    let rebuilt = |note: &Note| matches!(note, Note::IndexRebuilt { n_events, .. } if *n_events == n);
    let renewed = |note: &Note| matches!(note, Note::NewEpoch { .. });
    assert!(notes.iter().any(rebuilt) && notes.iter().any(renewed), "{notes:?}");
}

#[test]
fn a_torn_last_line_is_cut_kept_aside_and_told() -> Done {
    let line = line::encode(&record(4))?;
    for n_bytes in [1, 8, 9, 40, line.len() - 2] {
        let folder = made(3)?;
        let path = segment(folder.path(), FIRST);
        let whole = fs::read(&path)?;
        OpenOptions::new().append(true).open(&path)?.write_all(&line[..n_bytes])?;
        let notes = opens_with(folder.path(), 3)?;
        assert_eq!(notes, [Note::TornLineCut { segment: FIRST.to_owned(), n_bytes }]);
        assert_eq!(fs::read(&path)?, whole);
        let aside = segment(folder.path(), &format!("torn-000001-{}.txt", whole.len()));
        assert_eq!(fs::read(aside)?, &line[..n_bytes]);
    }
    Ok(())
}

#[test]
fn a_last_line_that_lacks_only_its_end_is_whole() -> Done {
    let folder = made(3)?;
    let line = line::encode(&record(4))?;
    let path = segment(folder.path(), FIRST);
    OpenOptions::new().append(true).open(path)?.write_all(&line[..line.len() - 1])?;
    assert_eq!(opens_with(folder.path(), 4)?, []);
    Ok(())
}

#[test]
fn zeros_behind_the_last_line_are_a_torn_write() -> Done {
    let folder = made(2)?;
    OpenOptions::new().append(true).open(segment(folder.path(), FIRST))?.write_all(&[0; 4096])?;
    assert_eq!(opens_with(folder.path(), 2)?.len(), 1);
    Ok(())
}

#[test]
fn damage_stops_the_start_and_names_segment_line_and_remedy() -> Done {
    // The last line too: it ends with a line end, so it had been written whole.
    for at in 1..=3 {
        let folder = made(3)?;
        let path = segment(folder.path(), FIRST);
        let bent = fs::read_to_string(&path)?.replace(&format!("number {at}"), "number X");
        fs::write(&path, bent)?;
        let line = format!("{FIRST}, line {at}");
        refused(folder.path(), &[&line, "checksum", "restore", "rebuild --set-aside-damaged"])?;
        let verified = verify::verify(folder.path())?;
        assert!(verified.faults.iter().any(|fault| fault.to_string().contains(&line)), "{verified:?}");
    }
    Ok(())
}

#[test]
fn damage_can_be_set_aside_on_request() -> Done {
    let folder = made(3)?;
    let path = segment(folder.path(), FIRST);
    let before = fs::read_to_string(&path)?;
    fs::write(&path, before.replace("number 2", "number X"))?;
    let said = repair::set_aside_damaged(folder.path())?;
    assert!(said[0].contains("events-000001.txt, line 2"), "{said:?}");
    let opened = JournalStore::rebuild(folder.path())?;
    is_rebuilt(&opened.notes, 2);
    assert_eq!(read_all(&opened.store)?, [record(1), record(3)]);
    let kept = fs::read_to_string(segment(folder.path(), "damaged-000001-1.txt"))?;
    assert_eq!(kept, before.replace("number 2", "number X"));
    Ok(())
}

#[test]
fn an_event_that_stands_twice_stops_the_start() -> Done {
    let folder = made(3)?;
    let path = segment(folder.path(), FIRST);
    OpenOptions::new().append(true).open(path)?.write_all(&line::encode(&record(2))?)?;
    refused(folder.path(), &["line 4", "repeats event", "line 2"])?;
    repair::set_aside_damaged(folder.path())?;
    assert_eq!(opens_with(folder.path(), 3)?, []);
    Ok(())
}

#[test]
fn a_missing_segment_stops_the_start() -> Done {
    let folder = tempfile::tempdir()?;
    let options = || Options { segment_bytes: 1_000, ..Options::default() };
    let store = open::open(folder.path(), &options())?.store;
    store.append(&(1..=20).map(record).collect::<Vec<_>>())?;
    store.close()?;
    drop(store);
    assert_eq!(opens_with(folder.path(), 20)?, []);
    let n_segments = journal_bytes(folder.path())?.len();
    assert!(n_segments > 3, "{n_segments} segments");
    fs::remove_file(segment(folder.path(), "events-000002.txt"))?;
    refused(folder.path(), &["events-000002.txt is missing", "restore"])
}

#[test]
fn an_index_that_is_gone_or_broken_is_built_again() -> Done {
    let breakages: [fn(&Path) -> std::io::Result<()>; 4] = [
        |index| fs::remove_dir_all(index),
        |index| fs::write(index.join("conf"), "no configuration"),
        |index| fs::write(index.join("db"), vec![0xA5; 70_000]),
        |index| fs::remove_file(index.join("db")),
    ];
    for breakage in breakages {
        let folder = made(100)?;
        breakage(&folder.path().join(INDEX_FOLDER))?;
        is_rebuilt(&opens_with(folder.path(), 100)?, 100);
    }
    Ok(())
}

#[test]
fn a_partial_snapshot_of_the_engine_is_deleted() -> Done {
    let folder = made(10)?;
    let partial = folder.path().join(INDEX_FOLDER).join("snap.0000000000FFFFFF.generating");
    fs::write(&partial, "cut off")?;
    assert_eq!(opens_with(folder.path(), 10)?, []);
    assert!(!partial.exists());
    Ok(())
}

#[test]
fn an_index_that_disagrees_is_built_again() -> Done {
    let folder = made(10)?;
    let path = segment(folder.path(), FIRST);
    let mut records: Vec<Record> = (1..=10).map(record).collect();
    records.swap(3, 6);
    let lines: Result<Vec<_>, StoreError> = records.iter().map(line::encode).collect();
    fs::write(&path, lines?.concat())?;
    let opened = JournalStore::open(folder.path())?;
    is_rebuilt(&opened.notes, 10);
    assert_eq!(read_all(&opened.store)?, records);
    Ok(())
}

#[test]
fn an_index_that_is_behind_catches_up() -> Done {
    let folder = made(10)?;
    let mut file = OpenOptions::new().append(true).open(segment(folder.path(), FIRST))?;
    for number in 11..=200 {
        file.write_all(&line::encode(&record(number))?)?;
    }
    assert_eq!(opens_with(folder.path(), 200)?, []);
    Ok(())
}

#[test]
fn lines_lost_at_the_end_of_the_journal_come_back_from_the_index() -> Done {
    let folder = made(10)?;
    let path = segment(folder.path(), FIRST);
    let text = fs::read_to_string(&path)?;
    let kept: String = text.split_inclusive('\n').take(7).collect();
    fs::write(&path, kept)?;
    let faults = verify::verify(folder.path())?.faults;
    assert!(faults[0].to_string().contains("the journal only 7"), "{faults:?}");
    assert_eq!(opens_with(folder.path(), 10)?, [Note::Salvaged { n_events: 3 }]);
    Ok(())
}

#[test]
fn a_copy_of_a_store_has_a_new_epoch_and_device() -> Done {
    let folder = made(3)?;
    let copy = tempfile::tempdir()?;
    for file in ["store.json", "store.lock"] {
        fs::copy(folder.path().join(file), copy.path().join(file))?;
    }
    fs::create_dir(copy.path().join(JOURNAL_FOLDER))?;
    fs::copy(segment(folder.path(), FIRST), segment(copy.path(), FIRST))?;
    let (one, two) = (JournalStore::open(folder.path())?.store, JournalStore::open(copy.path())?);
    is_rebuilt(&two.notes, 3);
    assert_ne!(one.epoch(), two.store.epoch());
    assert_ne!(one.device(), two.store.device());
    Ok(())
}

#[test]
fn a_backup_put_back_over_the_store_has_a_new_epoch_and_device() -> Done {
    let folder = made(3)?;
    let backup = tempfile::tempdir()?;
    let files = ["store.json", "store.mark", "store.lock", "index/db", "index/conf"];
    let segment = format!("{JOURNAL_FOLDER}/{FIRST}");
    for name in [JOURNAL_FOLDER, INDEX_FOLDER] {
        fs::create_dir(backup.path().join(name))?;
    }
    let all = || files.iter().copied().chain([segment.as_str()]);
    for file in all() {
        fs::copy(folder.path().join(file), backup.path().join(file))?;
    }
    let store = JournalStore::open(folder.path())?.store;
    let (epoch, device) = (store.epoch(), store.device());
    store.append(&[record(4)])?;
    store.close()?;
    drop(store);
    for file in all() {
        fs::copy(backup.path().join(file), folder.path().join(file))?;
    }
    let opened = JournalStore::open(folder.path())?;
    assert!(matches!(opened.notes[..], [Note::NewEpoch { .. }]), "{:?}", opened.notes);
    assert_eq!(opened.store.len(), 3);
    assert_ne!((opened.store.epoch(), opened.store.device()), (epoch, device));
    Ok(())
}

#[test]
fn a_store_of_a_newer_version_is_refused_and_untouched() -> Done {
    let folder = made(3)?;
    let newer = format!(r#"{{"format": {}, "what": "is new"}}"#, FORMAT + 1);
    fs::write(folder.path().join(MANIFEST_FILE), &newer)?;
    fs::remove_file(folder.path().join("store.lock"))?;
    refused(folder.path(), &["format 2", "nothing was changed"])?;
    assert_eq!(fs::read_to_string(folder.path().join(MANIFEST_FILE))?, newer);
    assert!(!folder.path().join("store.lock").exists());
    Ok(())
}

#[test]
fn a_folder_with_other_things_in_it_is_no_store() -> Done {
    let folder = tempfile::tempdir()?;
    fs::write(folder.path().join("letter.txt"), "dear")?;
    let refused = JournalStore::open(folder.path()).err().map(|cause| cause.to_string());
    assert!(refused.is_some_and(|text| text.contains("is not empty and holds no Tripoise store")));
    assert_eq!(fs::read_dir(folder.path())?.count(), 1);
    Ok(())
}

#[test]
fn a_second_opening_is_refused() -> Done {
    let folder = made(1)?;
    let held = JournalStore::open(folder.path())?;
    refused(folder.path(), &["another Tripoise has this store open", &std::process::id().to_string()])?;
    held.store.close()?;
    JournalStore::open(folder.path())?;
    Ok(())
}

#[test]
fn an_index_that_fails_while_running_is_built_again_on_the_spot() -> Done {
    let folder = tempfile::tempdir()?;
    let store = JournalStore::open(folder.path())?.store;
    store.append(&[record(1)])?;
    store.break_index("a test");
    assert_eq!(store.page(0, 10)?, [Numbered { seq: 1, event: record(1) }]);
    store.break_index("a test");
    store.append(&[record(2), record(1)])?;
    assert_eq!(store.len(), 2);
    store.close()?;
    drop(store);
    assert_eq!(opens_with(folder.path(), 2)?, []);
    Ok(())
}

#[test]
fn an_index_that_cannot_be_written_fails_no_stop_and_is_built_again() -> Done {
    let folder = tempfile::tempdir()?;
    let store = JournalStore::open(folder.path())?.store;
    store.append(&[record(1)])?;
    store.break_index("the disk was full a while ago");
    store.close()?;
    drop(store);
    assert_eq!(opens_with(folder.path(), 1)?, [], "it was built again before the stop");

    let store = JournalStore::open(folder.path())?.store;
    store.append(&[record(2)])?;
    store.break_index("the disk is full");
    let index = folder.path().join(INDEX_FOLDER);
    fs::remove_dir_all(&index)?;
    fs::write(&index, "no folder can be made here")?;
    store.close()?;
    drop(store);
    let notes = opens_with(folder.path(), 2)?;
    let rebuilt = |note: &Note| matches!(note, Note::IndexRebuilt { n_events: 2, .. });
    assert!(notes.iter().any(rebuilt), "{notes:?}");
    Ok(())
}

#[test]
fn the_index_knows_a_missing_number() -> Done {
    let folder = tempfile::tempdir()?;
    let index = Index::open(folder.path())?;
    let entry = |seq: u64| super::index::Entry { seq, id: record(seq).id, json: b"{}".to_vec() };
    index.apply(&[entry(2)])?;
    assert!(index.page(0, 10).is_err());
    Ok(())
}
