//! What only this device can give a record: its clock, new ids, and who it is.
//!
//! What this does not do: number or keep records; the phone's store does, in one transaction.
use tripoise_core::event::Body;
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::Hlc;
use tripoise_core::sync::{Draft, Phone};
use uuid::{NoContext, Uuid};

/// Where builds before the phone's store kept the device's id, its count and its clock.
const DEVICE: &str = "tripoise.device";
const SEQUENCE: &str = "tripoise.device_seq";
const CLOCK: &str = "tripoise.hlc";

/// Milliseconds since 1970 by this device's clock.
#[expect(clippy::cast_possible_truncation, reason = "Date.now() is a whole number of milliseconds")]
pub fn now_ms() -> i64 {
    js_sys::Date::now() as i64
}

/// A new `UUIDv7`.
pub fn new_id() -> Uuid {
    let ms = now_ms().unsigned_abs();
    let nanos = u32::try_from(ms % 1000).unwrap_or(0) * 1_000_000;
    Uuid::new_v7(uuid::Timestamp::from_unix(NoContext, ms / 1000, nanos))
}

/// The entries that a form made, each with its new id.
pub fn drafts(bodies: &[Body], corrects: Option<EventId>) -> Vec<Draft> {
    let draft = |(idx, body): (usize, &Body)| Draft {
        id: EventId(new_id()),
        body: body.clone(),
        corrects: corrects.filter(|_| idx == 0),
    };
    bodies.iter().enumerate().map(draft).collect()
}

/// The row of a phone that has none yet: the device that an earlier build named, or a new one.
pub fn first_phone() -> Phone {
    let Some(device) = kept(DEVICE).and_then(|text| text.parse().ok()) else {
        return Phone::new(DeviceId(new_id()));
    };
    let device_seq = kept(SEQUENCE).and_then(|text| text.parse().ok()).unwrap_or(0);
    let hlc = kept(CLOCK).and_then(|text| u64::from_str_radix(&text, 16).ok()).map_or(Hlc(0), Hlc);
    Phone { device_seq, hlc, ..Phone::new(device) }
}

/// What this browser keeps under a name for this site.
pub fn kept(name: &str) -> Option<String> {
    web_sys::window()?.local_storage().ok()??.get_item(name).ok()?
}
