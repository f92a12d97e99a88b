//! What is known of each shelf, post, set, kiln and firing.
use crate::code::Code;
use crate::cone_name::ConeName;
use crate::event::values::{
    Face, Fuel, GrindMethod, HoldReason, Instrument, Material, Piece, PostSection, RetireReason, Ring, Use,
    Ware,
};
use crate::event::{Event, ShelfMeasured};
use crate::ids::{CrackId, EventId, FiringId, KilnId, PostId, SetId, ShelfId};
use crate::outline::{Outline, Spot};
use crate::units::Length;
use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// When and by which event something became known.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Stamp {
    /// The event at whose place it happened (for a correction: the event corrected).
    pub event: EventId,
    /// When it was observed.
    pub at: Timestamp,
}

impl Stamp {
    pub(super) fn of(event: &Event) -> Self {
        Self { event: event.id, at: event.observed_at }
    }
}

/// A kiln.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Kiln {
    /// Its id.
    pub id: KilnId,
    /// Its name.
    pub name: String,
    /// What heats it.
    pub fuel: Fuel,
    /// The cone it usually goes to.
    pub usual_cone: ConeName,
    /// Its inside, once it was measured.
    pub inside: Option<super::plans::KilnInside>,
}

/// A piece on hold.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Hold {
    /// Why.
    pub reason: HoldReason,
    /// In the user's words, or the tool's where the hold follows from an entry.
    pub note: String,
    /// Since when.
    pub since: Stamp,
}

/// A retired piece.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Retired {
    /// Why.
    pub reason: RetireReason,
    /// In the user's words.
    pub note: String,
    /// When.
    pub stamp: Stamp,
}

/// One reading of a shelf's face.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfReading {
    /// When.
    pub stamp: Stamp,
    /// The shelf's firings at that time.
    pub firings_then: u32,
    /// What was read.
    pub measured: ShelfMeasured,
    /// Whether the face was ground or washed after it, so that it no longer describes the shelf.
    pub stale: bool,
}

/// The last coat of wash on a face.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Wash {
    /// What it was made of.
    pub recipe: String,
    /// How many coats.
    pub coats: u8,
    /// When.
    pub stamp: Stamp,
    /// The shelf's firings at that time.
    pub firings_then: u32,
}

/// A crack, as last read.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Crack {
    /// Its id.
    pub id: CrackId,
    /// Its start.
    pub from: Spot,
    /// Its end.
    pub to: Spot,
    /// What the tap test said.
    pub ring: Ring,
    /// In the user's words.
    pub note: String,
    /// When it was last read.
    pub stamp: Stamp,
}

/// A shelf.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Shelf {
    /// Its id.
    pub id: ShelfId,
    /// Its code.
    pub code: Code,
    /// What it is made of.
    pub material: Material,
    /// Its shape and size.
    pub outline: Outline,
    /// Its thickness when new.
    pub thickness: Length,
    /// What grinding took off, as far as it was noted.
    pub ground_off: Length,
    /// What it cost, in hundredths.
    pub price_cents: Option<i64>,
    /// When it was bought.
    pub bought_on: Option<Date>,
    /// Firings before the record began.
    pub firings_before: u32,
    /// Firings since, by the firings on record.
    pub firings_logged: u32,
    /// The kiln whose racks it is in.
    pub kiln: KilnId,
    /// Where it stands.
    pub place: String,
    /// Its grade by eye.
    pub graded: Option<Use>,
    /// The face that is up.
    pub up: Face,
    /// Its readings, oldest first.
    pub readings: Vec<ShelfReading>,
    /// The wash on each face.
    pub washes: BTreeMap<Face, Wash>,
    /// Its cracks.
    pub cracks: BTreeMap<CrackId, Crack>,
    /// The last tap test.
    pub ring: Option<(Ring, Stamp)>,
    /// The last grinding: wet or dry, and the firings then.
    pub last_ground: Option<(GrindMethod, Stamp, u32)>,
    /// Minutes of grinding noted.
    pub grinding_minutes: u32,
    /// The hold, if any.
    pub hold: Option<Hold>,
    /// The retirement, if any.
    pub retired: Option<Retired>,
    /// When it was added.
    pub added: Stamp,
}

impl Shelf {
    /// All its firings.
    #[must_use]
    pub fn firings(&self) -> u32 {
        self.firings_before.saturating_add(self.firings_logged)
    }

    /// Its thickness now, as far as grinding was noted.
    #[must_use]
    pub fn thickness_now(&self) -> Length {
        self.thickness - self.ground_off
    }

    /// Its newest reading, of whichever face.
    #[must_use]
    pub fn last_reading(&self) -> Option<&ShelfReading> {
        self.readings.last()
    }
}

/// One reading of a post.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PostReading {
    /// When.
    pub stamp: Stamp,
    /// The post's firings at that time.
    pub firings_then: u32,
    /// Its height.
    pub height: Length,
    /// What was typed.
    pub text: String,
    /// What was read with.
    pub instrument: Instrument,
    /// How far the worse end is out of square.
    pub out_of_square: Option<Length>,
    /// Whether the post was dressed after it.
    pub stale: bool,
}

/// A post.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Post {
    /// Its id.
    pub id: PostId,
    /// Its code.
    pub code: Code,
    /// What it is made of.
    pub material: Material,
    /// The height it was sold as.
    pub nominal: Length,
    /// Its section.
    pub section: PostSection,
    /// Its width.
    pub width: Length,
    /// What it cost, in hundredths.
    pub price_cents: Option<i64>,
    /// When it was bought.
    pub bought_on: Option<Date>,
    /// Firings before the record began.
    pub firings_before: u32,
    /// Firings since.
    pub firings_logged: u32,
    /// The kiln whose racks it is in.
    pub kiln: KilnId,
    /// Where it stands.
    pub place: String,
    /// Its readings, oldest first.
    pub readings: Vec<PostReading>,
    /// The last dressing.
    pub last_dressed: Option<Stamp>,
    /// The hold, if any.
    pub hold: Option<Hold>,
    /// The retirement, if any.
    pub retired: Option<Retired>,
    /// When it was added.
    pub added: Stamp,
}

impl Post {
    /// All its firings.
    #[must_use]
    pub fn firings(&self) -> u32 {
        self.firings_before.saturating_add(self.firings_logged)
    }

    /// Its newest reading.
    #[must_use]
    pub fn last_reading(&self) -> Option<&PostReading> {
        self.readings.last()
    }

    /// Its newest reading where that still holds: none after a dressing.
    #[must_use]
    pub fn height_reading(&self) -> Option<&PostReading> {
        self.last_reading().filter(|reading| !reading.stale)
    }
}

/// A set of posts.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PostSet {
    /// Its id.
    pub id: SetId,
    /// Its code.
    pub code: Code,
    /// Its posts in their places.
    pub posts: Vec<PostId>,
    /// The shelf it is judged under.
    pub shelf: Option<ShelfId>,
    /// How far the posts stand in from the edge.
    pub inset: Length,
    /// When it was made.
    pub made: Stamp,
    /// When and why it was taken apart.
    pub parted: Option<(Stamp, String)>,
}

/// A firing.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Firing {
    /// Its id.
    pub id: FiringId,
    /// The kiln.
    pub kiln: KilnId,
    /// Bisque or glaze.
    pub ware: Ware,
    /// The cone.
    pub cone: ConeName,
    /// The day.
    pub fired_on: Date,
    /// What was in it.
    pub pieces: Vec<Piece>,
    /// In the user's words.
    pub note: String,
    /// When it was logged.
    pub stamp: Stamp,
    /// The plan it was loaded by.
    pub plan: Option<crate::ids::PlanId>,
    /// When all of it was first looked over.
    pub checked: Option<Stamp>,
}
