//! What must hold once nothing changes any more.
use crate::phone::marks;
use crate::studio::Studio;
use std::collections::{BTreeMap, BTreeSet};
use tripoise_core::ids::EventId;
use tripoise_core::record::Record;
use tripoise_core::sync::WaitState;
use tripoise_core::world::World;

/// Everything.
pub fn all(studio: &Studio) -> Result<(), String> {
    let on_server = studio.server.records()?;
    sides_are_equal(studio, &on_server)?;
    nothing_is_lost(studio, &on_server)?;
    nothing_is_doubled(studio, &on_server)?;
    refusals_are_true(studio)
}

fn sides_are_equal(studio: &Studio, on_server: &[Record]) -> Result<(), String> {
    let truth = World::fold(on_server);
    for (idx, phone) in studio.phones.iter().enumerate() {
        let held = &phone.held;
        let following = (held.phone.epoch, held.phone.cursor, held.phone.is_mending());
        let expected = (Some(studio.server.epoch()), on_server.len() as u64, false);
        if following != expected {
            return Err(format!("phone {idx} follows {following:?} and not {expected:?}"));
        }
        if let Some(waiting) = held.waiting.values().find(|entry| entry.counts()) {
            return Err(format!("on phone {idx} {} still waits: {:?}", waiting.record.id, waiting.state));
        }
        let records: Vec<Record> = held.records().cloned().collect();
        if World::fold(&records) != truth {
            return Err(format!("phone {idx} shows another world than the server"));
        }
    }
    Ok(())
}

fn nothing_is_lost(studio: &Studio, on_server: &[Record]) -> Result<(), String> {
    let there: BTreeSet<EventId> = on_server.iter().map(|record| record.id).collect();
    for (id, owner) in &studio.must {
        if there.contains(id) {
            continue;
        }
        // Where its own phone, or for another's entry any phone, shows it with the server's refusal.
        let mut phones =
            studio.phones.iter().enumerate().filter(|(idx, _)| owner.is_none_or(|own| own == *idx));
        let shown =
            phones.any(|(_, phone)| phone.held.not_taken().iter().any(|entry| entry.record.id == *id));
        if !shown {
            return Err(format!("{id} of phone {owner:?} is neither on the server nor shown on the phone"));
        }
    }
    let mut kept = marks(on_server.iter());
    for phone in &studio.phones {
        for (mark, n) in marks(phone.held.waiting.values().map(|entry| &entry.record)) {
            kept.entry(mark).or_insert(n);
        }
    }
    match studio.marks.iter().find(|mark| !kept.contains_key(*mark)) {
        Some(mark) => Err(format!("mark {mark} was recorded and is gone")),
        None => Ok(()),
    }
}

fn nothing_is_doubled(studio: &Studio, on_server: &[Record]) -> Result<(), String> {
    if let Some((mark, n)) = marks(on_server.iter()).into_iter().find(|(_, n)| *n > 1) {
        return Err(format!("mark {mark} is on the server {n} times"));
    }
    for (idx, phone) in studio.phones.iter().enumerate() {
        let mut ids = BTreeSet::new();
        if let Some(twice) = phone.held.records().find(|record| !ids.insert(record.id)) {
            return Err(format!("phone {idx} holds {} twice", twice.id));
        }
    }
    let mut numbers: BTreeMap<_, EventId> = BTreeMap::new();
    for record in on_server {
        if let Some(other) = numbers.insert((record.device, record.device_seq), record.id) {
            return Err(format!("{other} and {} have the same device and number", record.id));
        }
    }
    Ok(())
}

/// An entry that stays refused is one that the server refuses at this very moment.
fn refusals_are_true(studio: &Studio) -> Result<(), String> {
    let mut server = crate::server::Server::holding(studio.server.records()?)?;
    for (idx, phone) in studio.phones.iter().enumerate() {
        let mut forms: BTreeMap<EventId, Vec<Record>> = BTreeMap::new();
        for entry in phone.held.not_taken() {
            match &entry.state {
                WaitState::Refused { .. } => {
                    forms
                        .entry(entry.form.unwrap_or(entry.record.id))
                        .or_default()
                        .push(entry.record.clone());
                }
                other => return Err(format!("phone {idx} shows {}: {other:?}", entry.record.id)),
            }
        }
        for (form, records) in forms {
            if !server.refuses(&records, studio.now_ms())? {
                return Err(format!("phone {idx} shows {form} as refused, and the server would take it"));
            }
        }
    }
    Ok(())
}
