//! Offering what waits, and reading the server's answer for each entry.
use super::wire::{Answered, MAX_RECORDS, Status, Taken};
use super::{Held, WaitState, Waiting, Write};
use crate::ids::EventId;
use crate::record::{Hlc, Record};
use std::collections::BTreeMap;

/// Records to `POST`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Push {
    /// The generation in which it was asked.
    pub generation: u64,
    /// Whether it is one form, to be stored whole or not at all.
    pub all_or_none: bool,
    /// The records, oldest first.
    pub records: Vec<Record>,
}

impl Held {
    /// What to offer next: one form of several entries alone, or as many single entries as one request
    /// carries.
    #[must_use]
    pub fn next_push(&self) -> Option<Push> {
        let mut due: Vec<&Waiting> = self.waiting.values().filter(|w| w.is_due(&self.phone)).collect();
        due.sort_by_key(|entry| (entry.record.order(), entry.record.id));
        let form = due.first()?.form;
        let (records, all_or_none): (Vec<_>, _) = match form {
            Some(form) => (due.iter().filter(|entry| entry.form == Some(form)).collect(), true),
            None => (due.iter().take_while(|entry| entry.form.is_none()).collect(), false),
        };
        // A form longer than a request is sent in pieces, each entry for itself.
        let all_or_none = all_or_none && records.len() <= MAX_RECORDS;
        let records = records.into_iter().take(MAX_RECORDS).map(|entry| entry.record.clone()).collect();
        Some(Push { generation: self.phone.generation, all_or_none, records })
    }

    /// What the answer to `push` changes. Needs the phone's row and the waiting entries.
    #[must_use]
    pub fn take_push(&self, push: &Push, taken: &Taken) -> Write {
        if push.generation != self.phone.generation {
            return Write::default();
        }
        if self.phone.epoch.is_some_and(|known| known != taken.epoch) {
            return self.begin_again(taken.epoch);
        }
        let sent: BTreeMap<EventId, &Record> =
            push.records.iter().map(|record| (record.id, record)).collect();
        let mut phone = self.phone.clone();
        phone.epoch = Some(taken.epoch);
        let mut put_waiting = Vec::new();
        let mut set_back = false;
        for answered in &taken.answers {
            let id = answered.id.as_str().and_then(|text| text.parse::<EventId>().ok());
            let known = id.and_then(|id| Some((self.waiting.get(&id)?, sent.get(&id)?)));
            // Only what this request offered, in the form in which it still waits.
            let Some((entry, _)) = known.filter(|(entry, offered)| entry.record == ***offered) else {
                continue;
            };
            let Some(next) = self.answered(entry, answered) else { continue };
            if matches!(next.state, WaitState::Acknowledged { .. }) {
                phone.hlc_kept = phone.hlc_kept.max(next.record.hlc);
                set_back |= answered.hlc.is_some();
            }
            if next != *entry {
                put_waiting.push(next);
            }
        }
        if set_back {
            phone.hlc = self.clock_after(phone.hlc_kept, &put_waiting);
        }
        let phone = (phone != self.phone).then_some(phone);
        Write { phone, put_waiting, ..Write::default() }
    }

    /// The entry after its answer; nothing where the answer says nothing that this build understands.
    fn answered(&self, entry: &Waiting, answered: &Answered) -> Option<Waiting> {
        let mut next = entry.clone();
        match answered.status {
            Status::Stored | Status::AlreadyHad => {
                next.state = WaitState::Acknowledged { seq: answered.seq? };
                if let Some(kept) = answered.hlc {
                    next.record.hlc_claimed.get_or_insert(next.record.hlc);
                    next.record.hlc = kept;
                }
            }
            // An acknowledgement is final within a generation.
            _ if matches!(entry.state, WaitState::Acknowledged { .. }) => return None,
            Status::Refused => {
                let problems = answered.problems.clone();
                let (generation, cursor) = (self.phone.generation, self.phone.cursor);
                next.state = WaitState::Refused { problems, generation, cursor };
            }
            Status::Conflict => next.state = WaitState::Conflict,
            Status::Unknown => return None,
        }
        Some(next)
    }

    /// Where the server set a clock back, the phone's goes back too, but not behind what still waits.
    fn clock_after(&self, kept: Hlc, changed: &[Waiting]) -> Hlc {
        let changed_ids: Vec<EventId> = changed.iter().map(|entry| entry.record.id).collect();
        let unchanged = self.waiting.values().filter(|entry| !changed_ids.contains(&entry.record.id));
        unchanged.chain(changed).map(|entry| entry.record.hlc).fold(kept, Hlc::max)
    }
}
