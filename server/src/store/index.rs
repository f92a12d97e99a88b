//! The index: events by number and numbers by id, in sled 0.34.7, which is only trusted as far as the
//! journal confirms it.
//!
//! The engine's traps, and what is done about them: its flush is no fsync, so the journal is synced
//! instead and the index is compared with it at every start; a kill while opening leaves a partial
//! `snap.*.generating` that the next open would read, so those are deleted first; opening may panic, so
//! it runs under `catch_unwind`; a transaction's closure may run more than once, so ours only writes.
//!
//! What this does not do: hold the truth. Deleting the folder loses nothing.
use super::{Numbered, StoreError};
use sled::transaction::{ConflictableTransactionError, TransactionError, Transactional};
use sled::{Db, Tree};
use std::fs;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use tripoise_core::ids::EventId;

/// The index's folder, in the store's folder.
pub const INDEX_FOLDER: &str = "index";

/// House choice: 16 MiB of the engine's page cache; the demo studio's index is about 10 MB, and the
/// server's peak must stay under 150 MB.
const CACHE_BYTES: u64 = 16 << 20;

/// House choice: events in one transaction; 64 of about 500 bytes are a 32 KiB write.
const TRANSACTION_EVENTS: usize = 64;

const APPLIED_UPTO: &[u8] = b"applied_upto";

/// An event as the index takes it.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its number.
    pub seq: u64,
    /// Its id.
    pub id: EventId,
    /// Its JSON, as in the journal.
    pub json: Vec<u8>,
}

/// The open index.
#[derive(Clone, Debug)]
pub struct Index {
    db: Db,
    events: Tree,
    by_id: Tree,
    meta: Tree,
}

/// House choice: an index closed a moment ago is let go within milliseconds; two seconds is a busy machine's.
const LET_GO: Duration = Duration::from_secs(2);

/// Opens the engine. Its threads let go of the lock of an index closed in this process only after the last handle
/// is gone, so a lock is waited for a moment; the store's own lock keeps other processes out before this.
fn open_engine(folder: &Path) -> sled::Result<Db> {
    let start = Instant::now();
    loop {
        match sled::Config::new().path(folder).cache_capacity(CACHE_BYTES).open() {
            Err(sled::Error::Io(cause))
                if cause.to_string().contains("could not acquire lock") && start.elapsed() < LET_GO =>
            {
                std::thread::sleep(Duration::from_millis(20));
            }
            other => return other,
        }
    }
}

impl Index {
    /// Opens the index in `folder`, making it if it is not there.
    ///
    /// # Errors   The engine's, its panics included.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        delete_partial_snapshots(folder).map_err(engine)?;
        let opened = catch_unwind(AssertUnwindSafe(|| -> sled::Result<Self> {
            let db = open_engine(folder)?;
            let (events, by_id) = (db.open_tree(b"events")?, db.open_tree(b"by_id")?);
            let meta = db.open_tree(b"meta")?;
            Ok(Self { db, events, by_id, meta })
        }));
        opened.map_err(|_| engine("it panicked while opening"))?.map_err(engine)
    }

    /// The last number applied.
    ///
    /// # Errors   The engine's.
    pub fn applied_upto(&self) -> Result<u64, StoreError> {
        let bytes = self.meta.get(APPLIED_UPTO).map_err(engine)?;
        bytes.map_or(Ok(0), |bytes| number(&bytes))
    }

    /// The number of the event `id`.
    ///
    /// # Errors   The engine's.
    pub fn seq_of(&self, id: EventId) -> Result<Option<u64>, StoreError> {
        let bytes = self.by_id.get(id.0.as_bytes()).map_err(engine)?;
        bytes.map(|bytes| number(&bytes)).transpose()
    }

    /// The JSON of event number `seq`.
    ///
    /// # Errors   The engine's.
    pub fn json_of(&self, seq: u64) -> Result<Option<Vec<u8>>, StoreError> {
        let bytes = self.events.get(seq.to_be_bytes()).map_err(engine)?;
        Ok(bytes.map(|bytes| bytes.to_vec()))
    }

    /// Up to `limit` events above `since`.
    ///
    /// # Errors   The engine's; or a number is missing.
    pub fn page(&self, since: u64, limit: usize) -> Result<Vec<Numbered>, StoreError> {
        let Some(first) = since.checked_add(1) else { return Ok(Vec::new()) };
        let mut page = Vec::new();
        for (found, expected) in self.events.range(first.to_be_bytes()..).zip(first..).take(limit) {
            let (key, json) = found.map_err(engine)?;
            let seq = number(&key)?;
            if seq != expected {
                return Err(engine(format!("event {expected} is missing")));
            }
            let event = serde_json::from_slice(&json).map_err(engine)?;
            page.push(Numbered { seq, event });
        }
        Ok(page)
    }

    /// Adds events, whose numbers follow on what is there.
    ///
    /// # Errors   The engine's; part of them may have been added, and adding them again is harmless.
    pub fn apply(&self, entries: &[Entry]) -> Result<(), StoreError> {
        for chunk in entries.chunks(TRANSACTION_EVENTS) {
            let trees = (&self.events, &self.by_id, &self.meta);
            let done = trees.transaction(|(events, by_id, meta)| {
                for entry in chunk {
                    let seq = entry.seq.to_be_bytes();
                    events.insert(&seq, entry.json.as_slice())?;
                    by_id.insert(entry.id.0.as_bytes(), &seq)?;
                    meta.insert(APPLIED_UPTO, &seq)?;
                }
                Ok::<(), ConflictableTransactionError<()>>(())
            });
            done.map_err(|err| match err {
                TransactionError::Storage(cause) => engine(cause),
                TransactionError::Abort(()) => engine("a transaction was given up"),
            })?;
        }
        Ok(())
    }

    /// Hands everything to the system and syncs it to the disk.
    ///
    /// # Errors   The engine's or the system's.
    pub fn flush(&self, folder: &Path) -> Result<(), StoreError> {
        self.db.flush().map_err(engine)?;
        for file in ["db", "conf"] {
            match fs::File::open(folder.join(file)) {
                Ok(file) => file.sync_all().map_err(engine)?,
                Err(cause) if cause.kind() == io::ErrorKind::NotFound => {}
                Err(cause) => return Err(engine(cause)),
            }
        }
        Ok(())
    }
}

/// Moves the index in `store` out of the way, so that nothing is lost for whoever wants to look.
///
/// # Returns  Where it is now; `None` when there was none.
/// # Errors   The system's.
pub fn set_aside(store: &Path) -> Result<Option<PathBuf>, StoreError> {
    let from = store.join(INDEX_FOLDER);
    if !from.exists() {
        return Ok(None);
    }
    remove_set_aside(store)?;
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |past| past.as_secs());
    let to = store.join(format!("{INDEX_FOLDER}-set-aside-{seconds}"));
    fs::rename(&from, &to).map_err(StoreError::write(from.display().to_string()))?;
    Ok(Some(to))
}

/// Deletes the index in `store`: what is done to one that fails while the server runs, most often because
/// the disk is full.
///
/// # Errors   The system's.
pub fn delete(store: &Path) -> Result<(), StoreError> {
    match fs::remove_dir_all(store.join(INDEX_FOLDER)) {
        Err(cause) if cause.kind() != io::ErrorKind::NotFound => Err(StoreError::write(INDEX_FOLDER)(cause)),
        _ => Ok(()),
    }
}

/// Only the newest one is kept: an index that fails again and again must not fill the disk.
fn remove_set_aside(store: &Path) -> Result<(), StoreError> {
    let what = || store.display().to_string();
    for entry in fs::read_dir(store).map_err(StoreError::read(what()))? {
        let entry = entry.map_err(StoreError::read(what()))?;
        let old = entry.file_name().to_string_lossy().starts_with("index-set-aside-");
        if old {
            fs::remove_dir_all(entry.path()).map_err(StoreError::write(what()))?;
        }
    }
    Ok(())
}

fn delete_partial_snapshots(folder: &Path) -> io::Result<()> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(cause) => return Err(cause),
    };
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with("snap.") && name.ends_with(".generating") {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

fn number(bytes: &[u8]) -> Result<u64, StoreError> {
    let bytes = bytes.try_into().map_err(|_| engine("a number is not eight bytes long"))?;
    Ok(u64::from_be_bytes(bytes))
}

fn engine(cause: impl ToString) -> StoreError {
    StoreError::Index { cause: cause.to_string() }
}
