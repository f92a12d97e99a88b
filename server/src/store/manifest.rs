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

/// The mark file's name.
pub const MARK_FILE: &str = "store.mark";

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
    /// What the system said of the mark file when this was written: see [`Mark`].
    pub mark: Mark,
}

#[derive(Deserialize)]
struct FormatOnly {
    format: u64,
}

impl Manifest {
    /// A new numbering.
    #[must_use]
    pub fn fresh(mark: Mark) -> Self {
        let (epoch, device) = (Epoch(Uuid::new_v4()), DeviceId(Uuid::now_v7()));
        Self { format: FORMAT, epoch, device, mark }
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

/// How a restored store is known as one: a file is written anew at every start, and its number and time
/// of change, which the system sets and no copy carries over, are remembered. After a restore, into
/// another folder or over this one, they are others. What no file can show is a whole disk set back to an
/// earlier state; `GET /api/v1/events?last=ID` is for that.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mark(String);

impl Mark {
    /// What the system says now; empty where there is no mark file.
    #[must_use]
    pub fn of(folder: &Path) -> Self {
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            let told =
                |meta: fs::Metadata| format!("{}-{}.{:09}", meta.ino(), meta.ctime(), meta.ctime_nsec());
            Self(fs::metadata(folder.join(MARK_FILE)).map(told).unwrap_or_default())
        }
        #[cfg(not(unix))]
        {
            Self(fs::read_to_string(folder.join(MARK_FILE)).unwrap_or_default())
        }
    }

    /// Writes the mark file anew, with a content that no earlier one had.
    ///
    /// # Errors   The system's.
    pub fn renew(folder: &Path) -> Result<Self, StoreError> {
        let write = || -> io::Result<()> {
            let mut file = File::create(folder.join(MARK_FILE))?;
            writeln!(file, "{}", Uuid::new_v4())?;
            file.sync_all()
        };
        write().map_err(StoreError::write(MARK_FILE))?;
        Ok(Self::of(folder))
    }
}
