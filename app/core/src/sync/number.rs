//! Numbering: what a form said becomes records of this device.
use super::{Held, WaitState, Waiting, Write};
use crate::event::{Body, Event};
use crate::ids::EventId;
use crate::record::Record;
use jiff::Timestamp;

/// One entry that a form made, with its new id.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Draft {
    /// `UUIDv7`.
    pub id: EventId,
    /// What happened.
    pub body: Body,
    /// The event that it replaces.
    pub corrects: Option<EventId>,
}

impl Held {
    /// Numbers the entries of one form and puts them down to wait, together. Needs the phone's row and the
    /// waiting entries. The same drafts once more are the same records: a try that seemed to fail had gone
    /// through. A photo that an entry names waits from then on.
    ///
    /// # Returns   The records, in the order given, and the write that keeps them.
    /// # Errors    One line: the clock shows a year that cannot be written down.
    pub fn record(&self, drafts: Vec<Draft>, now_ms: i64) -> Result<(Vec<Record>, Write), String> {
        let observed_at = Timestamp::from_millisecond(now_ms)
            .map_err(|_| "this phone's clock is wrong; set it and try again".to_owned())?;
        let there = drafts.iter().map(|draft| self.waiting.get(&draft.id).map(|entry| entry.record.clone()));
        if let Some(records) = there.collect::<Option<Vec<Record>>>() {
            return Ok((records, Write::default()));
        }
        let put_photos = self.tie_photos(&drafts);
        let mut phone = self.phone.clone();
        let form = drafts.first().map(|first| first.id).filter(|_| drafts.len() > 1);
        let mut records = Vec::with_capacity(drafts.len());
        for Draft { id, body, corrects } in drafts {
            phone.device_seq += 1;
            phone.hlc = phone.hlc.tick(now_ms);
            let (device, device_seq, hlc) = (phone.device, phone.device_seq, phone.hlc);
            let event = Event { id, device, device_seq, hlc, observed_at, corrects, body };
            records.push(event.write().map_err(|cause| cause.to_string())?);
        }
        let waits = |record: &Record| Waiting { record: record.clone(), form, state: WaitState::ToSend };
        let put_waiting = records.iter().map(waits).collect();
        Ok((records, Write { phone: Some(phone), put_waiting, put_photos, ..Write::default() }))
    }
}
