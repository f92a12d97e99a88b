//! One round of sync: push what waits, pull the feed, until neither changes anything.
use super::{Held, Pull, Push};

/// What to ask the server.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Question {
    /// `POST` these records.
    Push(Push),
    /// `GET` the feed.
    Pull(Pull),
}

/// How far a round has come. It lives in memory: a round that is cut short is begun anew.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Round {
    caught_up: bool,
    stuck: bool,
}

impl Round {
    /// What to ask next; nothing when the round is done. Needs the phone's row and the waiting entries.
    #[must_use]
    pub fn next(&self, held: &Held) -> Option<Question> {
        let push = held.next_push().filter(|_| !self.stuck);
        match push {
            Some(push) => Some(Question::Push(push)),
            None if self.caught_up => None,
            None => Some(Question::Pull(held.phone.next_pull())),
        }
    }

    /// A push was answered; `changed` is whether that changed what is held. An answer that changes nothing
    /// would be got again: the rest of the round only pulls.
    pub fn pushed(&mut self, changed: bool) {
        self.caught_up = false;
        self.stuck |= !changed;
    }

    /// A pull was answered.
    pub fn pulled(&mut self, more: bool) {
        self.caught_up = !more;
    }
}
