//! Records that were offered under an id which another event already has: kept beside the journal in
//! `conflicts.txt`, in the journal's own line format, so that a person can see both and decide.
//!
//! What this does not do: fold them. They count for nothing until someone records a correction.
use super::journal::{Disk, Log, sync_folder};
use super::{Fault, StoreError, line};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use tripoise_core::record::Record;

/// The file's name, in the store's folder.
pub const CONFLICTS_FILE: &str = "conflicts.txt";

/// The open file.
pub struct Conflicts {
    path: PathBuf,
    log: Option<Box<dyn Log>>,
    bytes: u64,
    known: BTreeSet<Vec<u8>>,
}

impl Conflicts {
    /// Reads what is there; the file is made with the first conflict.
    ///
    /// # Errors   It cannot be read.
    pub fn open(store: &Path) -> Result<Self, StoreError> {
        let path = store.join(CONFLICTS_FILE);
        let text = read(&path)?;
        let known = lines(&text).map(<[u8]>::to_vec).collect();
        let bytes = u64::try_from(text.len()).unwrap_or(u64::MAX);
        Ok(Self { path, log: None, bytes, known })
    }

    /// Keeps the records, durably; one that is kept already is not kept twice.
    ///
    /// # Errors   None of them is kept.
    pub fn keep(&mut self, records: &[&Record], disk: &dyn Disk) -> Result<(), StoreError> {
        let mut new = Vec::new();
        for record in records {
            let mut line = line::encode(record)?;
            line.pop();
            if !self.known.contains(&line) && !new.contains(&line) {
                new.push(line);
            }
        }
        if new.is_empty() {
            return Ok(());
        }
        let mut text = new.join(&b'\n');
        text.push(b'\n');
        self.write(&text, disk).map_err(StoreError::write(CONFLICTS_FILE))?;
        self.known.extend(new);
        Ok(())
    }

    /// Every record kept here that reads.
    #[must_use]
    pub fn records(&self) -> Vec<Record> {
        self.known.iter().filter_map(|line| line::decode(line).ok()).collect()
    }

    fn write(&mut self, text: &[u8], disk: &dyn Disk) -> io::Result<()> {
        let mut log = match self.log.take() {
            Some(log) => log,
            None => self.reopen(disk)?,
        };
        // On failure the file is opened and cut again before the next write.
        log.write_all(text).and_then(|()| log.sync())?;
        self.bytes += u64::try_from(text.len()).unwrap_or(0);
        self.log = Some(log);
        Ok(())
    }

    fn reopen(&self, disk: &dyn Disk) -> io::Result<Box<dyn Log>> {
        let mut log = disk.open(&self.path)?;
        log.cut(self.bytes)?;
        if let Some(folder) = self.path.parent() {
            sync_folder(folder)?;
        }
        Ok(log)
    }
}

/// The lines of the file that do not read, as faults.
///
/// # Errors   It cannot be read.
pub fn check(store: &Path) -> Result<Vec<Fault>, StoreError> {
    let text = read(&store.join(CONFLICTS_FILE))?;
    let faults = lines(&text).zip(1_u64..).filter_map(|(line, at)| {
        let cause = line::decode(line).err()?;
        let part = format!("{CONFLICTS_FILE} line {at}");
        let what = format!("{cause}; restore the file from a backup, or take the line out");
        Some(Fault { part, what })
    });
    Ok(faults.collect())
}

fn read(path: &Path) -> Result<Vec<u8>, StoreError> {
    match fs::read(path) {
        Ok(text) => Ok(text),
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(cause) => Err(StoreError::read(path.display().to_string())(cause)),
    }
}

fn lines(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    text.split(|&byte| byte == b'\n').filter(|line| !line.is_empty())
}
