//! Collects what happened, each day's entries by one of three devices, and writes them as records.
use crate::chance::Chance;
use jiff::civil::Date;
use jiff::{Timestamp, tz::Offset};
use tripoise_core::event::{Body, Event};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::Hlc;
use uuid::{Builder, Uuid};

/// Which device an entry comes from.
#[derive(Clone, Copy)]
pub enum Device {
    /// The shared phone at the grinding bench.
    BenchPhone = 0,
    /// A tablet by the kilns.
    Tablet = 1,
}

struct Recorder {
    device: DeviceId,
    seq: u64,
    clock: Hlc,
}

/// What happened, in order.
pub struct Diary {
    recorders: Vec<Recorder>,
    events: Vec<Event>,
    /// Where chance comes from, for wear as for ids.
    pub chance: Chance,
    /// The moment of the next entry, in milliseconds since 1970.
    now_ms: i64,
}

impl Diary {
    /// An empty diary.
    pub fn new(seed: u64) -> Self {
        let mut chance = Chance::new(seed);
        let start = millis(jiff::civil::date(2023, 11, 1), 9);
        let recorders = (0..2)
            .map(|_| Recorder { device: DeviceId(id_at(start, &mut chance)), seq: 0, clock: Hlc(0) })
            .collect();
        Self { recorders, events: Vec::new(), chance, now_ms: start }
    }

    /// Moves on to an hour of a day; never back.
    pub fn turn_to(&mut self, day: Date, hour: i64) {
        self.now_ms = self.now_ms.max(millis(day, hour));
    }

    /// A new id of this moment.
    pub fn id(&mut self) -> Uuid {
        id_at(self.now_ms, &mut self.chance)
    }

    /// Records something now; the next entry follows within two minutes.
    pub fn write(&mut self, device: Device, body: impl Into<Body>) -> EventId {
        self.write_over(device, body, None)
    }

    /// Records something that corrects an earlier entry.
    pub fn write_over(
        &mut self,
        device: Device,
        body: impl Into<Body>,
        corrects: Option<EventId>,
    ) -> EventId {
        let id = EventId(self.id());
        let observed_at = Timestamp::from_millisecond(self.now_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        let recorder = &mut self.recorders[device as usize];
        recorder.seq += 1;
        recorder.clock = recorder.clock.tick(self.now_ms);
        let (device, device_seq, hlc) = (recorder.device, recorder.seq, recorder.clock);
        self.events.push(Event { id, device, device_seq, hlc, observed_at, corrects, body: body.into() });
        self.now_ms += 20_000 + i64::try_from(self.chance.bits() % 80_000).unwrap_or(0);
        id
    }

    /// One line an event.
    pub fn jsonl(&self) -> Result<String, serde_json::Error> {
        let mut text = String::new();
        for event in &self.events {
            text.push_str(&serde_json::to_string(&event.write()?)?);
            text.push('\n');
        }
        Ok(text)
    }
}

fn millis(day: Date, hour: i64) -> i64 {
    let midnight = Offset::UTC.to_timestamp(day.at(0, 0, 0, 0));
    midnight.map_or(0, Timestamp::as_millisecond) + hour * 3_600_000
}

fn id_at(ms: i64, chance: &mut Chance) -> Uuid {
    let mut random = [0; 10];
    random[..8].copy_from_slice(&chance.bits().to_be_bytes());
    random[8..].copy_from_slice(&chance.bits().to_be_bytes()[..2]);
    Builder::from_unix_timestamp_millis(ms.unsigned_abs(), &random).into_uuid()
}
