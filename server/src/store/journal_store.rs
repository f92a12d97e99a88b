//! The engine that ships: the journal for truth, the index beside it for looking things up.
//!
//! An index that fails while the server runs is built again on the spot; until that succeeds nothing
//! more is taken in, and what was acknowledged stays in the journal.
//!
//! What this does not do: start up; see [`super::open`].
use super::conflicts::Conflicts;
use super::index::{self, Entry, INDEX_FOLDER, Index};
use super::journal::{Disk, Journal};
use super::lock::Lock;
use super::manifest::Manifest;
use super::open::{self, Opened, Options};
use super::{Epoch, EventStore, Fault, MAX_RECORD_BYTES, Numbered, Outcome, StoreError, line, verify};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, RwLock};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::Record;

/// A store in a folder.
pub struct JournalStore {
    folder: PathBuf,
    manifest: Manifest,
    n_events: AtomicU64,
    writing: Mutex<Option<Writing>>,
    /// `Err` holds why it cannot be used.
    index: RwLock<Result<Index, String>>,
}

struct Writing {
    journal: Journal,
    conflicts: Conflicts,
    disk: Arc<dyn Disk>,
    _lock: Lock,
}

/// A batch, sorted into what to do.
#[derive(Default)]
struct Plan<'a> {
    outcomes: Vec<Outcome>,
    lines: Vec<Vec<u8>>,
    entries: Vec<Entry>,
    conflicts: Vec<&'a Record>,
    new: HashMap<EventId, (u64, &'a Record)>,
}

impl JournalStore {
    /// Opens the store in `folder`, making it when the folder is empty or missing.
    ///
    /// # Errors   [`StoreError`]: in use, newer, damaged, or the disk's.
    pub fn open(folder: &Path) -> Result<Opened, StoreError> {
        open::open(folder, &Options::default())
    }

    /// As [`JournalStore::open`], with the index built again and a new epoch.
    ///
    /// # Errors   As [`JournalStore::open`].
    pub fn rebuild(folder: &Path) -> Result<Opened, StoreError> {
        open::open(folder, &Options { rebuild: true, ..Options::default() })
    }

    /// Where it is.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Who the server is when it records by itself.
    #[must_use]
    pub fn device(&self) -> DeviceId {
        self.manifest.device
    }

    pub(super) fn new(
        folder: &Path,
        lock: Lock,
        journal: Journal,
        disk: Arc<dyn Disk>,
        index: Index,
        manifest: Manifest,
        n_events: u64,
    ) -> Result<Self, StoreError> {
        let conflicts = Conflicts::open(folder)?;
        let writing = Writing { journal, conflicts, disk, _lock: lock };
        Ok(Self {
            folder: folder.to_owned(),
            manifest,
            n_events: AtomicU64::new(n_events),
            writing: Mutex::new(Some(writing)),
            index: RwLock::new(Ok(index)),
        })
    }

    /// Makes the index unusable, as a failing engine would.
    #[cfg(test)]
    pub(super) fn break_index(&self, cause: &str) {
        self.set_index(Err(cause.to_owned())).unwrap_or_else(|cause| panic!("{cause}"));
    }

    /// A poisoned lock means that a write panicked half way: nothing more is written before a new start.
    fn writing(&self) -> Result<MutexGuard<'_, Option<Writing>>, StoreError> {
        self.writing.lock().map_err(|_| StoreError::Closed)
    }

    fn index(&self) -> Result<Index, StoreError> {
        let state = self.index.read().map_err(|_| StoreError::Closed)?;
        state.clone().map_err(|cause| StoreError::Index { cause })
    }

    fn set_index(&self, state: Result<Index, String>) -> Result<(), StoreError> {
        *self.index.write().map_err(|_| StoreError::Closed)? = state;
        Ok(())
    }

    /// Asks the index, building it again once if it fails. The caller holds the write lock, so that the
    /// journal stands still meanwhile.
    fn ask<T>(&self, question: impl Fn(&Index) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let cause = match self.index().and_then(|index| question(&index)) {
            Ok(answer) => return Ok(answer),
            Err(cause) => cause,
        };
        tracing::error!(%cause, "the index failed and is built again from the journal");
        self.set_index(Err(cause.to_string()))?;
        let built = index::delete(&self.folder).and_then(|()| open::build_index(&self.folder));
        let index = built.map_err(|again| match again {
            StoreError::Index { cause } => StoreError::Index { cause },
            other => StoreError::Index { cause: other.to_string() },
        })?;
        let answer = question(&index)?;
        self.set_index(Ok(index))?;
        Ok(answer)
    }

    fn plan<'a>(&self, records: &'a [Record]) -> Result<Plan<'a>, StoreError> {
        let mut plan = Plan::default();
        let mut last = self.len();
        for record in records {
            let line = line::encode(record)?;
            let json = line::json_of(&line);
            if json.len() > MAX_RECORD_BYTES {
                let (id, bytes) = (record.id, json.len());
                return Err(StoreError::TooLong { id, bytes, max: MAX_RECORD_BYTES });
            }
            let outcome = match self.kept(record.id, &plan)? {
                Some((seq, same)) if same(record) => Outcome::AlreadyHad { seq },
                Some((seq, _)) => {
                    plan.conflicts.push(record);
                    Outcome::Conflict { seq }
                }
                None => {
                    last += 1;
                    plan.entries.push(Entry { seq: last, id: record.id, json: json.to_vec() });
                    plan.new.insert(record.id, (last, record));
                    plan.lines.push(line);
                    Outcome::Stored { seq: last }
                }
            };
            plan.outcomes.push(outcome);
        }
        Ok(plan)
    }

    /// The number of the event `id` and whether a record is the same as it.
    fn kept(&self, id: EventId, plan: &Plan<'_>) -> Result<Option<Kept>, StoreError> {
        if let Some((seq, record)) = plan.new.get(&id) {
            let (seq, kept) = (*seq, (*record).clone());
            return Ok(Some((seq, Box::new(move |offered| kept.same_fact(offered)))));
        }
        self.ask(|index| {
            let Some(seq) = index.seq_of(id)? else { return Ok(None) };
            let json = index.json_of(seq)?.ok_or_else(|| missing(seq))?;
            let kept: Record = serde_json::from_slice(&json)?;
            let same: Kept = (seq, Box::new(move |offered| kept.same_fact(offered)));
            Ok(Some(same))
        })
    }
}

type Kept = (u64, Box<dyn Fn(&Record) -> bool>);

fn missing(seq: u64) -> StoreError {
    StoreError::Index { cause: format!("event {seq} is missing") }
}

impl EventStore for JournalStore {
    fn append(&self, records: &[Record]) -> Result<Vec<Outcome>, StoreError> {
        let mut guard = self.writing()?;
        let writing = guard.as_mut().ok_or(StoreError::Closed)?;
        let plan = self.plan(records)?;
        let Writing { conflicts, disk, journal, .. } = writing;
        conflicts.keep(&plan.conflicts, disk.as_ref())?;
        if !plan.lines.is_empty() {
            journal.append(&plan.lines)?;
            let n_new = u64::try_from(plan.entries.len()).unwrap_or(0);
            self.n_events.fetch_add(n_new, Ordering::SeqCst);
            // The journal has the batch: it is durable whatever becomes of the index, which
            // refuses the next batch if it cannot be built again now.
            if let Err(cause) = self.ask(|index| index.apply(&plan.entries)) {
                tracing::error!(%cause, "the index is out of use; no more is taken in until it is built again");
            }
        }
        Ok(plan.outcomes)
    }

    fn page(&self, since: u64, limit: usize) -> Result<Vec<Numbered>, StoreError> {
        if let Ok(page) = self.index().and_then(|index| index.page(since, limit)) {
            return Ok(page);
        }
        let _held = self.writing()?;
        self.ask(|index| index.page(since, limit))
    }

    fn len(&self) -> u64 {
        self.n_events.load(Ordering::SeqCst)
    }

    fn epoch(&self) -> Epoch {
        self.manifest.epoch
    }

    fn conflicts(&self) -> Result<Vec<Record>, StoreError> {
        let guard = self.writing()?;
        Ok(guard.as_ref().ok_or(StoreError::Closed)?.conflicts.records())
    }

    fn check(&self) -> Result<Vec<Fault>, StoreError> {
        let _held = self.writing()?;
        verify::check(&self.folder, &self.index()?)
    }

    /// The journal already holds everything acknowledged. So an index that cannot be written now, for the engine
    /// remembers that the disk was full a while ago, is built again here, or else at the next start.
    fn close(&self) -> Result<(), StoreError> {
        let mut guard = self.writing()?;
        if guard.is_none() {
            return Ok(());
        }
        let folder = self.folder.join(INDEX_FOLDER);
        if let Err(cause) = self.ask(|index| index.flush(&folder)) {
            tracing::warn!(%cause, "the index could not be written; the next start builds it again from the journal");
            if let Err(cause) = index::delete(&self.folder) {
                tracing::warn!(%cause, "what is left of the index could not be deleted");
            }
        }
        self.set_index(Err("it is closed".to_owned()))?;
        *guard = None;
        Ok(())
    }
}
