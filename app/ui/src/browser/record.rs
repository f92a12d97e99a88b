//! Wraps what a form said into records: id, device, sequence, clock.
//!
//! What this does not do: keep them. Until the phone has a store of its own, a record lives in this tab
//! from the tap to the server's answer, and only the answer counts as saved.
use jiff::Timestamp;
use tripoise_core::event::{Body, Event};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::{Hlc, Record};
use uuid::{NoContext, Uuid};

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

/// Records for these bodies, in order, on this device.
///
/// # Errors   One line, where the browser gives this page no storage or a body cannot be written.
pub fn wrap(bodies: Vec<Body>, corrects: Option<EventId>) -> Result<Vec<Record>, String> {
    let storage = storage()?;
    let device = device(&storage)?;
    let mut sequence: u64 = read(&storage, SEQUENCE).and_then(|text| text.parse().ok()).unwrap_or(0);
    let mut clock =
        Hlc(read(&storage, CLOCK).and_then(|text| u64::from_str_radix(&text, 16).ok()).unwrap_or(0));
    let now = now_ms();
    let observed_at =
        Timestamp::from_millisecond(now).map_err(|_| "this device's clock is wrong".to_owned())?;
    let mut records = Vec::with_capacity(bodies.len());
    for (idx, body) in bodies.into_iter().enumerate() {
        sequence += 1;
        clock = clock.tick(now);
        let event = Event {
            id: EventId(new_id()),
            device,
            device_seq: sequence,
            hlc: clock,
            observed_at,
            corrects: corrects.filter(|_| idx == 0),
            body,
        };
        records.push(event.write().map_err(|cause| cause.to_string())?);
    }
    write(&storage, SEQUENCE, &sequence.to_string())?;
    write(&storage, CLOCK, &clock.to_string())?;
    Ok(records)
}

fn storage() -> Result<web_sys::Storage, String> {
    let refused = || "this browser keeps nothing for this page; allow site data and try again".to_owned();
    let window = web_sys::window().ok_or_else(refused)?;
    window.local_storage().ok().flatten().ok_or_else(refused)
}

/// Who this browser is, where it has recorded anything.
pub fn known_device() -> Option<DeviceId> {
    read(&storage().ok()?, DEVICE)?.parse().ok()
}

fn device(storage: &web_sys::Storage) -> Result<DeviceId, String> {
    if let Some(known) = read(storage, DEVICE).and_then(|text| text.parse().ok()) {
        return Ok(known);
    }
    let device = DeviceId(new_id());
    write(storage, DEVICE, &device.to_string())?;
    Ok(device)
}

fn read(storage: &web_sys::Storage, key: &str) -> Option<String> {
    storage.get_item(key).ok().flatten()
}

fn write(storage: &web_sys::Storage, key: &str, value: &str) -> Result<(), String> {
    storage
        .set_item(key, value)
        .map_err(|_| "this browser's storage is full; free some and try again".to_owned())
}
