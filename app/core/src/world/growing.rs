//! A world that moves on as records arrive, without folding everything again where that is not needed.
//!
//! What this does not do: remember records. Where a new one changes what came before it, the caller folds.
use super::{Skipped, World};
use crate::event::Event;
use crate::ids::EventId;
use crate::record::Record;
use std::collections::BTreeSet;

/// A world, with what is needed to see whether a record may simply be added at its end.
#[derive(Clone, Debug, Default)]
pub struct Growing {
    world: World,
    skipped: Vec<Skipped>,
    /// Ids that a correction or a withdrawal names: when one of them arrives late, it needs a fold.
    named: BTreeSet<EventId>,
}

impl Growing {
    /// Folds these records.
    pub fn fold<'a>(records: impl IntoIterator<Item = &'a Record>) -> Self {
        let (world, skipped) = World::fold(records);
        let named = world.log.iter().flat_map(|entry| entry.event.names()).collect();
        Self { world, skipped, named }
    }

    /// The world.
    #[must_use]
    pub fn world(&self) -> &World {
        &self.world
    }

    /// The records that could not become part of it, and why.
    #[must_use]
    pub fn skipped(&self) -> &[Skipped] {
        &self.skipped
    }

    /// Adds a record that is new, or known with nothing changed.
    ///
    /// # Returns   False where the record changes what came before it: everything is to be folded again.
    #[must_use]
    pub fn add(&mut self, record: &Record) -> bool {
        if let Some(known) = self.world.entry(record.id) {
            // Under a clock that was set back it stands elsewhere in the order.
            return known.event.order() == record.order();
        }
        let Ok(event) = Event::read(record) else { return false };
        let last = self.world.log.last().map(|entry| entry.event.order());
        let changes_others = event.names().next().is_some() || self.named.contains(&event.id);
        if changes_others || last.is_some_and(|last| event.order() <= last) {
            return false;
        }
        if let Err(reason) = self.world.append(event) {
            self.skipped.push(Skipped { id: record.id, kind: record.kind.clone(), reason });
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::{EventsWithdrawn, NoteAdded, values::Piece};
    use crate::testing::Studio;

    #[test]
    fn it_is_the_fold_after_each_record_or_says_that_a_fold_is_needed() {
        let (mut studio, kiln) = Studio::with_kiln();
        let shelf = studio.shelf("F01", kiln);
        let note = |text: &str| NoteAdded { piece: Piece::Shelf(shelf), text: text.to_owned() };
        let first = studio.record(note("chipped"));
        studio.record(note("dusty"));
        studio.correct(first, note("chipped at a corner"));
        studio.record(EventsWithdrawn { events: vec![first], reason: String::new() });
        studio.record(note("clean"));
        let records = studio.records();
        let mut growing = Growing::default();
        let mut n_folds = 0;
        for n in 1..=records.len() {
            if !growing.add(&records[n - 1]) {
                n_folds += 1;
                growing = Growing::fold(&records[..n]);
            }
            assert_eq!(*growing.world(), World::fold(&records[..n]).0, "after {n}");
            assert!(growing.add(&records[0]), "known already");
        }
        assert_eq!(n_folds, 2, "for the correction and the withdrawal only");
        let moved = Record { hlc: crate::record::Hlc(1), ..records[4].clone() };
        assert!(!growing.add(&moved), "its clock was set back");
    }
}
