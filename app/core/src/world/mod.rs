//! The fold: what all events add up to.
//!
//! [`World::fold`] sorts the records by (hlc, device, `device_seq`), works out which still stand, and
//! applies them one by one. Deleting everything derived and folding again changes nothing, in whatever
//! order the records arrived. A record that cannot be read, or that names a piece nobody added, is kept,
//! counted and shown, and never stops the rest.
//!
//! What this does not do: judge ([`crate::judge`]) or lay out ([`crate::view`]).

mod apply;
pub mod check;
mod growing;
mod labels;
mod pieces;
mod plans;
mod standing;

pub(crate) use apply::subjects;
pub use growing::Growing;
pub use labels::{Label, Labels, Sheet, StudioName};
pub use pieces::{
    Crack, Firing, Hold, Kiln, Post, PostReading, PostSet, Retired, Shelf, ShelfReading, Stamp, Wash,
};
pub use plans::{KilnInside, LoadPlan, Overruled};
pub use standing::Standing;

use crate::code::Code;
use crate::event::values::{Labelled, Piece};
use crate::event::{Body, Event, Unreadable};
use crate::ids::{EventId, FiringId, KilnId, PlanId, PostId, SetId, ShelfId};
use crate::record::Record;
use crate::settings::{SettingKey, Settings};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What an event is about; the key of a history.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Subject {
    /// A shelf.
    Shelf(ShelfId),
    /// A post.
    Post(PostId),
    /// A set.
    Set(SetId),
    /// A kiln.
    Kiln(KilnId),
    /// A firing.
    Firing(FiringId),
    /// A plan of a load.
    Plan(PlanId),
    /// A setting.
    Setting(SettingKey),
}

impl From<Piece> for Subject {
    fn from(piece: Piece) -> Self {
        match piece {
            Piece::Shelf(id) => Self::Shelf(id),
            Piece::Post(id) => Self::Post(id),
        }
    }
}

impl From<Labelled> for Subject {
    fn from(on: Labelled) -> Self {
        match on {
            Labelled::Shelf(id) => Self::Shelf(id),
            Labelled::Post(id) => Self::Post(id),
            Labelled::Set(id) => Self::Set(id),
        }
    }
}

/// One event in the log, with whether it still counts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogEntry {
    /// The event.
    pub event: Arc<Event>,
    /// Whether it counts.
    pub standing: Standing,
}

impl LogEntry {
    /// The body that counts at this entry's place: its own or its correction's; none where it was taken back, or
    /// counts at the place of the entry that it corrects.
    #[must_use]
    pub fn counting(&self) -> Option<&Body> {
        match &self.standing {
            Standing::Stands => Some(&self.event.body),
            Standing::Corrected { by } => Some(&by.body),
            Standing::Withdrawn { .. } | Standing::Correction { .. } => None,
        }
    }
}

/// A record that did not become part of the world, and why. It stays in the store.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Skipped {
    /// The record.
    pub id: EventId,
    /// Its kind as stored.
    pub kind: String,
    /// Why.
    pub reason: SkipReason,
}

/// Why a record was left out.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SkipReason {
    /// Its body could not be read.
    #[error(transparent)]
    Unreadable(#[from] Unreadable),
    /// It names something nobody added.
    #[error("it names a {what} that is not on record: {id}")]
    Unknown {
        /// A shelf, post, set, kiln or event.
        what: &'static str,
        /// The id it names.
        id: String,
    },
    /// It adds something that is there already.
    #[error("it adds a {what} that is on record already: {id}")]
    Twice {
        /// A shelf, post, set, kiln or firing.
        what: &'static str,
        /// The id.
        id: String,
    },
    /// A setting's value out of its range.
    #[error("it sets {name} to {value}, which is outside {low} to {high}")]
    Range {
        /// The setting.
        name: &'static str,
        /// The value.
        value: i64,
        /// The least value taken.
        low: i64,
        /// The greatest value taken.
        high: i64,
    },
}

/// Everything known, as of the last event.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct World {
    /// The thresholds in force.
    pub settings: Settings,
    /// The kilns.
    pub kilns: BTreeMap<KilnId, Kiln>,
    /// The shelves, retired ones too.
    pub shelves: BTreeMap<ShelfId, Shelf>,
    /// The posts, retired ones too.
    pub posts: BTreeMap<PostId, Post>,
    /// The sets, parted ones too.
    pub sets: BTreeMap<SetId, PostSet>,
    /// The plans of loads, dropped and fired ones too.
    pub plans: BTreeMap<PlanId, LoadPlan>,
    /// The firings.
    pub firings: BTreeMap<FiringId, Firing>,
    /// Labels, and the studio that they name.
    pub labels: Labels,
    /// Every readable event in the order of the fold.
    pub log: Vec<LogEntry>,
    /// Whose code it is; of two claimants the first in the fold's order keeps it.
    pub codes: BTreeMap<Code, Subject>,
    by_event: BTreeMap<EventId, usize>,
    histories: BTreeMap<Subject, Vec<usize>>,
}

impl World {
    /// Adds up records, in any order and with any repeated.
    ///
    /// # Returns   The world, and every record that could not become part of it with the reason.
    #[must_use]
    pub fn fold<'a>(records: impl IntoIterator<Item = &'a Record>) -> (Self, Vec<Skipped>) {
        let mut skipped = Vec::new();
        let mut events: BTreeMap<EventId, Arc<Event>> = BTreeMap::new();
        for record in records {
            match Event::read(record) {
                Ok(event) => {
                    events.entry(event.id).or_insert_with(|| Arc::new(event));
                }
                Err(cause) => {
                    skipped.push(Skipped { id: record.id, kind: record.kind.clone(), reason: cause.into() })
                }
            }
        }
        let mut ordered: Vec<Arc<Event>> = events.into_values().collect();
        ordered.sort_by_key(|event| (event.order(), event.id));
        skipped.sort_by_key(|left_out| left_out.id);
        skipped.dedup();
        let mut world = Self::default();
        let standings = standing::resolve(&ordered);
        for (event, standing) in ordered.iter().zip(standings) {
            let effect = standing.effect(event);
            let entry = LogEntry { event: Arc::clone(event), standing };
            if let Err(reason) = world.take(entry, effect.as_deref()) {
                skipped.push(Skipped { id: event.id, kind: event.body.kind().to_owned(), reason });
            }
        }
        (world, skipped)
    }

    /// Takes one event that comes after every other and corrects or withdraws none, as `fold` would.
    ///
    /// # Errors   [`SkipReason`] when it names something that is not there; the world is then unchanged
    /// but for the log.
    pub fn append(&mut self, event: Event) -> Result<(), SkipReason> {
        let event = Arc::new(event);
        let entry = LogEntry { event: Arc::clone(&event), standing: Standing::Stands };
        self.take(entry, Some(&event))
    }

    fn take(&mut self, entry: LogEntry, effect: Option<&Event>) -> Result<(), SkipReason> {
        let idx = self.log.len();
        self.by_event.insert(entry.event.id, idx);
        let outcome = match effect {
            Some(effect) => self.apply(effect, Stamp::of(&entry.event)),
            None => Ok(()),
        };
        for subject in apply::subjects(&entry.event.body) {
            self.histories.entry(subject).or_default().push(idx);
        }
        self.log.push(entry);
        outcome
    }

    /// The log entry of an event.
    #[must_use]
    pub fn entry(&self, id: EventId) -> Option<&LogEntry> {
        self.by_event.get(&id).and_then(|idx| self.log.get(*idx))
    }

    /// Everything that happened to a subject, oldest first, withdrawn and corrected entries included.
    pub fn history(&self, subject: Subject) -> impl DoubleEndedIterator<Item = &LogEntry> {
        self.histories.get(&subject).into_iter().flatten().filter_map(|idx| self.log.get(*idx))
    }

    /// Which subject a code belongs to.
    #[must_use]
    pub fn by_code(&self, code: &Code) -> Option<Subject> {
        self.codes.get(code).copied()
    }

    /// Shelves in service: not retired.
    pub fn shelves_in_service(&self) -> impl Iterator<Item = &Shelf> {
        self.shelves.values().filter(|shelf| shelf.retired.is_none())
    }

    /// Posts in service: not retired.
    pub fn posts_in_service(&self) -> impl Iterator<Item = &Post> {
        self.posts.values().filter(|post| post.retired.is_none())
    }

    /// Sets that have not been parted.
    pub fn sets_together(&self) -> impl Iterator<Item = &PostSet> {
        self.sets.values().filter(|set| set.parted.is_none())
    }

    /// The set that a post belongs to now.
    #[must_use]
    pub fn set_of(&self, post: PostId) -> Option<&PostSet> {
        self.sets_together().find(|set| set.posts.contains(&post))
    }

    /// The code of what a label leads to, or a dash where it is not on record.
    #[must_use]
    pub fn code_on(&self, on: Labelled) -> String {
        match on {
            Labelled::Shelf(id) => self.code_of(Piece::Shelf(id)),
            Labelled::Post(id) => self.code_of(Piece::Post(id)),
            Labelled::Set(id) => {
                self.sets.get(&id).map_or_else(|| "-".to_owned(), |set| set.code.to_string())
            }
        }
    }

    /// The code of a piece, or a dash for one that is not on record.
    #[must_use]
    pub fn code_of(&self, piece: Piece) -> String {
        let code = match piece {
            Piece::Shelf(id) => self.shelves.get(&id).map(|shelf| &shelf.code),
            Piece::Post(id) => self.posts.get(&id).map(|post| &post.code),
        };
        code.map_or_else(|| "-".to_owned(), ToString::to_string)
    }
}

#[cfg(test)]
mod tests;
