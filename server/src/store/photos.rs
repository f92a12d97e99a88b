//! Photos: files named by their SHA-256 in the store's folder `photos/`, beside the journal that names them.
//!
//! A file is written whole under another name, synced, and then renamed: a photo is there in full or not at all,
//! and keeping it twice changes nothing. What this does not do: delete. An entry that was taken back still says
//! what it showed, and a file that no entry names does no harm.
use super::StoreError;
use super::journal::sync_folder;
use sha2::{Digest, Sha256};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tripoise_core::photo::PhotoHash;

/// The folder's name.
pub const PHOTOS_FOLDER: &str = "photos";

/// The photos of one store.
#[derive(Clone, Debug)]
pub struct Photos {
    folder: PathBuf,
}

/// What became of a photo that was offered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PhotoOutcome {
    /// Durable now.
    Stored,
    /// The same file was here already.
    AlreadyHad,
}

/// What is wrong with a photo that an entry names.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PhotoFault {
    /// Its file is not there.
    #[error("is not there; copy it from a backup's photos folder, or wait for the phone that took it")]
    Missing,
    /// Its file holds something else.
    #[error("does not hold what it is named by; put the backup's file in its place")]
    Damaged,
    /// Its file cannot be read.
    #[error("cannot be read ({0}); check the disk")]
    Unreadable(String),
}

/// The name of a photo by its content.
#[must_use]
pub fn hash_of(content: &[u8]) -> PhotoHash {
    PhotoHash::of_digest(Sha256::digest(content).into())
}

impl Photos {
    /// The photos of the store in `folder`. The folder inside it is made when the first photo comes.
    #[must_use]
    pub fn of_store(folder: &Path) -> Self {
        Self { folder: folder.join(PHOTOS_FOLDER) }
    }

    /// Where a photo is.
    #[must_use]
    pub fn path(&self, hash: &PhotoHash) -> PathBuf {
        self.folder.join(hash.as_str())
    }

    /// Keeps a photo; when it returns, a power cut loses nothing.
    ///
    /// # Errors   The disk's: it is full, or cannot be written.
    pub fn keep(&self, content: &[u8]) -> Result<(PhotoHash, PhotoOutcome), StoreError> {
        let hash = hash_of(content);
        if self.check(&hash).is_ok() {
            return Ok((hash, PhotoOutcome::AlreadyHad));
        }
        self.write(&hash, content).map_err(StoreError::write(self.path(&hash).display().to_string()))?;
        Ok((hash, PhotoOutcome::Stored))
    }

    fn write(&self, hash: &PhotoHash, content: &[u8]) -> io::Result<()> {
        if !self.folder.is_dir() {
            fs::create_dir_all(&self.folder)?;
            if let Some(store) = self.folder.parent() {
                sync_folder(store)?;
            }
        }
        let mut file = tempfile::Builder::new().prefix(".new-").tempfile_in(&self.folder)?;
        file.write_all(content)?;
        file.as_file().sync_all()?;
        file.persist(self.path(hash)).map_err(|cause| cause.error)?;
        sync_folder(&self.folder)
    }

    /// A photo's content; none where it is not here.
    ///
    /// # Errors   It cannot be read.
    pub fn read(&self, hash: &PhotoHash) -> io::Result<Option<Vec<u8>>> {
        match fs::read(self.path(hash)) {
            Ok(content) => Ok(Some(content)),
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(cause) => Err(cause),
        }
    }

    /// Whether a photo is here as it should be.
    ///
    /// # Errors   [`PhotoFault`]: what is wrong and what to do.
    pub fn check(&self, hash: &PhotoHash) -> Result<(), PhotoFault> {
        match self.read(hash) {
            Ok(None) => Err(PhotoFault::Missing),
            Ok(Some(content)) if hash_of(&content) == *hash => Ok(()),
            Ok(Some(_)) => Err(PhotoFault::Damaged),
            Err(cause) => Err(PhotoFault::Unreadable(cause.to_string())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_photo_is_kept_once_read_back_and_missed_when_it_is_gone() -> Result<(), Box<dyn std::error::Error>> {
        let store = tempfile::tempdir()?;
        let photos = Photos::of_store(store.path());
        // SHA-256 of "abc" (FIPS 180-4, the example of the standard).
        let name = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let (hash, outcome) = photos.keep(b"abc")?;
        assert_eq!((hash.as_str(), outcome), (name, PhotoOutcome::Stored));
        assert_eq!(photos.keep(b"abc")?.1, PhotoOutcome::AlreadyHad);
        assert_eq!(photos.read(&hash)?.as_deref(), Some(&b"abc"[..]));
        assert_eq!(fs::read_dir(store.path().join(PHOTOS_FOLDER))?.count(), 1, "no half-written file stays");
        fs::write(photos.path(&hash), b"abd")?;
        assert_eq!(photos.check(&hash), Err(PhotoFault::Damaged));
        // Offered again, a damaged file is mended.
        assert_eq!(photos.keep(b"abc")?.1, PhotoOutcome::Stored);
        assert_eq!(photos.check(&hash), Ok(()));
        fs::remove_file(photos.path(&hash))?;
        assert_eq!(photos.check(&hash), Err(PhotoFault::Missing));
        assert_eq!(photos.read(&hash)?, None);
        Ok(())
    }
}
