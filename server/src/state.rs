//! What every handler shares: the writer, the newest world, what the start had to report.
//!
//! What this does not do: know about pages or HTTP.
use crate::access::Access;
use crate::ledger::{Current, Ledger, Snapshot};
use crate::store::photos::Photos;
use crate::store::writer::Author;
use crate::store::{Draft, EventStore, Opened, Recorded, StoreError, StoreHandle, read_all};
use jiff::Timestamp;
use std::sync::Arc;
use tripoise_core::ids::DeviceId;
use tripoise_core::world::World;

/// Shared by every handler; cheap to clone.
#[derive(Clone)]
pub struct AppState {
    /// The way to the store.
    pub store: StoreHandle,
    /// Who may come in.
    pub access: Arc<Access>,
    /// What opening the store had to report, one line each, for the home page.
    pub notes: Arc<[String]>,
    /// The photos beside the journal.
    pub photos: Photos,
    current: Current,
}

impl AppState {
    /// Folds an opened store and starts its writer.
    ///
    /// # Errors   The store cannot be read.
    pub fn start(opened: Opened, access: Arc<Access>) -> Result<Self, StoreError> {
        let notes = opened.notes.iter().map(ToString::to_string).collect();
        let (device, photos) = (opened.store.device(), Photos::of_store(opened.store.folder()));
        Self::on(Arc::new(opened.store), device, photos, notes, access)
    }

    /// The same on any engine.
    ///
    /// # Errors   The store cannot be read.
    pub fn on(
        store: Arc<dyn EventStore>,
        device: DeviceId,
        photos: Photos,
        notes: Vec<String>,
        access: Arc<Access>,
    ) -> Result<Self, StoreError> {
        let records = read_all(store.as_ref())?;
        let author = Author::of(device, &records);
        let ledger = Ledger::new(Arc::clone(&store), &records)?;
        let current = ledger.current();
        let store = StoreHandle::start(store, author, Box::new(ledger))?;
        Ok(Self { store, access, notes: notes.into(), photos, current })
    }

    /// The newest world with what was left out of it.
    #[must_use]
    pub fn snapshot(&self) -> Arc<Snapshot> {
        self.current.get()
    }

    /// The newest world.
    #[must_use]
    pub fn world(&self) -> Arc<World> {
        Arc::clone(&self.snapshot().world)
    }

    /// Records events as the server's own, all or none, for a form posted without JavaScript. When it
    /// returns `Stored`, they are durable and part of [`AppState::world`].
    ///
    /// # Errors   None of them is stored; the text says why and what to do.
    pub async fn record(&self, drafts: Vec<Draft>, now: Timestamp) -> Result<Recorded, StoreError> {
        self.store.record(drafts, now).await
    }
}
