//! Which events still count: withdrawals and corrections resolved over the whole log.
//!
//! A correction takes the place of the event it corrects, at that event's place in time, so that a height
//! mistyped last month does not become today's reading. Chains are followed to their end.
use crate::event::{Body, Event};
use crate::ids::EventId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Whether an event counts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Standing {
    /// It counts.
    Stands,
    /// It was taken back.
    Withdrawn {
        /// The withdrawal.
        by: EventId,
    },
    /// Another event stands in its place.
    Corrected {
        /// The correction that counts at this place.
        by: Arc<Event>,
    },
    /// It stands in the place of an earlier event, and counts there.
    Correction {
        /// The event it corrects.
        of: EventId,
    },
}

impl Standing {
    /// The event whose body takes effect at this place: the event itself, its correction, or none.
    #[must_use]
    pub(super) fn effect(&self, event: &Arc<Event>) -> Option<Arc<Event>> {
        match self {
            Self::Stands => Some(Arc::clone(event)),
            Self::Corrected { by } => Some(Arc::clone(by)),
            Self::Withdrawn { .. } | Self::Correction { .. } => None,
        }
    }
}

/// The standing of every event, in the same order. `ordered` is in the fold's order.
pub(super) fn resolve(ordered: &[Arc<Event>]) -> Vec<Standing> {
    let withdrawn = withdrawals(ordered);
    let known: BTreeSet<EventId> = ordered.iter().map(|event| event.id).collect();
    let mut corrected_by: BTreeMap<EventId, Arc<Event>> = BTreeMap::new();
    for event in ordered {
        if let Some(target) = event.corrects
            && known.contains(&target)
            && !withdrawn.contains_key(&event.id)
        {
            // A later correction of the same event wins.
            corrected_by.insert(target, Arc::clone(event));
        }
    }
    ordered
        .iter()
        .map(|event| {
            if let Some(by) = withdrawn.get(&event.id) {
                return Standing::Withdrawn { by: *by };
            }
            match event.corrects.filter(|target| known.contains(target)) {
                Some(of) => Standing::Correction { of },
                None => match last_of_chain(event.id, &corrected_by) {
                    Some(by) => Standing::Corrected { by },
                    None => Standing::Stands,
                },
            }
        })
        .collect()
}

/// Withdrawn event → the withdrawal. Decided from the latest backwards, so that an undone undo undoes nothing.
fn withdrawals(ordered: &[Arc<Event>]) -> BTreeMap<EventId, EventId> {
    let mut withdrawn = BTreeMap::new();
    for event in ordered.iter().rev() {
        if let Body::EventsWithdrawn(body) = &event.body
            && !withdrawn.contains_key(&event.id)
        {
            for target in body.events.iter().filter(|target| **target != event.id) {
                withdrawn.entry(*target).or_insert(event.id);
            }
        }
    }
    withdrawn
}

fn last_of_chain(start: EventId, corrected_by: &BTreeMap<EventId, Arc<Event>>) -> Option<Arc<Event>> {
    let mut seen = BTreeSet::from([start]);
    let mut last = None;
    let mut at = start;
    while let Some(next) = corrected_by.get(&at) {
        if !seen.insert(next.id) {
            break;
        }
        at = next.id;
        last = Some(Arc::clone(next));
    }
    last
}
