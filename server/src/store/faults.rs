//! Tests with a disk that fails: nothing is acknowledged, nothing is left behind, and it goes on after.
use super::journal::{Disk, Log, RealDisk};
use super::open::{self, Options};
use super::suite::{other, record};
use super::{EventStore, JournalStore, Outcome, StoreError, read_all};
use std::error::Error;
use std::fs;
use std::io;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering::SeqCst};
use std::sync::{Arc, PoisonError, RwLock};

type Done = Result<(), Box<dyn Error>>;

/// What fails at the moment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Fault {
    Nothing,
    /// The disk is full after so many more bytes.
    Full(usize),
    Sync,
    OpeningASegment,
}

struct BadDisk {
    fault: RwLock<Fault>,
    cut_fails: AtomicBool,
    n_syncs: AtomicU64,
}

impl BadDisk {
    fn new() -> Arc<Self> {
        let (cut_fails, n_syncs) = (AtomicBool::new(false), AtomicU64::new(0));
        Arc::new(Self { fault: RwLock::new(Fault::Nothing), cut_fails, n_syncs })
    }

    fn fault(&self) -> Fault {
        *self.fault.read().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, fault: Fault) {
        *self.fault.write().unwrap_or_else(PoisonError::into_inner) = fault;
    }
}

struct SharedDisk(Arc<BadDisk>);

struct BadLog {
    file: Box<dyn Log>,
    disk: Arc<BadDisk>,
}

fn full() -> io::Error {
    io::ErrorKind::StorageFull.into()
}

impl Disk for SharedDisk {
    fn open(&self, path: &Path) -> io::Result<Box<dyn Log>> {
        if self.0.fault() == Fault::OpeningASegment && !path.exists() {
            return Err(full());
        }
        let (file, disk) = (RealDisk.open(path)?, Arc::clone(&self.0));
        Ok(Box::new(BadLog { file, disk }))
    }
}

impl Log for BadLog {
    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        let Fault::Full(room) = self.disk.fault() else { return self.file.write_all(bytes) };
        self.file.write_all(&bytes[..room.min(bytes.len())])?;
        if room < bytes.len() {
            return Err(full());
        }
        self.disk.set(Fault::Full(room - bytes.len()));
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        self.disk.n_syncs.fetch_add(1, SeqCst);
        if self.disk.fault() == Fault::Sync {
            return Err(io::ErrorKind::Other.into());
        }
        self.file.sync()
    }

    fn cut(&mut self, len: u64) -> io::Result<()> {
        if self.disk.cut_fails.load(SeqCst) {
            return Err(io::ErrorKind::Other.into());
        }
        self.file.cut(len)
    }
}

fn store_on(folder: &Path, disk: &Arc<BadDisk>) -> Result<JournalStore, StoreError> {
    // Small segments, so that batches cross from one to the next.
    let options =
        Options { disk: Arc::new(SharedDisk(Arc::clone(disk))), segment_bytes: 1_500, ..Options::default() };
    Ok(open::open(folder, &options)?.store)
}

/// Appends while `fault` holds, expects a clean refusal, and then that everything works again.
fn check(fault: Fault, cut_fails: bool) -> Done {
    let folder = tempfile::tempdir()?;
    let disk = BadDisk::new();
    let store = store_on(folder.path(), &disk)?;
    store.append(&[record(1), record(2)])?;
    disk.set(fault);
    disk.cut_fails.store(cut_fails, SeqCst);
    let batch: Vec<_> = (3..=40).map(record).collect();
    for _ in 0..2 {
        let refused = store.append(&batch);
        assert!(matches!(refused, Err(StoreError::Write { .. })), "{fault:?}: {refused:?}");
        assert_eq!(read_all(&store)?, [record(1), record(2)], "{fault:?}");
    }
    disk.set(Fault::Nothing);
    disk.cut_fails.store(false, SeqCst);
    assert_eq!(store.append(&[record(1)])?, [Outcome::AlreadyHad { seq: 1 }]);
    assert_eq!(store.append(&batch)?[0], Outcome::Stored { seq: 3 });
    assert_eq!(store.check()?, [], "{fault:?}");
    store.close()?;
    drop(store);
    let opened = JournalStore::open(folder.path())?;
    assert_eq!(opened.notes, []);
    assert_eq!(read_all(&opened.store)?, (1..=40).map(record).collect::<Vec<_>>());
    Ok(())
}

#[test]
fn a_full_disk_is_refused_cleanly_wherever_it_fills_up() -> Done {
    for room in [0, 1, 9, 200, 900, 1_400, 1_600, 3_000, 5_000] {
        check(Fault::Full(room), false)?;
    }
    check(Fault::OpeningASegment, false)
}

#[test]
fn a_failed_sync_acknowledges_nothing() -> Done {
    check(Fault::Sync, false)
}

#[test]
fn a_write_that_could_not_even_be_cut_back_is_cut_before_the_next() -> Done {
    check(Fault::Full(300), true)?;
    check(Fault::Sync, true)
}

#[test]
fn a_stop_after_a_write_that_could_not_be_cut_back_is_a_torn_line() -> Done {
    let folder = tempfile::tempdir()?;
    let disk = BadDisk::new();
    let store = store_on(folder.path(), &disk)?;
    store.append(&[record(1)])?;
    disk.set(Fault::Full(100));
    disk.cut_fails.store(true, SeqCst);
    assert!(store.append(&[record(2)]).is_err());
    drop(store);
    let opened = JournalStore::open(folder.path())?;
    assert_eq!(opened.notes.len(), 1, "{:?}", opened.notes);
    assert_eq!(read_all(&opened.store)?, [record(1)]);
    Ok(())
}

#[test]
fn a_conflict_that_cannot_be_kept_is_not_acknowledged() -> Done {
    let folder = tempfile::tempdir()?;
    let disk = BadDisk::new();
    let store = store_on(folder.path(), &disk)?;
    store.append(&[record(1)])?;
    disk.set(Fault::Full(30));
    assert!(store.append(&[other(1)]).is_err());
    assert_eq!(store.conflicts()?, []);
    disk.set(Fault::Nothing);
    assert_eq!(store.append(&[other(1)])?, [Outcome::Conflict { seq: 1 }]);
    assert_eq!(store.conflicts()?, [other(1)]);
    assert_eq!(fs::read(folder.path().join("conflicts.txt"))?, super::line::encode(&other(1))?);
    Ok(())
}

#[test]
fn every_append_is_synced_before_it_returns() -> Done {
    let folder = tempfile::tempdir()?;
    let disk = BadDisk::new();
    let store = store_on(folder.path(), &disk)?;
    for number in 1..=5 {
        let before = disk.n_syncs.load(SeqCst);
        store.append(&[record(number)])?;
        assert!(disk.n_syncs.load(SeqCst) > before, "append {number} was not synced");
    }
    Ok(())
}
