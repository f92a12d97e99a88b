//! The one writer: a thread with a bounded queue, through which every event goes.
//!
//! It takes what is waiting (up to [`BATCH_EVENTS`] events or [`BATCH_TIME`]), lets the [`Witness`] look
//! at each, makes the accepted ones durable in one append, shows them to the witness, and only then
//! answers. So whoever got an answer finds the event in the next page they load.
//!
//! What this does not do: know what an event means; that is the witness's business.
use super::jobs::{Batch, Job, JobResult, Together, reply};
use super::{EventStore, Outcome, StoreError};
use jiff::Timestamp;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};
use tokio::sync::{mpsc, oneshot};
use tripoise_core::event::{Body, Event};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::{Hlc, Record};
use tripoise_core::world::check::Problem;
use uuid::Uuid;

/// When a batch is closed by count. House choice: 64 events of 500 bytes are one write of 32 KiB.
pub const BATCH_EVENTS: usize = 64;

/// When a batch is closed by time. House choice: 5 ms, about one sync of a solid-state disk.
pub const BATCH_TIME: Duration = Duration::from_millis(5);

/// House choice: requests waiting at once; 256 of 200 events would be 25 MB, and beyond that a
/// sender waits.
const QUEUE: usize = 256;

/// Looks at events before they are stored, and is shown them afterwards.
pub trait Witness: Send {
    /// What is wrong with a record; nothing when it may be stored. Records of one batch are shown in
    /// order, and each may build on those before it.
    fn look(&mut self, record: &Record) -> Vec<Problem>;

    /// What was looked at since the last call is durable, and `stored` of it is new.
    fn keep(&mut self, stored: &[Record]);

    /// What was looked at since the last [`Witness::keep`] was not stored.
    fn forget(&mut self);
}

/// What became of one record that was offered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Answer {
    /// The store's word.
    Kept(Outcome),
    /// It was not stored.
    Refused(Vec<Problem>),
}

/// An event that the server records itself, for a form posted without JavaScript.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Draft {
    /// What happened.
    pub body: Body,
    /// The event that it replaces.
    pub corrects: Option<EventId>,
}

impl From<Body> for Draft {
    fn from(body: Body) -> Self {
        Self { body, corrects: None }
    }
}

/// What became of drafts: all or none.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Recorded {
    /// All are durable.
    Stored(Vec<Record>),
    /// None was stored.
    Refused(Vec<Problem>),
}

/// Gives work to the writer; clones share it.
#[derive(Clone)]
pub struct StoreHandle {
    queue: mpsc::Sender<Job>,
    store: Arc<dyn EventStore>,
}

/// The server as a device: its id, how many events it has recorded, and its clock.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Author {
    device: DeviceId,
    device_seq: u64,
    hlc: Hlc,
}

impl Author {
    /// The author `device` of a store that holds `records`.
    #[must_use]
    pub fn of(device: DeviceId, records: &[Record]) -> Self {
        let mut author = Self { device, device_seq: 0, hlc: Hlc::default() };
        author.see(records);
        author
    }

    fn see(&mut self, records: &[Record]) {
        for record in records {
            self.hlc = self.hlc.max(record.hlc);
            if record.device == self.device {
                self.device_seq = self.device_seq.max(record.device_seq);
            }
        }
    }

    fn write(&mut self, draft: &Draft, now: Timestamp) -> Result<Record, StoreError> {
        self.device_seq += 1;
        self.hlc = self.hlc.tick(now.as_millisecond());
        let event = Event {
            id: EventId(Uuid::now_v7()),
            device: self.device,
            device_seq: self.device_seq,
            hlc: self.hlc,
            observed_at: now,
            corrects: draft.corrects,
            body: draft.body.clone(),
        };
        Ok(event.write()?)
    }
}

impl StoreHandle {
    /// Starts the writer's thread.
    ///
    /// # Errors   The system gives no thread.
    pub fn start(
        store: Arc<dyn EventStore>,
        author: Author,
        witness: Box<dyn Witness>,
    ) -> Result<Self, StoreError> {
        let (queue, jobs) = mpsc::channel(QUEUE);
        let writer = Writer::new(Arc::clone(&store), author, witness);
        thread::Builder::new()
            .name("writer".to_owned())
            .spawn(move || writer.run(jobs))
            .map_err(StoreError::write("the writer's thread"))?;
        Ok(Self { queue, store })
    }

    /// Offers records; returns when what is stored is durable.
    ///
    /// # Returns  One answer per record, in the order given.
    /// # Errors   None of them is stored.
    pub async fn append(&self, records: Vec<Record>) -> Result<Vec<Answer>, StoreError> {
        self.append_together(records, Together::Each).await
    }

    /// As [`Self::append`], and says what becomes of the good ones where others are refused. Those held
    /// back by others are refused without a problem of their own.
    ///
    /// # Errors   None of them is stored.
    pub async fn append_together(
        &self,
        records: Vec<Record>,
        together: Together,
    ) -> Result<Vec<Answer>, StoreError> {
        self.ask(|answer| Job::Append(records, together, answer)).await
    }

    /// Records drafts as the server's own events, all or none; returns when they are durable.
    ///
    /// # Errors   None of them is stored.
    pub async fn record(&self, drafts: Vec<Draft>, now: Timestamp) -> Result<Recorded, StoreError> {
        self.ask(|answer| Job::Record(drafts, now, answer)).await
    }

    /// Reads from the store, off the threads that answer requests.
    ///
    /// # Errors   As the reading.
    pub async fn read<T: Send + 'static>(
        &self,
        reading: impl FnOnce(&dyn EventStore) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let store = Arc::clone(&self.store);
        let read = tokio::task::spawn_blocking(move || reading(store.as_ref())).await;
        read.map_err(|_| StoreError::Closed)?
    }

    /// The store itself, for what takes no time: its length and epoch.
    #[must_use]
    pub fn store(&self) -> &dyn EventStore {
        self.store.as_ref()
    }

    /// Finishes what is queued, then closes the store.
    ///
    /// # Errors   As [`EventStore::close`].
    pub async fn close(&self) -> Result<(), StoreError> {
        match self.ask(Job::Close).await {
            Err(StoreError::Closed) => Ok(()),
            other => other,
        }
    }

    async fn ask<T>(
        &self,
        job: impl FnOnce(oneshot::Sender<Result<T, StoreError>>) -> Job,
    ) -> Result<T, StoreError> {
        let (answer, answered) = oneshot::channel();
        self.queue.send(job(answer)).await.map_err(|_| StoreError::Closed)?;
        answered.await.map_err(|_| StoreError::Closed)?
    }
}

/// The writer's own side: what its thread does with each batch.
pub struct Writer {
    store: Arc<dyn EventStore>,
    author: Author,
    witness: Box<dyn Witness>,
}

impl Writer {
    /// A writer without a thread, for one who asks and waits.
    #[must_use]
    pub fn new(store: Arc<dyn EventStore>, author: Author, witness: Box<dyn Witness>) -> Self {
        Self { store, author, witness }
    }

    /// As [`StoreHandle::append_together`], at once.
    ///
    /// # Errors   None of the records is stored.
    pub fn append(&mut self, records: Vec<Record>, together: Together) -> Result<Vec<Answer>, StoreError> {
        match self.attempt(&[Job::Append(records, together, oneshot::channel().0)])?.pop() {
            Some(JobResult::Append(answers)) => Ok(answers.into_iter().flatten().collect()),
            _ => Err(StoreError::Closed),
        }
    }

    /// As [`StoreHandle::record`], at once.
    ///
    /// # Errors   None of them is stored.
    pub fn record(&mut self, drafts: Vec<Draft>, now: Timestamp) -> Result<Recorded, StoreError> {
        match self.attempt(&[Job::Record(drafts, now, oneshot::channel().0)])?.pop() {
            Some(JobResult::Record(recorded)) => Ok(recorded),
            _ => Err(StoreError::Closed),
        }
    }

    fn run(mut self, mut jobs: mpsc::Receiver<Job>) {
        let mut closing = None;
        while let Some(first) = jobs.blocking_recv() {
            let mut batch = Batch::default();
            batch.add(first);
            let started = Instant::now();
            while batch.n_events < BATCH_EVENTS && started.elapsed() < BATCH_TIME {
                let Ok(next) = jobs.try_recv() else { break };
                batch.add(next);
            }
            if !batch.jobs.is_empty() {
                self.work(batch.jobs);
            }
            if let Some(answer) = batch.close {
                jobs.close();
                closing = Some(answer);
            }
        }
        let closed = self.store.close();
        match closing {
            Some(answer) => reply(answer, closed),
            None => {
                if let Err(cause) = closed {
                    tracing::error!(%cause, "the store did not close cleanly");
                }
            }
        }
    }

    /// One append for all; where that fails, one for each, so that nobody is refused for another's fault.
    fn work(&mut self, mut jobs: Vec<Job>) {
        match self.attempt(&jobs) {
            Ok(results) => jobs.into_iter().zip(results).for_each(|(job, result)| job.answer(result)),
            Err(cause) => match jobs.pop() {
                Some(only) if jobs.is_empty() => only.fail(cause),
                last => jobs.into_iter().chain(last).for_each(|job| self.work(vec![job])),
            },
        }
    }

    fn attempt(&mut self, jobs: &[Job]) -> Result<Vec<JobResult>, StoreError> {
        let mut author = self.author;
        let mut offered = Vec::new();
        let looked = self.look_at(jobs, &mut author, &mut offered);
        let outcomes = looked.and_then(|results| Ok((results, self.store.append(&offered)?)));
        let (mut results, outcomes) = match outcomes {
            Ok(done) => done,
            Err(cause) => {
                self.witness.forget();
                return Err(cause);
            }
        };
        author.see(&offered);
        self.author = author;
        let stored: Vec<Record> = offered
            .into_iter()
            .zip(&outcomes)
            .filter(|(_, outcome)| matches!(outcome, Outcome::Stored { .. }))
            .map(|(record, _)| record)
            .collect();
        self.witness.keep(&stored);
        let mut outcomes = outcomes.into_iter();
        results.iter_mut().for_each(|result| result.fill(&mut outcomes));
        Ok(results)
    }

    fn look_at(
        &mut self,
        jobs: &[Job],
        author: &mut Author,
        offered: &mut Vec<Record>,
    ) -> Result<Vec<JobResult>, StoreError> {
        let mut results = Vec::new();
        for job in jobs {
            results.push(match job {
                Job::Append(records, together, _) => self.look_at_records(records, *together, offered),
                Job::Record(drafts, now, _) => self.look_at_drafts(drafts, *now, author, offered)?,
                Job::Close(_) => JobResult::Append(Vec::new()),
            });
        }
        Ok(results)
    }

    fn look_at_records(
        &mut self,
        records: &[Record],
        together: Together,
        offered: &mut Vec<Record>,
    ) -> JobResult {
        let n_before = offered.len();
        let mut answers = Vec::new();
        for record in records {
            let problems = self.witness.look(record);
            answers.push(if problems.is_empty() {
                offered.push(record.clone());
                None
            } else {
                Some(Answer::Refused(problems))
            });
        }
        if together == Together::AllOrNone && answers.iter().any(Option::is_some) {
            offered.truncate(n_before);
            for answer in answers.iter_mut().filter(|answer| answer.is_none()) {
                *answer = Some(Answer::Refused(Vec::new()));
            }
        }
        JobResult::Append(answers)
    }

    /// Problems do not spoil the batch's other jobs: the author steps back to where it was.
    fn look_at_drafts(
        &mut self,
        drafts: &[Draft],
        now: Timestamp,
        author: &mut Author,
        offered: &mut Vec<Record>,
    ) -> Result<JobResult, StoreError> {
        let before = *author;
        let (mut records, mut problems) = (Vec::new(), Vec::new());
        for draft in drafts {
            let record = author.write(draft, now)?;
            problems.extend(self.witness.look(&record));
            records.push(record);
        }
        if !problems.is_empty() {
            *author = before;
            return Ok(JobResult::Record(Recorded::Refused(problems)));
        }
        offered.extend(records.iter().cloned());
        Ok(JobResult::Record(Recorded::Stored(records)))
    }
}
