//! Appending to the journal: whole batches, on the disk before they are acknowledged, or not at all.
//!
//! A batch that could not be written is cut off again, so that a full disk leaves the journal as it was
//! and usable once there is room. After a failed sync the bytes are cut as well: the system may have
//! dropped them and would call the next sync a success.
//!
//! What this does not do: read; see [`super::segment`].
use super::StoreError;
use super::segment::{self, Tail};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// When a segment is full.
///
/// House choice: 8 MiB, about 16,000 events of 500 bytes; opens in any editor, copies in a moment.
pub const SEGMENT_BYTES: u64 = 8 << 20;

/// An open segment. A trait so that tests can make it fail.
pub trait Log: Send {
    /// Writes all of `bytes` at the end.
    ///
    /// # Errors   The system's.
    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()>;
    /// Returns when everything written is on the disk.
    ///
    /// # Errors   The system's.
    fn sync(&mut self) -> io::Result<()>;
    /// Cuts the file to `len` bytes.
    ///
    /// # Errors   The system's.
    fn cut(&mut self, len: u64) -> io::Result<()>;
}

impl Log for File {
    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        Write::write_all(self, bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.sync_data()
    }

    fn cut(&mut self, len: u64) -> io::Result<()> {
        self.set_len(len)?;
        self.sync_all()
    }
}

/// Opens segments. A trait so that tests can make it fail.
pub trait Disk: Send + Sync {
    /// Opens the segment for appending, making it if it is not there.
    ///
    /// # Errors   The system's.
    fn open(&self, path: &Path) -> io::Result<Box<dyn Log>>;
}

/// The real one.
#[derive(Clone, Copy, Debug)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn open(&self, path: &Path) -> io::Result<Box<dyn Log>> {
        let file = OpenOptions::new().append(true).create(true).open(path)?;
        Ok(Box::new(file))
    }
}

/// Makes the names in `folder` durable.
///
/// # Errors   The system's.
pub fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// The journal, open at its end.
pub struct Journal {
    folder: PathBuf,
    disk: Arc<dyn Disk>,
    log: Box<dyn Log>,
    end: End,
    segment_bytes: u64,
    /// Where to cut before the next write, when cutting failed as well.
    cut_due: Option<End>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct End {
    segment: u64,
    bytes: u64,
}

impl Journal {
    /// Opens the journal in `folder` at the end that [`segment::scan`] found; cuts a torn line.
    ///
    /// # Errors   The segment cannot be made or cut.
    pub fn open(
        folder: &Path,
        tail: &Tail,
        disk: Arc<dyn Disk>,
        segment_bytes: u64,
    ) -> Result<Self, StoreError> {
        let end = End { segment: tail.segment.max(1), bytes: tail.bytes };
        let what = segment::name(end.segment);
        let mut log = disk.open(&segment::path(folder, end.segment)).map_err(StoreError::write(&what))?;
        sync_folder(folder).map_err(StoreError::write(&what))?;
        if !tail.torn.is_empty() {
            log.cut(end.bytes).map_err(StoreError::write(&what))?;
        }
        let folder = folder.to_owned();
        let mut journal = Self { folder, disk, log, end, segment_bytes, cut_due: None };
        if tail.unended {
            journal.flush(&mut b"\n".to_vec()).map_err(StoreError::write(&what))?;
        }
        Ok(journal)
    }

    /// Writes `lines`, each with its line end, and returns when they are on the disk.
    ///
    /// # Errors   None of them is kept.
    pub fn append(&mut self, lines: &[Vec<u8>]) -> Result<(), StoreError> {
        if let Some(end) = self.cut_due {
            self.cut_back(end).map_err(StoreError::write(segment::name(end.segment)))?;
        }
        let before = self.end;
        let written = self.write(lines);
        let Err(cause) = written else { return Ok(()) };
        let failed_at = segment::name(self.end.segment);
        if let Err(cut) = self.cut_back(before) {
            tracing::error!(cause = %cut, "the journal could not be cut back after a failed write");
            self.cut_due = Some(before);
        }
        Err(StoreError::write(failed_at)(cause))
    }

    fn write(&mut self, lines: &[Vec<u8>]) -> io::Result<()> {
        let mut pending = Vec::new();
        for line in lines {
            let pending_bytes = as_u64(pending.len());
            if self.end.bytes + pending_bytes >= self.segment_bytes {
                self.flush(&mut pending)?;
                self.start_segment(self.end.segment + 1)?;
            }
            pending.extend_from_slice(line);
        }
        self.flush(&mut pending)
    }

    fn flush(&mut self, pending: &mut Vec<u8>) -> io::Result<()> {
        if pending.is_empty() {
            return Ok(());
        }
        self.log.write_all(pending)?;
        self.log.sync()?;
        self.end.bytes += as_u64(pending.len());
        pending.clear();
        Ok(())
    }

    fn start_segment(&mut self, segment: u64) -> io::Result<()> {
        self.log = self.disk.open(&segment::path(&self.folder, segment))?;
        self.end = End { segment, bytes: 0 };
        sync_folder(&self.folder)
    }

    fn cut_back(&mut self, to: End) -> io::Result<()> {
        for segment in segment::numbers(&self.folder).map_err(io::Error::other)? {
            if segment > to.segment {
                fs::remove_file(segment::path(&self.folder, segment))?;
            }
        }
        if self.end.segment != to.segment {
            self.log = self.disk.open(&segment::path(&self.folder, to.segment))?;
            sync_folder(&self.folder)?;
        }
        self.end = to;
        self.log.cut(to.bytes)?;
        self.cut_due = None;
        Ok(())
    }
}

fn as_u64(len: usize) -> u64 {
    u64::try_from(len).unwrap_or(u64::MAX)
}
