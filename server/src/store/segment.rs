//! The journal's files, and reading them from the first line to the last.
//!
//! A segment is `events-000001.txt` and so on, numbered without gaps, about 8 MiB each. An event's
//! number is its line's place when all segments are read one after the other.
//!
//! What this does not do: decide. It tells a visitor what it found; [`super::open`] stops at damage and
//! [`super::verify`] lists all of it.
use super::StoreError;
use super::line::{self, LineError};
use std::fs;
use std::path::{Path, PathBuf};
use tripoise_core::record::Record;

/// The folder of the segments, in the store's folder.
pub const JOURNAL_FOLDER: &str = "journal";

/// A segment's file name.
#[must_use]
pub fn name(number: u64) -> String {
    format!("events-{number:06}.txt")
}

/// A segment's path.
#[must_use]
pub fn path(folder: &Path, number: u64) -> PathBuf {
    folder.join(name(number))
}

/// One thing found in the journal.
#[derive(Debug)]
pub enum Found<'a> {
    /// A line that reads.
    Line {
        /// The event's number, from 1.
        seq: u64,
        /// Its text, as JSON.
        json: &'a [u8],
        /// The event.
        record: Record,
        /// Where it stands.
        place: Place,
    },
    /// A line that does not read.
    Damaged {
        /// The line as it stands.
        text: &'a [u8],
        /// Where it stands.
        place: Place,
        /// What is wrong with it.
        cause: LineError,
    },
    /// A segment that is not there although a later one is.
    Missing {
        /// Its number.
        segment: u64,
    },
}

/// A line's place: segment and line in it, both from 1.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Place {
    /// The segment.
    pub segment: u64,
    /// The line.
    pub line: u64,
}

/// How the journal ends.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tail {
    /// The last segment's number; 0 when there is none.
    pub segment: u64,
    /// The bytes of it up to the end of its last whole line.
    pub bytes: u64,
    /// What stands behind them: a write that was cut off.
    pub torn: Vec<u8>,
    /// Whether the last whole line lacks only its line end.
    pub unended: bool,
    /// How many lines read.
    pub n_events: u64,
}

/// The numbers of the segments in `folder`, in order.
///
/// # Errors   The folder cannot be read.
pub fn numbers(folder: &Path) -> Result<Vec<u64>, StoreError> {
    let what = || folder.display().to_string();
    let mut numbers = Vec::new();
    for entry in fs::read_dir(folder).map_err(StoreError::read(what()))? {
        let file = entry.map_err(StoreError::read(what()))?.file_name();
        let digits = file.to_str().and_then(|text| text.strip_prefix("events-")?.strip_suffix(".txt"));
        if let Some(number) = digits.and_then(|digits| digits.parse().ok()) {
            numbers.push(number);
        }
    }
    numbers.sort_unstable();
    Ok(numbers)
}

/// Reads the journal in `folder` and tells `visit` of everything found, in order.
///
/// # Returns  How it ends.
/// # Errors   A file cannot be read, or the visitor's own.
pub fn scan(
    folder: &Path,
    visit: &mut dyn FnMut(Found<'_>) -> Result<(), StoreError>,
) -> Result<Tail, StoreError> {
    let mut tail = Tail::default();
    let numbers = numbers(folder)?;
    let last = numbers.last().copied().unwrap_or(0);
    for segment in 1..=last {
        if numbers.binary_search(&segment).is_err() {
            visit(Found::Missing { segment })?;
            continue;
        }
        let path = path(folder, segment);
        let bytes = fs::read(&path).map_err(StoreError::read(path.display().to_string()))?;
        tail.segment = segment;
        scan_segment(&bytes, segment == last, &mut tail, visit)?;
    }
    Ok(tail)
}

fn scan_segment(
    bytes: &[u8],
    is_last: bool,
    tail: &mut Tail,
    visit: &mut dyn FnMut(Found<'_>) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let whole = bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1);
    let (lines, rest) = bytes.split_at(whole);
    let mut place = Place { segment: tail.segment, line: 0 };
    for text in lines.split_inclusive(|&byte| byte == b'\n') {
        place.line += 1;
        let text = text.strip_suffix(b"\n").unwrap_or(text);
        visit_line(text, line::decode(text), place, tail, visit)?;
    }
    tail.bytes = u64::try_from(whole).unwrap_or(u64::MAX);
    tail.unended = false;
    if rest.is_empty() {
        return Ok(());
    }
    place.line += 1;
    match line::decode(rest) {
        Ok(record) => {
            visit_line(rest, Ok(record), place, tail, visit)?;
            tail.bytes = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
            tail.unended = true;
        }
        Err(_) if is_last => tail.torn = rest.to_vec(),
        Err(cause) => visit(Found::Damaged { text: rest, place, cause })?,
    }
    Ok(())
}

fn visit_line(
    text: &[u8],
    read: Result<Record, LineError>,
    place: Place,
    tail: &mut Tail,
    visit: &mut dyn FnMut(Found<'_>) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    match read {
        Ok(record) => {
            tail.n_events += 1;
            let json = line::json_of(text);
            visit(Found::Line { seq: tail.n_events, json, record, place })
        }
        Err(cause) => visit(Found::Damaged { text, place, cause }),
    }
}

/// The error that stops a start at `found`, if it is not a line that reads.
///
/// # Errors   [`StoreError::Damaged`] or [`StoreError::MissingSegment`].
pub fn stop_at_damage(found: &Found<'_>) -> Result<(), StoreError> {
    match found {
        Found::Line { .. } => Ok(()),
        Found::Damaged { place, cause, .. } => Err(damaged(*place, cause.to_string())),
        Found::Missing { segment } => Err(StoreError::MissingSegment { missing: name(*segment) }),
    }
}

/// The error for the line at `place`.
#[must_use]
pub fn damaged(place: Place, cause: String) -> StoreError {
    StoreError::Damaged { segment: name(place.segment), line: place.line, cause }
}
