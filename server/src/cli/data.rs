//! `export`, `import`, `rebuild`, `verify`: the store without a server.
//!
//! What this does not do: judge events. An import brings facts back as they were; one that this version
//! cannot read is kept, counted and shown.
use super::StoreArg;
use crate::store::photos::Photos;
use crate::store::segment::{self, Found, JOURNAL_FOLDER};
use crate::store::{EventStore, JournalStore, MAX_RECORD_BYTES, Outcome, repair, verify as check};
use anyhow::{Context, bail};
use clap::Args;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tripoise_core::event::{Body, Event, Unreadable};
use tripoise_core::photo::PhotoHash;
use tripoise_core::record::Record;
use tripoise_core::view::history;
use tripoise_core::world::{LogEntry, SkipReason, Skipped, World};

/// What to import, and where to.
#[derive(Debug, Args)]
pub struct Import {
    /// A file written by `tripoise export`, or a segment of a journal; `-` is the standard input
    file: PathBuf,
    #[command(flatten)]
    store: StoreArg,
}

/// Which store to rebuild, and how.
#[derive(Debug, Args)]
pub struct Rebuild {
    #[command(flatten)]
    store: StoreArg,
    /// Move damaged lines of the journal into files beside it, and go on without them
    #[arg(long)]
    set_aside_damaged: bool,
}

/// What an import did.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Report {
    /// New events.
    pub n_stored: usize,
    /// Events that were there already.
    pub n_had: usize,
    /// Events whose id another event has.
    pub n_conflicts: usize,
}

/// Writes every event of the journal, oldest first, damaged lines left out and told.
pub(super) fn export(folder: &Path) -> anyhow::Result<ExitCode> {
    let journal = folder.join(JOURNAL_FOLDER);
    if !journal.is_dir() {
        bail!("{} holds no Tripoise store; name one with --store DIR", folder.display());
    }
    let mut out = BufWriter::new(io::stdout().lock());
    let (mut n_faults, mut failed) = (0_usize, None);
    segment::scan(&journal, &mut |found| {
        if let Err(cause) = segment::stop_at_damage(&found) {
            eprintln!("tripoise: left out: {cause}");
            n_faults += 1;
        }
        if let (Found::Line { json, .. }, None) = (found, &failed) {
            failed = out.write_all(json).and_then(|()| out.write_all(b"\n")).err();
        }
        Ok(())
    })?;
    match failed.or_else(|| out.flush().err()) {
        Some(cause) if cause.kind() != io::ErrorKind::BrokenPipe => {
            Err(cause).context("the export could not be written; it is not complete")
        }
        _ if n_faults > 0 => Ok(ExitCode::FAILURE),
        _ => Ok(ExitCode::SUCCESS),
    }
}

impl Import {
    pub(super) fn run(self) -> anyhow::Result<ExitCode> {
        let text = if self.file == Path::new("-") {
            let mut text = Vec::new();
            io::stdin().read_to_end(&mut text).map(|_| text)
        } else {
            fs::read(&self.file)
        };
        let text = text.with_context(|| format!("could not read {}", self.file.display()))?;
        let records = read_lines(&text)?;
        let opened = JournalStore::open(&self.store.folder()?)?;
        let report = add(&opened.store, &records)?;
        opened.store.close()?;
        let Report { n_stored, n_had, n_conflicts } = report;
        println!("{n_stored} events imported, {n_had} were there already, {n_conflicts} in conflict");
        if n_conflicts > 0 {
            println!("events in conflict have the id of another event; both are kept, see the home page");
        }
        let n_unread = records.iter().filter(|record| Event::read(record).is_err()).count();
        if n_unread > 0 {
            println!(
                "{n_unread} events are of a kind or form that this version does not read; they are kept"
            );
        }
        Ok(ExitCode::SUCCESS)
    }
}

/// Reads an export's lines, or a journal's with their checksums.
///
/// # Errors   Every line that does not read, by number; no record is returned then.
pub(super) fn read_lines(text: &[u8]) -> anyhow::Result<Vec<Record>> {
    let (mut records, mut faults) = (Vec::new(), String::new());
    let mut n_faults = 0_usize;
    for (line, number) in text.split(|&byte| byte == b'\n').zip(1_usize..) {
        let line = line.trim_ascii();
        if line.is_empty() {
            continue;
        }
        match read_line(line) {
            Ok(record) => records.push(record),
            Err(cause) => {
                n_faults += 1;
                // House choice: the first 20 lines say enough; a wrong file would print thousands.
                if n_faults <= 20 {
                    write!(faults, "\n  line {number}: {cause}")?;
                }
            }
        }
    }
    if n_faults > 0 {
        bail!("nothing was imported: {n_faults} lines do not read as events; mend or take them out:{faults}");
    }
    Ok(records)
}

fn read_line(line: &[u8]) -> Result<Record, String> {
    if line.len() > MAX_RECORD_BYTES {
        return Err(format!("{} bytes is longer than an event may be ({MAX_RECORD_BYTES})", line.len()));
    }
    if line.starts_with(b"{") {
        serde_json::from_slice(line).map_err(|cause| cause.to_string())
    } else {
        crate::store::line::decode(line).map_err(|cause| cause.to_string())
    }
}

/// Adds records in one append: all or none.
pub(super) fn add(store: &dyn EventStore, records: &[Record]) -> anyhow::Result<Report> {
    let mut report = Report::default();
    for outcome in store.append(records)? {
        match outcome {
            Outcome::Stored { .. } => report.n_stored += 1,
            Outcome::AlreadyHad { .. } => report.n_had += 1,
            Outcome::Conflict { .. } => report.n_conflicts += 1,
        }
    }
    Ok(report)
}

impl Rebuild {
    pub(super) fn run(self) -> anyhow::Result<ExitCode> {
        let folder = self.store.folder()?;
        if !folder.join(JOURNAL_FOLDER).is_dir() {
            bail!("{} holds no Tripoise store; name one with --store DIR", folder.display());
        }
        if self.set_aside_damaged {
            for line in repair::set_aside_damaged(&folder)? {
                println!("{line}");
            }
        }
        let opened = JournalStore::rebuild(&folder)?;
        for note in &opened.notes {
            println!("{note}");
        }
        println!("the index holds {} events", opened.store.len());
        opened.store.close()?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Checks journal, index and fold.
pub(super) fn verify(folder: &Path) -> anyhow::Result<ExitCode> {
    let verified = check::verify(folder)?;
    let (world, skipped) = World::fold(&verified.records);
    let mut faults: Vec<String> = verified.faults.iter().map(ToString::to_string).collect();
    let backwards: Vec<Record> = verified.records.iter().rev().cloned().collect();
    if World::fold(&backwards).0 != world {
        faults.push(
            "fold: it depends on the order of arrival; this is a fault in Tripoise, please report it".into(),
        );
    }
    let (newer, wrong): (Vec<&Skipped>, Vec<_>) = skipped.iter().partition(|left_out| from_newer(left_out));
    faults.extend(wrong.iter().map(|left_out| {
        format!("fold: {} {} is kept but left out: {}", left_out.kind, left_out.id, left_out.reason)
    }));
    let photos = Photos::of_store(folder);
    let named: BTreeMap<&PhotoHash, String> =
        world.log.iter().filter_map(|entry| photo_of(&world, entry)).collect();
    let n_photos = named.len();
    faults.extend(named.into_iter().filter_map(|(hash, said)| {
        photos.check(hash).err().map(|fault| format!("photos/{hash} ({said}) {fault}"))
    }));
    for remark in &verified.remarks {
        println!("{remark}");
    }
    if !newer.is_empty() {
        println!("{} events come from a newer Tripoise; they are kept", newer.len());
    }
    for fault in &faults {
        println!("{fault}");
    }
    if faults.is_empty() {
        let kept = if n_photos == 0 { String::new() } else { format!("; all {n_photos} photos are there") };
        println!("{} events: journal, index and fold agree{kept}", verified.records.len());
        return Ok(ExitCode::SUCCESS);
    }
    println!("{} things are wrong with {}", faults.len(), folder.display());
    Ok(ExitCode::FAILURE)
}

/// The photo that an entry names, as long as it counts.
fn photo_of<'a>(world: &World, entry: &'a LogEntry) -> Option<(&'a PhotoHash, String)> {
    match entry.counting()? {
        Body::PhotoTaken(photo) => Some((&photo.sha256, history::said(world, &entry.event))),
        _ => None,
    }
}

fn from_newer(left_out: &Skipped) -> bool {
    matches!(left_out.reason, SkipReason::Unreadable(Unreadable::Kind { .. } | Unreadable::Schema { .. }))
}
