//! Opening a store: what is looked at, in which order, and what heals by itself.
//!
//! Lock; delete what a kill left half written; open the index; read the whole journal and compare; where
//! the index is behind, catch up; where it fails or disagrees, set it aside and build it again. Damage in
//! the journal itself is never healed silently: it stops the start.
use super::index::{self, Entry, INDEX_FOLDER, Index};
use super::journal::{Disk, Journal, RealDisk, SEGMENT_BYTES, sync_folder};
use super::journal_store::JournalStore;
use super::lock::{LOCK_FILE, Lock};
use super::manifest::{MANIFEST_FILE, MARK_FILE, Manifest, Mark};
use super::photos::PHOTOS_FOLDER;
use super::segment::{self, Found, JOURNAL_FOLDER, Place, Tail};
use super::{StoreError, line};
use std::collections::HashMap;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tripoise_core::ids::EventId;

/// A store that could be opened, and what had to be done for it.
pub struct Opened {
    /// The store.
    pub store: JournalStore,
    /// What happened, in the order it happened; each is one line for the page.
    pub notes: Vec<Note>,
}

/// Something that happened while opening and that the user is told.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Note {
    /// The index was built again from the journal.
    IndexRebuilt {
        /// Why.
        cause: String,
        /// How many events it holds.
        n_events: u64,
    },
    /// The last line of the journal had been cut off while it was written.
    TornLineCut {
        /// The segment.
        segment: String,
        /// How long the piece was.
        n_bytes: usize,
    },
    /// Events that the index had and the journal had lost were written to the journal again.
    Salvaged {
        /// How many.
        n_events: u64,
    },
    /// The numbering started anew; phones will offer their events again.
    NewEpoch {
        /// Why.
        cause: String,
    },
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::IndexRebuilt { cause, n_events } => write!(
                f,
                "the index was built again from the journal ({cause}); all {n_events} events are there"
            ),
            Self::TornLineCut { segment, n_bytes } => write!(
                f,
                "the last write before the stop was cut off ({n_bytes} bytes in {segment}); it had not been acknowledged"
            ),
            Self::Salvaged { n_events } => write!(
                f,
                "{n_events} events were missing at the end of the journal and were written again from the index"
            ),
            Self::NewEpoch { cause } => {
                write!(f, "{cause}; every phone will offer its events again")
            }
        }
    }
}

/// How to open.
pub struct Options {
    /// Where segments are opened.
    pub disk: Arc<dyn Disk>,
    /// When a segment is full.
    pub segment_bytes: u64,
    /// Build the index again even where it agrees.
    pub rebuild: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { disk: Arc::new(RealDisk), segment_bytes: SEGMENT_BYTES, rebuild: false }
    }
}

/// Opens the store in `folder`, making it when the folder is empty or missing.
///
/// # Errors   [`StoreError`]: in use, newer, damaged, or the disk's.
pub fn open(folder: &Path, options: &Options) -> Result<Opened, StoreError> {
    let lock = prepare(folder)?;
    let journal_folder = folder.join(JOURNAL_FOLDER);
    let mut notes = Vec::new();
    let (kept, compared) = (Manifest::read(folder)?, compare(folder, options.rebuild)?);
    let Compared { tail, index, fault, n_extra } = compared;
    let rebuilt = fault.filter(|_| tail.n_events > 0);
    let manifest = settle_manifest(folder, kept, rebuilt.as_deref(), &mut notes)?;
    let index = match index {
        Some(index) => index,
        None => {
            if let Some(aside) = index::set_aside(folder)? {
                tracing::warn!(folder = %aside.display(), "the index was set aside");
            }
            build_index(folder)?
        }
    };
    if let Some(cause) = rebuilt {
        notes.push(Note::IndexRebuilt { cause, n_events: tail.n_events });
    }
    if !tail.torn.is_empty() {
        keep_torn(&journal_folder, &tail);
        let segment = segment::name(tail.segment);
        notes.push(Note::TornLineCut { segment, n_bytes: tail.torn.len() });
    }
    let disk = Arc::clone(&options.disk);
    let mut journal = Journal::open(&journal_folder, &tail, disk, options.segment_bytes)?;
    if n_extra > 0 {
        salvage(&index, tail.n_events, &mut journal)?;
        notes.push(Note::Salvaged { n_events: n_extra });
    }
    let n_events = tail.n_events + n_extra;
    let store =
        JournalStore::new(folder, lock, journal, Arc::clone(&options.disk), index, manifest, n_events)?;
    Ok(Opened { store, notes })
}

/// Makes the folder, refuses what is not ours or newer, and takes the lock.
pub(super) fn prepare(folder: &Path) -> Result<Lock, StoreError> {
    let what = || folder.display().to_string();
    fs::create_dir_all(folder).map_err(StoreError::write(what()))?;
    if Manifest::read(folder)?.is_none() && !looks_like_ours(folder)? {
        return Err(StoreError::NotAStore { folder: folder.to_owned() });
    }
    let lock = Lock::take(folder)?;
    fs::create_dir_all(folder.join(JOURNAL_FOLDER)).map_err(StoreError::write(what()))?;
    sync_folder(folder).map_err(StoreError::write(what()))?;
    Ok(lock)
}

/// Empty, or holding only what a start that was cut off would leave, or at least a journal.
fn looks_like_ours(folder: &Path) -> Result<bool, StoreError> {
    const OURS: [&str; 6] =
        [LOCK_FILE, MANIFEST_FILE, MARK_FILE, "store.json.new", INDEX_FOLDER, PHOTOS_FOLDER];
    let what = || folder.display().to_string();
    let mut foreign = false;
    for entry in fs::read_dir(folder).map_err(StoreError::read(what()))? {
        let name = entry.map_err(StoreError::read(what()))?.file_name();
        if name == JOURNAL_FOLDER {
            return Ok(true);
        }
        foreign |= !OURS.iter().any(|ours| name == *ours);
    }
    Ok(!foreign)
}

struct Compared {
    tail: Tail,
    /// `None` where it has to be built again.
    index: Option<Index>,
    /// Why it has to be.
    fault: Option<String>,
    /// Events that only the index has.
    n_extra: u64,
}

/// Reads the journal against the index and lets the index catch up.
fn compare(folder: &Path, rebuild: bool) -> Result<Compared, StoreError> {
    let index_folder = folder.join(INDEX_FOLDER);
    let mut checker = if rebuild {
        Checker::without("it was asked for".to_owned())
    } else if !index_folder.exists() {
        Checker::without("there was no index".to_owned())
    } else {
        match Index::open(&index_folder).and_then(|index| Ok((index.applied_upto()?, index))) {
            Ok((applied, index)) => Checker::with(index, applied),
            Err(cause) => Checker::without(cause.to_string()),
        }
    };
    let tail = segment::scan(&folder.join(JOURNAL_FOLDER), &mut |found| checker.visit(found))?;
    checker.catch_up();
    let n_extra = match &checker.index {
        Some(_) => checker.applied.saturating_sub(tail.n_events),
        None => 0,
    };
    let Checker { index, fault, .. } = checker;
    Ok(Compared { tail, index, fault, n_extra })
}

/// Compares line by line; the first disagreement ends the comparison, not the reading.
struct Checker {
    index: Option<Index>,
    applied: u64,
    fault: Option<String>,
    pending: Vec<Entry>,
    seen: HashMap<EventId, Place>,
}

impl Checker {
    fn with(index: Index, applied: u64) -> Self {
        let (pending, seen) = (Vec::new(), HashMap::new());
        Self { index: Some(index), applied, fault: None, pending, seen }
    }

    fn without(fault: String) -> Self {
        let (pending, seen) = (Vec::new(), HashMap::new());
        Self { index: None, applied: 0, fault: Some(fault), pending, seen }
    }

    fn visit(&mut self, found: Found<'_>) -> Result<(), StoreError> {
        segment::stop_at_damage(&found)?;
        let Found::Line { seq, json, record, place } = found else { return Ok(()) };
        stop_at_repeat(&mut self.seen, record.id, place)?;
        let Some(index) = &self.index else { return Ok(()) };
        if self.applied == 0 {
            // A damaged index may open as an empty one.
            self.give_up("the index was empty".to_owned());
        } else if seq > self.applied {
            self.pending.push(Entry { seq, id: record.id, json: json.to_vec() });
            if self.pending.len() >= 64 {
                self.catch_up();
            }
        } else if let Err(cause) = agrees(index, seq, record.id, json) {
            self.give_up(cause.to_string());
        }
        Ok(())
    }

    fn catch_up(&mut self) {
        let Some(index) = &self.index else { return };
        match index.apply(&self.pending) {
            Ok(()) => {
                self.applied = self.pending.last().map_or(self.applied, |entry| entry.seq);
                self.pending.clear();
            }
            Err(cause) => self.give_up(cause.to_string()),
        }
    }

    fn give_up(&mut self, cause: String) {
        self.index = None;
        self.fault = Some(cause);
    }
}

/// Stops at an event that stands in the journal twice.
pub(super) fn stop_at_repeat(
    seen: &mut HashMap<EventId, Place>,
    id: EventId,
    place: Place,
) -> Result<(), StoreError> {
    match seen.insert(id, place) {
        None => Ok(()),
        Some(first) => {
            let (segment, line) = (segment::name(first.segment), first.line);
            Err(segment::damaged(place, format!("it repeats event {id} of {segment}, line {line}")))
        }
    }
}

/// Whether the index says of event `seq` what the journal says.
pub(super) fn agrees(index: &Index, seq: u64, id: EventId, json: &[u8]) -> Result<(), StoreError> {
    let same = index.json_of(seq)?.is_some_and(|kept| kept == json);
    if same && index.seq_of(id)? == Some(seq) {
        return Ok(());
    }
    Err(StoreError::Index { cause: format!("it disagrees with the journal about event {seq}") })
}

/// Builds an index from the journal, where there is none.
pub(super) fn build_index(folder: &Path) -> Result<Index, StoreError> {
    let index = Index::open(&folder.join(INDEX_FOLDER))?;
    let mut pending = Vec::new();
    segment::scan(&folder.join(JOURNAL_FOLDER), &mut |found| {
        segment::stop_at_damage(&found)?;
        if let Found::Line { seq, json, record, .. } = found {
            pending.push(Entry { seq, id: record.id, json: json.to_vec() });
        }
        if pending.len() >= 64 {
            index.apply(&pending)?;
            pending.clear();
        }
        Ok(())
    })?;
    index.apply(&pending)?;
    Ok(index)
}

/// A new epoch is written before the index is built, so that a kill in between cannot lose it.
fn settle_manifest(
    folder: &Path,
    kept: Option<Manifest>,
    rebuilt: Option<&str>,
    notes: &mut Vec<Note>,
) -> Result<Manifest, StoreError> {
    let copied = kept.as_ref().is_some_and(|kept| kept.mark != Mark::of(folder));
    let cause = match (&kept, rebuilt) {
        (Some(_), _) if copied => "this store is a copy or was restored, so its numbering is new",
        (Some(_), Some(_)) => "the numbering is new since the index was built again",
        (None, Some(_)) => "store.json was missing, so the numbering is new",
        (_, None) => "",
    };
    let mark = Mark::renew(folder)?;
    let manifest = match kept {
        Some(kept) if cause.is_empty() => Manifest { mark, ..kept },
        _ => Manifest::fresh(mark),
    };
    if !cause.is_empty() {
        notes.push(Note::NewEpoch { cause: cause.to_owned() });
    }
    manifest.write(folder)?;
    Ok(manifest)
}

/// Keeps the cut piece where a person can look at it. It was never acknowledged, so failing is no loss.
fn keep_torn(journal_folder: &Path, tail: &Tail) {
    let file: PathBuf = journal_folder.join(format!("torn-{:06}-{}.txt", tail.segment, tail.bytes));
    if let Err(cause) = fs::write(&file, &tail.torn) {
        tracing::warn!(%cause, "the piece of a line that was cut off could not be kept");
    }
}

fn salvage(index: &Index, since: u64, journal: &mut Journal) -> Result<(), StoreError> {
    let mut since = since;
    loop {
        let page = index.page(since, 1_000)?;
        let Some(last) = page.last() else { return Ok(()) };
        since = last.seq;
        let lines = page.iter().map(|numbered| line::encode(&numbered.event));
        journal.append(&lines.collect::<Result<Vec<_>, _>>()?)?;
    }
}
