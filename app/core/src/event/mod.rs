//! Everything that can happen to kiln furniture: one file per kind, one variant per kind.
//!
//! A body is a fact in the past tense. It carries no floating-point number, so events compare exactly,
//! and it keeps the text as it was typed beside the value that was understood.
//!
//! **Add an event:** a file here, a golden file in `app/core/golden/`, a line in the macro below; the
//! compiler then lists the places in [`crate::world`] and [`crate::view`] that must know it.

pub mod plan;
pub mod values;

mod crack_found;
mod events_withdrawn;
mod finding_noted;
mod firing_checked;
mod kiln_added;
mod kiln_chamber_set;
mod kiln_fired;
mod label_grid_set;
mod labels_made;
mod note_added;
mod photo_taken;
mod piece_held;
mod piece_moved;
mod piece_released;
mod piece_retired;
mod piece_returned;
mod plan_dropped;
mod plan_overruled;
mod plan_saved;
mod plan_ticked;
mod post_added;
mod post_dressed;
mod post_measured;
mod set_made;
mod set_parted;
mod setting_changed;
mod shelf_added;
mod shelf_flipped;
mod shelf_graded;
mod shelf_ground;
mod shelf_measured;
mod shelf_tapped;
mod shelf_washed;
mod studio_named;

pub use crack_found::CrackFound;
pub use events_withdrawn::EventsWithdrawn;
pub use finding_noted::FindingNoted;
pub use firing_checked::FiringChecked;
pub use kiln_added::KilnAdded;
pub use kiln_chamber_set::KilnChamberSet;
pub use kiln_fired::KilnFired;
pub use label_grid_set::LabelGridSet;
pub use labels_made::{LabelsMade, MadeLabel};
pub use note_added::NoteAdded;
pub use photo_taken::PhotoTaken;
pub use piece_held::PieceHeld;
pub use piece_moved::PieceMoved;
pub use piece_released::PieceReleased;
pub use piece_retired::PieceRetired;
pub use piece_returned::PieceReturned;
pub use plan_dropped::PlanDropped;
pub use plan_overruled::PlanOverruled;
pub use plan_saved::PlanSaved;
pub use plan_ticked::PlanTicked;
pub use post_added::PostAdded;
pub use post_dressed::PostDressed;
pub use post_measured::PostMeasured;
pub use set_made::SetMade;
pub use set_parted::SetParted;
pub use setting_changed::SettingChanged;
pub use shelf_added::ShelfAdded;
pub use shelf_flipped::ShelfFlipped;
pub use shelf_graded::ShelfGraded;
pub use shelf_ground::ShelfGround;
pub use shelf_measured::{Against, Dip, LineReading, ShelfMeasured, SurfaceReading};
pub use shelf_tapped::ShelfTapped;
pub use shelf_washed::ShelfWashed;
pub use studio_named::StudioNamed;

use crate::ids::{DeviceId, EventId};
use crate::record::{Hlc, Order, Record};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;

macro_rules! event_kinds {
    ($($variant:ident = $name:literal),+ $(,)?) => {
        /// What happened.
        #[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
        pub enum Body {
            $(
                #[doc = concat!("See [`", stringify!($variant), "`].")]
                #[serde(rename = $name)]
                $variant($variant),
            )+
        }

        /// The name of every kind, in the order of this list.
        pub const KINDS: &[&str] = &[$($name),+];

        impl Body {
            /// The kind's name as stored.
            #[must_use]
            pub fn kind(&self) -> &'static str {
                match self { $(Self::$variant(_) => $name),+ }
            }

            fn body_value(&self) -> Result<Value, serde_json::Error> {
                match self { $(Self::$variant(body) => serde_json::to_value(body)),+ }
            }

            fn decode(kind: &str, body: &Value) -> Result<Self, Unreadable> {
                match kind {
                    $($name => $variant::deserialize(body).map(Self::$variant).map_err(|cause| {
                        Unreadable::Body { kind: kind.to_owned(), cause: cause.to_string() }
                    }),)+
                    _ => Err(Unreadable::Kind { kind: kind.to_owned() }),
                }
            }
        }

        $(impl From<$variant> for Body {
            fn from(body: $variant) -> Self {
                Self::$variant(body)
            }
        })+
    };
}

event_kinds! {
    KilnAdded = "kiln_added",
    ShelfAdded = "shelf_added",
    PostAdded = "post_added",
    ShelfGraded = "shelf_graded",
    ShelfMeasured = "shelf_measured",
    PostMeasured = "post_measured",
    SetMade = "set_made",
    SetParted = "set_parted",
    ShelfGround = "shelf_ground",
    PostDressed = "post_dressed",
    ShelfWashed = "shelf_washed",
    CrackFound = "crack_found",
    ShelfTapped = "shelf_tapped",
    ShelfFlipped = "shelf_flipped",
    PieceHeld = "piece_held",
    PieceReleased = "piece_released",
    PieceMoved = "piece_moved",
    PieceRetired = "piece_retired",
    PieceReturned = "piece_returned",
    KilnFired = "kiln_fired",
    NoteAdded = "note_added",
    SettingChanged = "setting_changed",
    EventsWithdrawn = "events_withdrawn",
    StudioNamed = "studio_named",
    LabelsMade = "labels_made",
    LabelGridSet = "label_grid_set",
    KilnChamberSet = "kiln_chamber_set",
    PlanSaved = "plan_saved",
    PlanOverruled = "plan_overruled",
    PlanTicked = "plan_ticked",
    PlanDropped = "plan_dropped",
    FindingNoted = "finding_noted",
    FiringChecked = "firing_checked",
    PhotoTaken = "photo_taken",
}

/// The version of every kind's body that this build writes.
pub const SCHEMA: u32 = 1;

/// Why a record could not be read as an event. It is kept all the same.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum Unreadable {
    /// A kind that this build does not know.
    #[error("kind {kind:?} is not known here; it may come from a newer Tripoise")]
    Kind {
        /// The kind.
        kind: String,
    },
    /// A version that this build does not know.
    #[error("{kind} of version {schema} is newer than this build reads ({SCHEMA})")]
    Schema {
        /// The kind.
        kind: String,
        /// The version.
        schema: u32,
    },
    /// A body that does not fit its kind.
    #[error("the body of this {kind} does not fit: {cause}")]
    Body {
        /// The kind.
        kind: String,
        /// What the decoder said.
        cause: String,
    },
}

/// A record whose body could be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Event {
    /// The record's id.
    pub id: EventId,
    /// Who recorded it.
    pub device: DeviceId,
    /// Counts the device's own events.
    pub device_seq: u64,
    /// The fold's clock.
    pub hlc: Hlc,
    /// The recorder's wall clock.
    pub observed_at: Timestamp,
    /// The event that this one replaces.
    pub corrects: Option<EventId>,
    /// What happened.
    pub body: Body,
}

impl Event {
    /// Types a record's body.
    ///
    /// # Errors   [`Unreadable`] with the cause, when the kind, version or body is not one this build reads.
    pub fn read(record: &Record) -> Result<Self, Unreadable> {
        if record.schema != SCHEMA {
            let kind = record.kind.clone();
            return Err(Unreadable::Schema { kind, schema: record.schema });
        }
        Ok(Self {
            id: record.id,
            device: record.device,
            device_seq: record.device_seq,
            hlc: record.hlc,
            observed_at: record.observed_at,
            corrects: record.corrects,
            body: Body::decode(&record.kind, &record.body)?,
        })
    }

    /// The stored form.
    ///
    /// # Errors   Only when a body cannot be written as JSON, which none of the kinds here can cause.
    pub fn write(&self) -> Result<Record, serde_json::Error> {
        Ok(Record {
            id: self.id,
            device: self.device,
            device_seq: self.device_seq,
            hlc: self.hlc,
            hlc_claimed: None,
            observed_at: self.observed_at,
            corrects: self.corrects,
            kind: self.body.kind().to_owned(),
            schema: SCHEMA,
            body: self.body.body_value()?,
        })
    }

    /// The events that this one corrects or withdraws.
    pub fn names(&self) -> impl Iterator<Item = EventId> {
        let withdrawn = match &self.body {
            Body::EventsWithdrawn(body) => body.events.clone(),
            _ => Vec::new(),
        };
        self.corrects.into_iter().chain(withdrawn)
    }

    /// The event's place in the fold.
    #[must_use]
    pub fn order(&self) -> Order {
        Order(self.hlc, self.device, self.device_seq)
    }
}

#[cfg(test)]
mod golden;
#[cfg(test)]
pub mod samples;
