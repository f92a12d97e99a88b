//! The server: the real writer, ledger and feed on a store in memory, with backups and restores.
use crate::chance::Chance;
use serde_json::Value;
use std::sync::Arc;
use tripoise::exchange::{self, Offer};
use tripoise::ledger::Ledger;
use tripoise::store::jobs::Together;
use tripoise::store::writer::{Author, Writer};
use tripoise::store::{Draft, EventStore, MemoryStore, Recorded, StoreError, read_all};
use tripoise_core::event::Body;
use tripoise_core::ids::DeviceId;
use tripoise_core::record::Record;
use tripoise_core::sync::wire::{Asked, Feed, Taken};

pub struct Server {
    store: Arc<MemoryStore>,
    writer: Writer,
    backups: Vec<Vec<Record>>,
}

impl Server {
    pub fn new(device: DeviceId) -> Result<Self, String> {
        Self::on(MemoryStore::default(), device).map_err(|cause| cause.to_string())
    }

    fn on(store: MemoryStore, device: DeviceId) -> Result<Self, StoreError> {
        let store = Arc::new(store);
        let shared: Arc<dyn EventStore> = Arc::clone(&store) as Arc<dyn EventStore>;
        let records = read_all(shared.as_ref())?;
        let ledger = Ledger::new(Arc::clone(&shared), &records)?;
        let writer = Writer::new(shared, Author::of(device, &records), Box::new(ledger));
        Ok(Self { store, writer, backups: vec![Vec::new()] })
    }

    /// A server that holds these records.
    pub fn holding(records: Vec<Record>) -> Result<Self, String> {
        let device = DeviceId(uuid::Uuid::nil());
        Self::on(MemoryStore::restored(records), device).map_err(|cause| cause.to_string())
    }

    /// `POST /api/v1/events`, from JSON to JSON.
    pub fn post(&mut self, json: &str, all_or_none: bool, now_ms: i64) -> Result<String, String> {
        let sent: Vec<Value> = serde_json::from_str(json).map_err(|cause| cause.to_string())?;
        let together = if all_or_none { Together::AllOrNone } else { Together::Each };
        let mut offer = Offer::read(sent, now_ms, together);
        let given = self.writer.append(offer.take_accepted(), together).map_err(|cause| cause.to_string())?;
        let answers = offer.answered(given);
        let taken = Taken { epoch: self.store.epoch().0, last_seq: self.store.len(), answers };
        serde_json::to_string(&taken).map_err(|cause| cause.to_string())
    }

    /// `GET /api/v1/events`, with fewer events a page so that small feeds have several.
    pub fn get(&self, asked: &Asked, limit: usize) -> Result<String, String> {
        let asked = Asked { limit: Some(limit), ..asked.clone() };
        let feed: Feed = exchange::feed(self.store.as_ref(), &asked).map_err(|cause| cause.to_string())?;
        serde_json::to_string(&feed).map_err(|cause| cause.to_string())
    }

    /// A form posted without JavaScript.
    pub fn record(&mut self, body: Body, now_ms: i64) -> Result<Vec<Record>, String> {
        let now = jiff::Timestamp::from_millisecond(now_ms).map_err(|cause| cause.to_string())?;
        match self.writer.record(vec![Draft::from(body)], now).map_err(|cause| cause.to_string())? {
            Recorded::Stored(records) => Ok(records),
            Recorded::Refused(_) => Ok(Vec::new()),
        }
    }

    /// Whether the server would refuse this record at this moment.
    pub fn refuses(&mut self, records: &[Record], now_ms: i64) -> Result<bool, String> {
        let records: Vec<&Record> = records.iter().collect();
        let json = serde_json::to_string(&records).map_err(|cause| cause.to_string())?;
        let answer = self.post(&json, records.len() > 1, now_ms)?;
        Ok(!answer.contains("\"stored\"") && answer.contains("\"refused\""))
    }

    pub fn records(&self) -> Result<Vec<Record>, String> {
        read_all(self.store.as_ref()).map_err(|cause| cause.to_string())
    }

    pub fn epoch(&self) -> uuid::Uuid {
        self.store.epoch().0
    }

    pub fn back_up(&mut self) -> Result<(), String> {
        self.backups.push(self.records()?);
        Ok(())
    }

    /// Set back to one of the backups, under a new epoch, and as a new device when it records itself.
    pub fn restore(&mut self, chance: &mut Chance) -> Result<(), String> {
        let records = chance.pick(&self.backups).cloned().unwrap_or_default();
        let backups = std::mem::take(&mut self.backups);
        let device = DeviceId(chance.uuid());
        *self = Self::on(MemoryStore::restored(records), device).map_err(|cause| cause.to_string())?;
        self.backups = backups;
        Ok(())
    }
}
