//! What the writer is asked to do, collected into batches, and how each asker is answered.
//!
//! What this does not do: write; that is [`super::writer`].
use super::writer::{Answer, Draft, Recorded};
use super::{Outcome, StoreError};
use jiff::Timestamp;
use tokio::sync::oneshot;
use tripoise_core::record::Record;

/// What becomes of a request's good records where others of it are refused.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Together {
    /// Each record stands for itself: a device's queue.
    Each,
    /// None is stored unless all can be: one form, one tap.
    AllOrNone,
}

pub(super) enum Job {
    Append(Vec<Record>, Together, oneshot::Sender<Result<Vec<Answer>, StoreError>>),
    Record(Vec<Draft>, Timestamp, oneshot::Sender<Result<Recorded, StoreError>>),
    Close(oneshot::Sender<Result<(), StoreError>>),
}

impl Job {
    pub(super) fn answer(self, result: JobResult) {
        match (self, result) {
            (Self::Append(_, _, answer), JobResult::Append(answers)) => {
                reply(answer, Ok(answers.into_iter().flatten().collect()));
            }
            (Self::Record(_, _, answer), JobResult::Record(recorded)) => reply(answer, Ok(recorded)),
            // Dropping the sender tells the asker that there is no answer.
            _ => tracing::error!("a write was answered with another write's result"),
        }
    }

    pub(super) fn fail(self, cause: StoreError) {
        match self {
            Self::Append(_, _, answer) => reply(answer, Err(cause)),
            Self::Record(_, _, answer) => reply(answer, Err(cause)),
            Self::Close(answer) => reply(answer, Err(cause)),
        }
    }
}

/// An asker that has gone away (a closed connection) needs no answer; its events are stored all the same.
pub(super) fn reply<T>(answer: oneshot::Sender<T>, result: T) {
    drop(answer.send(result));
}

#[derive(Default)]
pub(super) struct Batch {
    pub(super) jobs: Vec<Job>,
    pub(super) n_events: usize,
    pub(super) close: Option<oneshot::Sender<Result<(), StoreError>>>,
}

impl Batch {
    pub(super) fn add(&mut self, job: Job) {
        self.n_events += match &job {
            Job::Append(records, ..) => records.len(),
            Job::Record(drafts, ..) => drafts.len(),
            Job::Close(_) => 0,
        };
        match job {
            Job::Close(answer) => self.close = Some(answer),
            job => self.jobs.push(job),
        }
    }
}

pub(super) enum JobResult {
    /// `None` where the store's word is awaited.
    Append(Vec<Option<Answer>>),
    Record(Recorded),
}

impl JobResult {
    pub(super) fn fill(&mut self, outcomes: &mut dyn Iterator<Item = Outcome>) {
        match self {
            Self::Append(answers) => {
                for answer in answers.iter_mut().filter(|answer| answer.is_none()) {
                    *answer = outcomes.next().map(Answer::Kept);
                }
            }
            Self::Record(Recorded::Stored(records)) => {
                // Ids made just now are new: each of them was stored.
                outcomes.take(records.len()).for_each(|_| ());
            }
            Self::Record(Recorded::Refused(_)) => {}
        }
    }
}
