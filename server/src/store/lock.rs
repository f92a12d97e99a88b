//! The lock on a store: one process at a time, told by name when it is not this one.
//!
//! The lock is the operating system's (it goes when the process does, however it ends); the number in
//! the file is only for the message.
use super::StoreError;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::Path;

/// The lock file's name.
pub const LOCK_FILE: &str = "store.lock";

/// A held lock; dropping it lets go.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

impl Lock {
    /// Takes the lock of the store in `folder`, which exists.
    ///
    /// # Errors   [`StoreError::InUse`] with the other process's number; or the file cannot be made.
    pub fn take(folder: &Path) -> Result<Self, StoreError> {
        let path = folder.join(LOCK_FILE);
        let what = || path.display().to_string();
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(StoreError::write(what()))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let folder = folder.to_owned();
                return Err(StoreError::InUse { process: holder(&mut file), folder });
            }
            Err(TryLockError::Error(cause)) => return Err(StoreError::write(what())(cause)),
        }
        // On a full disk the number is missing; the lock holds all the same.
        if let Err(cause) = write_holder(&mut file) {
            tracing::warn!(%cause, "could not write this process's number into the lock file");
        }
        Ok(Self { _file: file })
    }
}

fn write_holder(file: &mut File) -> std::io::Result<()> {
    file.set_len(0)?;
    file.rewind()?;
    writeln!(file, "{}", std::process::id())
}

fn holder(file: &mut File) -> String {
    let mut text = String::new();
    match file.read_to_string(&mut text) {
        Ok(_) if !text.trim().is_empty() => text.trim().to_owned(),
        _ => "unknown".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_is_refused_with_the_first_one_s_number() -> Result<(), Box<dyn std::error::Error>> {
        let folder = tempfile::tempdir()?;
        let held = Lock::take(folder.path())?;
        let refused = Lock::take(folder.path()).err().map(|err| err.to_string());
        let me = format!("another Tripoise has this store open (process {})", std::process::id());
        assert!(refused.as_ref().is_some_and(|text| text.starts_with(&me)), "{refused:?}");
        drop(held);
        Lock::take(folder.path())?;
        Ok(())
    }
}
