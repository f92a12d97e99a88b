//! One suite for every engine: the same assertions, whichever keeps the events.
//!
//! A new engine is one [`Bench`] and one line at the end.
use super::{EventStore, JournalStore, MAX_RECORD_BYTES, MemoryStore, Numbered, Outcome, StoreError};
use proptest::prelude::*;
use std::collections::BTreeMap;
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::{Hlc, Record};
use uuid::Uuid;

type Done = Result<(), StoreError>;

/// An event that differs from every other number's.
pub fn record(number: u64) -> Record {
    Record {
        id: EventId(Uuid::from_u128(u128::from(number))),
        device: DeviceId(Uuid::from_u128(1 << 100)),
        device_seq: number,
        hlc: Hlc(number << 16),
        hlc_claimed: None,
        observed_at: jiff::Timestamp::UNIX_EPOCH,
        corrects: None,
        kind: "note_added".to_owned(),
        schema: 1,
        body: serde_json::json!({ "text": format!("number {number}: é\n\"quoted\"") }),
    }
}

/// The same id with something else in it.
pub fn other(number: u64) -> Record {
    let body = serde_json::json!({ "text": "another" });
    Record { body, ..record(number) }
}

/// An engine under test, and how to stop and start it.
trait Bench {
    fn new() -> Result<Self, StoreError>
    where
        Self: Sized;
    fn store(&self) -> &dyn EventStore;
    fn restart(&mut self) -> Done;
}

struct JournalBench {
    folder: tempfile::TempDir,
    store: Option<JournalStore>,
}

impl Bench for JournalBench {
    fn new() -> Result<Self, StoreError> {
        let folder = tempfile::tempdir().map_err(StoreError::write("the test's folder"))?;
        let store = Some(JournalStore::open(folder.path())?.store);
        Ok(Self { folder, store })
    }

    fn store(&self) -> &dyn EventStore {
        self.store.as_ref().unwrap_or_else(|| panic!("the store is open between restarts"))
    }

    fn restart(&mut self) -> Done {
        self.store().close()?;
        self.store = None;
        let opened = JournalStore::open(self.folder.path())?;
        assert_eq!(opened.notes, [], "a clean stop leaves nothing to heal");
        self.store = Some(opened.store);
        Ok(())
    }
}

struct MemoryBench(MemoryStore);

impl Bench for MemoryBench {
    fn new() -> Result<Self, StoreError> {
        Ok(Self(MemoryStore::default()))
    }

    fn store(&self) -> &dyn EventStore {
        &self.0
    }

    fn restart(&mut self) -> Done {
        Ok(())
    }
}

fn what_is_stored_stays<B: Bench>() -> Done {
    let mut bench = B::new()?;
    assert!(bench.store().is_empty());
    let epoch = bench.store().epoch();
    let outcomes = bench.store().append(&[record(1), record(2)])?;
    assert_eq!(outcomes, [Outcome::Stored { seq: 1 }, Outcome::Stored { seq: 2 }]);
    bench.restart()?;
    assert_eq!(bench.store().epoch(), epoch);
    let page = bench.store().page(0, 10)?;
    assert_eq!(page, [Numbered { seq: 1, event: record(1) }, Numbered { seq: 2, event: record(2) }]);
    assert_eq!(bench.store().check()?, []);
    Ok(())
}

fn twice_is_once<B: Bench>() -> Done {
    let mut bench = B::new()?;
    let outcomes = bench.store().append(&[record(1), record(1)])?;
    assert_eq!(outcomes, [Outcome::Stored { seq: 1 }, Outcome::AlreadyHad { seq: 1 }]);
    bench.restart()?;
    assert_eq!(bench.store().append(&[record(2), record(1)])?[1], Outcome::AlreadyHad { seq: 1 });
    assert_eq!(bench.store().len(), 2);
    Ok(())
}

fn a_conflict_is_kept_beside_and_overwrites_nothing<B: Bench>() -> Done {
    let mut bench = B::new()?;
    let outcomes = bench.store().append(&[record(1), other(1)])?;
    assert_eq!(outcomes, [Outcome::Stored { seq: 1 }, Outcome::Conflict { seq: 1 }]);
    bench.restart()?;
    assert_eq!(bench.store().append(&[other(1)])?, [Outcome::Conflict { seq: 1 }]);
    assert_eq!(bench.store().conflicts()?, [other(1)], "kept once, however often it is offered");
    assert_eq!(bench.store().page(0, 10)?, [Numbered { seq: 1, event: record(1) }]);
    assert_eq!(bench.store().check()?, []);
    Ok(())
}

fn a_clock_that_was_set_back_is_no_conflict<B: Bench>() -> Done {
    let bench = B::new()?;
    let sent = record(9);
    let kept = Record { hlc: Hlc(5), hlc_claimed: Some(sent.hlc), ..sent.clone() };
    bench.store().append(std::slice::from_ref(&kept))?;
    let later = Record { hlc: Hlc(6), ..kept.clone() };
    let outcomes = bench.store().append(&[sent, later, Record { hlc: Hlc(6), hlc_claimed: None, ..kept }])?;
    let had = Outcome::AlreadyHad { seq: 1 };
    assert_eq!(outcomes, [had, had, Outcome::Conflict { seq: 1 }]);
    Ok(())
}

fn one_that_is_too_long_stops_its_batch<B: Bench>() -> Done {
    let bench = B::new()?;
    let body = serde_json::json!({ "text": "x".repeat(MAX_RECORD_BYTES) });
    let long = Record { body, ..record(2) };
    let refused = bench.store().append(&[record(1), long]);
    assert!(matches!(refused, Err(StoreError::TooLong { .. })), "{refused:?}");
    assert!(bench.store().is_empty());
    assert_eq!(bench.store().page(0, 10)?, []);
    Ok(())
}

fn pages_are_dense_and_end<B: Bench>() -> Done {
    let bench = B::new()?;
    let records: Vec<Record> = (1..=300).map(record).collect();
    bench.store().append(&records)?;
    let page = bench.store().page(127, 64)?;
    let numbers: Vec<u64> = page.iter().map(|numbered| numbered.seq).collect();
    assert_eq!(numbers, (128..192).collect::<Vec<u64>>());
    assert_eq!(bench.store().page(299, 64)?.len(), 1);
    assert_eq!(bench.store().page(300, 64)?, []);
    assert_eq!(bench.store().page(u64::MAX, 64)?, []);
    assert_eq!(bench.store().page(0, 0)?, []);
    assert_eq!(super::read_all(bench.store())?, records);
    Ok(())
}

fn a_closed_store_takes_nothing<B: Bench>() -> Done {
    let bench = B::new()?;
    bench.store().close()?;
    bench.store().close()?;
    let refused = bench.store().append(&[record(1)]);
    assert!(matches!(refused, Err(StoreError::Closed)), "{refused:?}");
    Ok(())
}

#[derive(Clone, Debug)]
enum Step {
    Append(Vec<(u64, bool)>),
    Restart,
}

fn any_steps() -> impl Strategy<Value = Vec<Step>> {
    let append = prop::collection::vec((1_u64..20, any::<bool>()), 0..8).prop_map(Step::Append);
    prop::collection::vec(prop_oneof![4 => append, 1 => Just(Step::Restart)], 1..12)
}

fn it_is_a_map_with_an_order<B: Bench>() -> Done {
    // House choice: 24 schedules of a dozen steps take about two seconds with real syncs.
    let config = ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) };
    proptest!(config, |(steps in any_steps())| {
        let mut bench = B::new()?;
        let (mut model, mut order) = (BTreeMap::new(), Vec::new());
        for step in steps {
            let Step::Append(batch) = step else { bench.restart()?; continue };
            let batch: Vec<Record> =
                batch.into_iter().map(|(n, same)| if same { record(n) } else { other(n) }).collect();
            let mut expected = Vec::new();
            for event in &batch {
                let seq = u64::try_from(order.len()).map_or(0, |n| n + 1);
                expected.push(match model.get(&event.id) {
                    None => {
                        model.insert(event.id, (seq, event.clone()));
                        order.push(Numbered { seq, event: event.clone() });
                        Outcome::Stored { seq }
                    }
                    Some((seq, kept)) if kept == event => Outcome::AlreadyHad { seq: *seq },
                    Some((seq, _)) => Outcome::Conflict { seq: *seq },
                });
            }
            prop_assert_eq!(bench.store().append(&batch)?, expected);
            prop_assert_eq!(bench.store().page(0, 1000)?, order.clone());
        }
        prop_assert_eq!(bench.store().check()?, []);
    });
    Ok(())
}

macro_rules! on_every_engine {
    ($($name:ident),+ $(,)?) => {
        on_every_engine!(journal_store: JournalBench, $($name),+);
        on_every_engine!(memory_store: MemoryBench, $($name),+);
    };
    ($engine:ident: $bench:ident, $($name:ident),+) => {
        mod $engine {
            use super::{$bench, Done};
            $(#[test] fn $name() -> Done { super::$name::<$bench>() })+
        }
    };
}

on_every_engine!(
    what_is_stored_stays,
    twice_is_once,
    a_conflict_is_kept_beside_and_overwrites_nothing,
    a_clock_that_was_set_back_is_no_conflict,
    one_that_is_too_long_stops_its_batch,
    pages_are_dense_and_end,
    a_closed_store_takes_nothing,
    it_is_a_map_with_an_order,
);
