//! What can go wrong in the store, in words that say what to do next.
//!
//! What this does not do: HTTP. `crate::error` turns these into answers.
use std::io;
use std::path::PathBuf;
use thiserror::Error;
use tripoise_core::ids::EventId;

/// A failure of the store.
#[derive(Debug, Error)]
pub enum StoreError {
    /// Another process holds the store.
    #[error(
        "another Tripoise has this store open (process {process}): {folder}; stop it first, or name another folder with --store"
    )]
    InUse {
        /// The other process's number, or `unknown`.
        process: String,
        /// The store.
        folder: PathBuf,
    },
    /// Written by a newer version.
    #[error(
        "the store {folder} is of format {found} and this Tripoise reads up to {known}; nothing was changed; start the newer Tripoise that made it"
    )]
    Newer {
        /// The store.
        folder: PathBuf,
        /// Its format.
        found: u64,
        /// The newest format this build reads.
        known: u64,
    },
    /// A folder with other things in it.
    #[error("{folder} is not empty and holds no Tripoise store; name an empty folder with --store")]
    NotAStore {
        /// The folder.
        folder: PathBuf,
    },
    /// `store.json` does not read.
    #[error(
        "{file} does not read as a store's description ({cause}); restore it from a backup, or move it away: the journal beside it is enough to go on"
    )]
    Manifest {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        cause: String,
    },
    /// A line of the journal is damaged, and not as a torn write would leave it.
    #[error(
        "journal segment {segment}, line {line}: {cause}; restore the store from a backup, or run `tripoise rebuild --set-aside-damaged` to go on without such lines (they are kept beside the journal)"
    )]
    Damaged {
        /// The segment's file name.
        segment: String,
        /// The line in it, from 1.
        line: u64,
        /// What is wrong with it.
        cause: String,
    },
    /// A segment is missing between two others.
    #[error(
        "journal segment {missing} is missing; restore the store from a backup, or run `tripoise rebuild --set-aside-damaged` to go on without it"
    )]
    MissingSegment {
        /// The missing file's name.
        missing: String,
    },
    /// A record is longer than the store keeps.
    #[error(
        "event {id} is {bytes} bytes long and at most {max} are kept; leave out what is not needed and send it again"
    )]
    TooLong {
        /// The record.
        id: EventId,
        /// Its length as JSON.
        bytes: usize,
        /// The limit.
        max: usize,
    },
    /// A write did not succeed; nothing of the batch was kept.
    #[error("could not write {what} ({cause}); nothing was recorded; make room on the disk and try again")]
    Write {
        /// The file.
        what: String,
        /// The system's word.
        #[source]
        cause: io::Error,
    },
    /// A read did not succeed.
    #[error("could not read {what} ({cause}); check the disk and the folder's permissions")]
    Read {
        /// The file.
        what: String,
        /// The system's word.
        #[source]
        cause: io::Error,
    },
    /// The index failed and could not be built again.
    #[error(
        "the index cannot be used ({cause}); the journal holds every event; make room on the disk and start again, or run `tripoise rebuild`"
    )]
    Index {
        /// What the engine said.
        cause: String,
    },
    /// A record could not be written as JSON, or read back.
    #[error("an event could not be written as JSON ({0}); this is a fault in Tripoise, please report it")]
    Json(#[from] serde_json::Error),
    /// The store was closed.
    #[error("the store is closed; start Tripoise again")]
    Closed,
}

impl StoreError {
    /// A failed write of `what`.
    pub fn write(what: impl Into<String>) -> impl FnOnce(io::Error) -> Self {
        let what = what.into();
        move |cause| Self::Write { what, cause }
    }

    /// A failed read of `what`.
    pub fn read(what: impl Into<String>) -> impl FnOnce(io::Error) -> Self {
        let what = what.into();
        move |cause| Self::Read { what, cause }
    }
}
