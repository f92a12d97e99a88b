//! Tests of the one writer: batches, all or none, and a clean end.
use super::suite::record;
use super::writer::{Answer, Author, Draft, Recorded, StoreHandle, Witness};
use super::{
    Epoch, EventStore, Fault, MAX_RECORD_BYTES, MemoryStore, Numbered, Outcome, StoreError, read_all,
};
use jiff::Timestamp;
use std::sync::atomic::{AtomicUsize, Ordering::SeqCst};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tripoise_core::event::{Body, SettingChanged};
use tripoise_core::ids::DeviceId;
use tripoise_core::record::{Hlc, Record};
use tripoise_core::settings::SettingKey;
use tripoise_core::world::check::Problem;
use uuid::Uuid;

type Done = Result<(), StoreError>;

/// Refuses what the test says, and remembers what it was shown.
#[derive(Clone, Default)]
struct Memo(Arc<Mutex<Vec<Record>>>);

impl Witness for Memo {
    fn look(&mut self, record: &Record) -> Vec<Problem> {
        let refused = record.body.get("reason").is_some_and(|reason| reason == "refuse");
        if refused { vec![Problem::new("reason", "refused by the test")] } else { Vec::new() }
    }

    fn keep(&mut self, stored: &[Record]) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(stored);
    }

    fn forget(&mut self) {}
}

/// Counts appends, and takes its time over each, so that requests pile up behind it.
#[derive(Default)]
struct SlowStore {
    inner: MemoryStore,
    n_appends: AtomicUsize,
}

impl EventStore for SlowStore {
    fn append(&self, records: &[Record]) -> Result<Vec<Outcome>, StoreError> {
        self.n_appends.fetch_add(1, SeqCst);
        std::thread::sleep(Duration::from_millis(20));
        self.inner.append(records)
    }

    fn page(&self, since: u64, limit: usize) -> Result<Vec<Numbered>, StoreError> {
        self.inner.page(since, limit)
    }

    fn len(&self) -> u64 {
        self.inner.len()
    }

    fn epoch(&self) -> Epoch {
        self.inner.epoch()
    }

    fn conflicts(&self) -> Result<Vec<Record>, StoreError> {
        self.inner.conflicts()
    }

    fn check(&self) -> Result<Vec<Fault>, StoreError> {
        self.inner.check()
    }

    fn close(&self) -> Done {
        self.inner.close()
    }
}

fn me() -> DeviceId {
    DeviceId(Uuid::from_u128(99))
}

fn start() -> Result<(StoreHandle, Arc<SlowStore>, Memo), StoreError> {
    let (store, memo) = (Arc::new(SlowStore::default()), Memo::default());
    let shared = Arc::clone(&store) as Arc<dyn EventStore>;
    let handle = StoreHandle::start(shared, Author::of(me(), &[]), Box::new(memo.clone()))?;
    Ok((handle, store, memo))
}

fn draft(reason: &str) -> Draft {
    let (key, text, reason) = (SettingKey::SpreadGood, "0.6".to_owned(), reason.to_owned());
    Draft::from(Body::from(SettingChanged { key, value: 600_000, text, reason }))
}

fn stored(seq: u64) -> Answer {
    Answer::Kept(Outcome::Stored { seq })
}

#[tokio::test]
async fn what_is_answered_was_stored_and_shown() -> Done {
    let (handle, store, memo) = start()?;
    assert_eq!(handle.append(vec![record(1), record(2)]).await?, [stored(1), stored(2)]);
    assert_eq!(*memo.0.lock().unwrap_or_else(PoisonError::into_inner), read_all(store.as_ref())?);
    let again = handle.append(vec![record(2), record(3)]).await?;
    assert_eq!(again, [Answer::Kept(Outcome::AlreadyHad { seq: 2 }), stored(3)]);
    assert_eq!(memo.0.lock().unwrap_or_else(PoisonError::into_inner).len(), 3);
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn requests_that_wait_share_one_append() -> Done {
    let (handle, store, _) = start()?;
    let senders: Vec<_> = (1..=40)
        .map(|number| {
            let handle = handle.clone();
            tokio::spawn(async move { handle.append(vec![record(number)]).await })
        })
        .collect();
    for sender in senders {
        let answers = sender.await.map_err(|_| StoreError::Closed)??;
        assert!(matches!(answers[..], [Answer::Kept(Outcome::Stored { .. })]), "{answers:?}");
    }
    let n_appends = store.n_appends.load(SeqCst);
    assert!(n_appends < 20, "40 requests took {n_appends} appends");
    assert_eq!(store.len(), 40);
    Ok(())
}

#[tokio::test]
async fn nobody_is_refused_for_another_s_fault() -> Done {
    let (handle, _, _) = start()?;
    let body = serde_json::json!({ "text": "x".repeat(MAX_RECORD_BYTES) });
    let long = Record { body, ..record(2) };
    let (first, second, third) = tokio::join!(
        handle.append(vec![record(1)]),
        handle.append(vec![long]),
        handle.append(vec![record(3)])
    );
    assert_eq!(first?, [stored(1)]);
    assert!(matches!(second, Err(StoreError::TooLong { .. })), "{second:?}");
    assert_eq!(third?, [stored(2)]);
    Ok(())
}

#[tokio::test]
async fn the_server_s_own_events_are_numbered_without_gaps_and_after_all_others() -> Done {
    let (handle, store, _) = start()?;
    let ahead = Record { hlc: Hlc::at_ms(5_000), ..record(1) };
    handle.append(vec![ahead.clone()]).await?;
    let now = Timestamp::UNIX_EPOCH;
    let Recorded::Stored(first) = handle.record(vec![draft("a"), draft("b")], now).await? else {
        panic!("drafts without problems are stored")
    };
    let refused = handle.record(vec![draft("c"), draft("refuse")], now).await?;
    assert!(matches!(&refused, Recorded::Refused(problems) if problems.len() == 1), "{refused:?}");
    let Recorded::Stored(second) = handle.record(vec![draft("d")], now).await? else {
        panic!("drafts without problems are stored")
    };
    let own: Vec<Record> = first.into_iter().chain(second).collect();
    assert_eq!(own.iter().map(|record| record.device_seq).collect::<Vec<_>>(), [1, 2, 3]);
    assert!(own.iter().all(|record| record.device == me() && record.observed_at == now));
    let all: Vec<Record> = std::iter::once(ahead).chain(own).collect();
    assert!(all.is_sorted_by_key(Record::order), "{all:?}");
    assert_eq!(read_all(store.as_ref())?, all, "none of the refused pair is stored");
    Ok(())
}

#[test]
fn the_author_goes_on_where_the_store_ends() {
    let mine = Record { device: me(), device_seq: 41, ..record(5) };
    let theirs = record(9);
    let expected = format!("{me:?}, device_seq: 41, hlc: {:?}", theirs.hlc, me = me());
    let author = format!("{:?}", Author::of(me(), &[mine, theirs]));
    assert!(author.contains(&expected), "{author}");
}

#[tokio::test]
async fn closing_finishes_what_is_queued_and_then_takes_nothing() -> Done {
    let (handle, store, _) = start()?;
    let (first, second, closed) =
        tokio::join!(handle.append(vec![record(1)]), handle.append(vec![record(2)]), handle.close());
    assert_eq!((first?, second?), (vec![stored(1)], vec![stored(2)]));
    closed?;
    assert!(matches!(handle.append(vec![record(3)]).await, Err(StoreError::Closed)));
    handle.close().await?;
    assert_eq!(store.len(), 2);
    assert!(matches!(store.append(&[record(3)]), Err(StoreError::Closed)));
    Ok(())
}
