//! `store.json`: the store's format, its epoch, and who the server is when it records by itself.
//!
//! What this does not do: hold events. Losing the file costs one full exchange with every phone.
use super::{Epoch, StoreError, journal};
use serde::{Deserialize, Serialize};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tripoise_core::ids::DeviceId;
use uuid::Uuid;

/// The newest format that this build reads, and the one it writes.
pub const FORMAT: u64 = 1;

/// The file's name.
pub const MANIFEST_FILE: &str = "store.json";

/// What `store.json` says.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// The store's format.
    pub format: u64,
    /// The numbering in force.
    pub epoch: Epoch,
    /// The server as a device: forms posted without JavaScript are recorded under it. New with the
    /// epoch, so that after a restore its own counter never meets events that phones still hold.
    pub device: DeviceId,
    /// The file number of the lock file when this was written. A copy of the folder has another one, and
    /// is a restore.
    pub folder_mark: u64,
}

#[derive(Deserialize)]
struct FormatOnly {
    format: u64,
}

impl Manifest {
    /// A new numbering for the store whose lock file has the number `folder_mark`.
    #[must_use]
    pub fn fresh(folder_mark: u64) -> Self {
        let (epoch, device) = (Epoch(Uuid::new_v4()), DeviceId(Uuid::now_v7()));
        Self { format: FORMAT, epoch, device, folder_mark }
    }

    /// Reads the file; `None` when there is none.
    ///
    /// # Errors   [`StoreError::Newer`], or it does not read.
    pub fn read(folder: &Path) -> Result<Option<Self>, StoreError> {
        let file = folder.join(MANIFEST_FILE);
        let text = match fs::read_to_string(&file) {
            Ok(text) => text,
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(cause) => return Err(StoreError::read(file.display().to_string())(cause)),
        };
        let bad =
            |cause: serde_json::Error| StoreError::Manifest { file: file.clone(), cause: cause.to_string() };
        let FormatOnly { format } = serde_json::from_str(&text).map_err(bad)?;
        if format > FORMAT {
            let folder = folder.to_owned();
            return Err(StoreError::Newer { folder, found: format, known: FORMAT });
        }
        serde_json::from_str(&text).map(Some).map_err(bad)
    }

    /// Writes the file so that at every moment either the old or the new one is there.
    ///
    /// # Errors   The system's.
    pub fn write(&self, folder: &Path) -> Result<(), StoreError> {
        let (file, new): (PathBuf, PathBuf) = (folder.join(MANIFEST_FILE), folder.join("store.json.new"));
        let text = serde_json::to_string_pretty(self)?;
        let write = || -> io::Result<()> {
            let mut out = File::create(&new)?;
            writeln!(out, "{text}")?;
            out.sync_all()?;
            fs::rename(&new, &file)?;
            journal::sync_folder(folder)
        };
        write().map_err(StoreError::write(MANIFEST_FILE))
    }
}

/// The file number of the store's lock file, or 0 where the system has none.
#[must_use]
pub fn folder_mark(folder: &Path) -> u64 {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        fs::metadata(folder.join(super::lock::LOCK_FILE)).map_or(0, |meta| meta.ino())
    }
    #[cfg(not(unix))]
    {
        let _ = folder;
        0
    }
}
