//! `/bench/undo`: the last ten entries of one device, each taken back with one tap.
//!
//! The address names the device (`device=ID`), which only the browser knows; without it the newest entries of the
//! whole studio stand there. What was recorded by one tap is one entry here, however many events it made.
use crate::event::Body;
use crate::ids::{DeviceId, EventId};
use crate::view::history;
use crate::view::route::{Parts, Request};
use crate::view::{FormState, PageData, Tab, bench::BenchPage, text};
use crate::world::{LogEntry, World};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// How many entries can be taken back here; older ones by their own pages.
pub const MOST: usize = 10;

/// The page.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Undo {
    /// Whose entries these are; none for the whole studio's.
    pub device: Option<DeviceId>,
    /// The page's address with the device in it: where an undo leads back to.
    pub address: String,
    /// The entries, newest first.
    pub taps: Vec<Tap>,
}

/// What was recorded by one tap.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Tap {
    /// "2026-03-01 14:05", in UTC.
    pub at: String,
    /// What happened, a line each.
    pub said: Vec<String>,
    /// What one tap takes back; empty where all of it was taken back already.
    pub undo: Vec<EventId>,
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let device: Option<DeviceId> = request.query("device").parse().ok();
    let address =
        device.map_or_else(|| "/bench/undo".to_owned(), |device| format!("/bench/undo?device={device}"));
    let whose = if device.is_some() { "of this device" } else { "of the whole studio" };
    let data = Undo { device, address, taps: taps(world, device) };
    Parts {
        title: "Take back".to_owned(),
        subtitle: format!("the last {MOST} entries {whose}"),
        tab: Tab::NextLoad,
        data: PageData::Bench(BenchPage::Undo(data)),
        form: FormState::default(),
    }
}

fn taps(world: &World, device: Option<DeviceId>) -> Vec<Tap> {
    let mut taps: Vec<(DeviceId, Timestamp, Tap)> = Vec::new();
    let of_device = |entry: &&LogEntry| device.is_none_or(|device| entry.event.device == device);
    let entries = world.log.iter().rev().filter(of_device);
    for entry in entries.filter(|entry| !matches!(entry.event.body, Body::EventsWithdrawn(_))) {
        let key = (entry.event.device, entry.event.observed_at);
        let known = taps.iter().position(|(device, at, _)| (*device, *at) == key);
        let idx = match known {
            Some(idx) => idx,
            None if taps.len() == MOST => break,
            None => {
                let at = text::moment(key.1);
                taps.push((key.0, key.1, Tap { at, said: Vec::new(), undo: Vec::new() }));
                taps.len() - 1
            }
        };
        let tap = &mut taps[idx].2;
        tap.said.insert(0, history::said(world, &entry.event));
        if crate::view::entry::counts(entry)
            || matches!(entry.standing, crate::world::Standing::Corrected { .. })
        {
            tap.undo.insert(0, entry.event.id);
        }
    }
    taps.into_iter().map(|(_, _, tap)| tap).collect()
}
