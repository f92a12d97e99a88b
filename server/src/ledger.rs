//! The server's copy of the world: folded at the start, moved on with every batch that is stored.
//!
//! This is the only place of the server that calls the fold. Readers get an [`Arc`] of a finished
//! [`Snapshot`] and are never waited for; the writer swaps in the next one before it answers.
//!
//! What this does not do: store anything; it can be thrown away and folded again at any time.
use crate::store::writer::Witness;
use crate::store::{EventStore, StoreError, read_all};
use std::collections::BTreeSet;
use std::sync::{Arc, PoisonError, RwLock};
use tripoise_core::event::{Event, Unreadable};
use tripoise_core::ids::EventId;
use tripoise_core::record::Record;
use tripoise_core::world::check::{self, Problem};
use tripoise_core::world::{Skipped, World};

/// The world as of one event number.
#[derive(Clone, Debug, Default)]
pub struct Snapshot {
    /// The world.
    pub world: Arc<World>,
    /// The records that could not become part of it, and why.
    pub skipped: Arc<Vec<Skipped>>,
    /// How many records were offered under an id that another event has.
    pub n_conflicts: usize,
}

/// Where readers find the newest snapshot; clones share it.
#[derive(Clone, Debug, Default)]
pub struct Current(Arc<RwLock<Arc<Snapshot>>>);

impl Current {
    /// The newest snapshot.
    #[must_use]
    pub fn get(&self) -> Arc<Snapshot> {
        Arc::clone(&self.0.read().unwrap_or_else(PoisonError::into_inner))
    }

    fn set(&self, snapshot: Snapshot) {
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(snapshot);
    }
}

/// Keeps [`Current`] up to date.
pub struct Ledger {
    store: Arc<dyn EventStore>,
    current: Current,
    /// Ids that a correction or a withdrawal names: when one of them arrives late, it needs a fold.
    named: BTreeSet<EventId>,
    /// The world as it would be if the batch under way is stored.
    tentative: Option<World>,
}

impl Ledger {
    /// Folds `records`, which are all that `store` holds.
    ///
    /// # Errors   The store cannot be read.
    pub fn new(store: Arc<dyn EventStore>, records: &[Record]) -> Result<Self, StoreError> {
        let current = Current::default();
        let mut ledger = Self { store, current, named: BTreeSet::new(), tentative: None };
        ledger.fold(records)?;
        Ok(ledger)
    }

    /// Where readers look.
    #[must_use]
    pub fn current(&self) -> Current {
        self.current.clone()
    }

    fn fold(&mut self, records: &[Record]) -> Result<(), StoreError> {
        let (world, skipped) = World::fold(records);
        self.named = world.log.iter().flat_map(|entry| entry.event.names()).collect();
        let n_conflicts = self.store.conflicts()?.len();
        let (world, skipped) = (Arc::new(world), Arc::new(skipped));
        self.current.set(Snapshot { world, skipped, n_conflicts });
        Ok(())
    }

    /// The next snapshot, if each of `stored` comes after every event so far and changes none of them.
    fn follow_on(&self, stored: &[Record]) -> Result<Option<Snapshot>, StoreError> {
        let now = self.current.get();
        let (mut world, mut skipped) = (World::clone(&now.world), Vec::clone(&now.skipped));
        for record in stored {
            let Ok(event) = Event::read(record) else { return Ok(None) };
            let last = world.log.last().map(|entry| entry.event.order());
            let changes_others = event.names().next().is_some() || self.named.contains(&event.id);
            if changes_others || last.is_some_and(|last| event.order() <= last) {
                return Ok(None);
            }
            if let Err(reason) = world.append(event) {
                skipped.push(Skipped { id: record.id, kind: record.kind.clone(), reason });
            }
        }
        let n_conflicts = self.store.conflicts()?.len();
        let (world, skipped) = (Arc::new(world), Arc::new(skipped));
        Ok(Some(Snapshot { world, skipped, n_conflicts }))
    }

    fn move_on(&mut self, stored: &[Record]) -> Result<(), StoreError> {
        if let Some(next) = self.follow_on(stored)? {
            self.current.set(next);
            return Ok(());
        }
        let records = read_all(self.store.as_ref())?;
        self.fold(&records)
    }
}

impl Witness for Ledger {
    fn look(&mut self, record: &Record) -> Vec<Problem> {
        let event = match Event::read(record) {
            Ok(event) => event,
            Err(Unreadable::Body { cause, .. }) => return vec![Problem::new("body", cause)],
            // From a newer version: kept, counted and shown, for this server to read once it is newer too.
            Err(Unreadable::Kind { .. } | Unreadable::Schema { .. }) => return Vec::new(),
        };
        let tentative = self.tentative.get_or_insert_with(|| World::clone(&self.current.get().world));
        if tentative.entry(event.id).is_some() {
            return Vec::new(); // Known already: the store says whether it is the same.
        }
        let mut problems = check::problems(tentative, &event);
        problems.retain(|problem| !problem.ask);
        if problems.is_empty() {
            // Only for looking at the rest of the batch: a skip is reported when the batch is stored.
            drop(tentative.append(event));
        }
        problems
    }

    fn keep(&mut self, stored: &[Record]) {
        self.tentative = None;
        if let Err(cause) = self.move_on(stored) {
            tracing::error!(%cause, "pages show an older state: the store could not be read again");
        }
    }

    fn forget(&mut self) {
        self.tentative = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::MemoryStore;
    use proptest::prelude::*;
    use tripoise_core::event::{Body, EventsWithdrawn, SCHEMA, SettingChanged};
    use tripoise_core::ids::DeviceId;
    use tripoise_core::record::Hlc;
    use tripoise_core::settings::SettingKey;
    use uuid::Uuid;

    fn id(number: u64) -> EventId {
        EventId(Uuid::from_u128(u128::from(number)))
    }

    fn record(number: u64, corrects: Option<u64>, body: impl Into<Body>) -> Record {
        let event = Event {
            id: id(number),
            device: DeviceId(Uuid::from_u128(7)),
            device_seq: number,
            hlc: Hlc(number << 16),
            observed_at: jiff::Timestamp::UNIX_EPOCH,
            corrects: corrects.map(id),
            body: body.into(),
        };
        event.write().unwrap_or_else(|cause| panic!("{cause}"))
    }

    fn setting(number: u64, corrects: Option<u64>, value: i64) -> Record {
        let (text, reason) = (value.to_string(), "a test".to_owned());
        record(number, corrects, SettingChanged { key: SettingKey::SpreadGood, value, text, reason })
    }

    /// What can arrive: settings (some out of range), corrections, withdrawals, one of a newer kind.
    fn any_record(number: u64) -> BoxedStrategy<Record> {
        let other = 1_u64..13;
        let withdrawal = move |events: Vec<u64>| {
            let events = events.into_iter().map(id).collect();
            record(number, None, EventsWithdrawn { events, reason: String::new() })
        };
        prop_oneof![
            4 => (0_i64..20_000_000).prop_map(move |value| setting(number, None, value)),
            1 => other.clone().prop_map(move |target| setting(number, Some(target), 700_000)),
            1 => prop::collection::vec(other, 1..3).prop_map(withdrawal),
            1 => Just(Record { kind: "from_tomorrow".to_owned(), ..setting(number, None, 1) }),
            1 => Just(Record { schema: SCHEMA + 1, ..setting(number, None, 1) }),
        ]
        .boxed()
    }

    /// Records in any order, how many of them were there before (an import judges nothing), batch size.
    fn any_arrival() -> impl Strategy<Value = (Vec<Record>, usize, usize)> {
        let records: Vec<_> = (1..=12).map(any_record).collect();
        (records.prop_shuffle(), 0_usize..8, 1_usize..5)
    }

    fn is_the_fold(store: &dyn EventStore, current: &Current) -> Result<(), StoreError> {
        let (world, mut skipped) = World::fold(&read_all(store)?);
        let now = current.get();
        assert_eq!(*now.world, world);
        let mut kept = Vec::clone(&now.skipped);
        kept.sort_by_key(|one| one.id);
        skipped.sort_by_key(|one| one.id);
        assert_eq!(kept, skipped);
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

        #[test]
        fn in_whatever_order_events_arrive_it_is_the_fold((records, n_first, n_batch) in any_arrival()) {
            let store: Arc<dyn EventStore> = Arc::new(MemoryStore::default());
            let (first, later) = records.split_at(n_first);
            store.append(first)?;
            let mut ledger = Ledger::new(Arc::clone(&store), first)?;
            for batch in later.chunks(n_batch) {
                let taken: Vec<Record> =
                    batch.iter().filter(|record| ledger.look(record).is_empty()).cloned().collect();
                store.append(&taken)?;
                ledger.keep(&taken);
                is_the_fold(store.as_ref(), &ledger.current())?;
            }
        }
    }

    #[test]
    fn a_batch_builds_on_itself_and_is_forgotten_when_it_was_not_stored() -> Result<(), StoreError> {
        let mut ledger = Ledger::new(Arc::new(MemoryStore::default()), &[])?;
        assert_eq!(ledger.look(&setting(1, None, 600_000)), []);
        assert_eq!(ledger.look(&setting(2, Some(1), 700_000)), [], "it corrects one of the same batch");
        ledger.forget();
        assert_eq!(ledger.look(&setting(2, Some(1), 700_000))[0].field, "corrects");
        Ok(())
    }

    #[test]
    fn a_body_that_does_not_fit_is_refused_and_a_newer_kind_is_not() -> Result<(), StoreError> {
        let mut ledger = Ledger::new(Arc::new(MemoryStore::default()), &[])?;
        let bent = Record { body: serde_json::json!({}), ..setting(1, None, 1) };
        assert_eq!(ledger.look(&bent)[0].field, "body");
        assert_eq!(ledger.look(&Record { kind: "from_tomorrow".to_owned(), ..bent }), []);
        Ok(())
    }
}
