//! A small studio for tests: records bodies one after another, folds them, asks for pages, posts forms.
//!
//! What this does not do: stand in for the store or the server. Ids and clocks simply count up.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use crate::code::Code;
use crate::event::values::{Fuel, Instrument, Material, Piece, PostSection, Typed, Ware};
use crate::event::{Body, Event, KilnAdded, KilnFired, PostAdded, PostMeasured, ShelfAdded};
use crate::form::{self, FormValues, Problem, Submission};
use crate::ids::{DeviceId, EventId, FiringId, KilnId, PostId, ShelfId};
use crate::outline::Outline;
use crate::record::{Hlc, Record};
use crate::units::Length;
use crate::view::{Page, Request, page};
use crate::world::World;
use jiff::Timestamp;
use jiff::civil::{Date, date};
use uuid::Uuid;

/// The day of every request and record.
pub(crate) const TODAY: Date = date(2026, 3, 15);
/// Noon of that day, in milliseconds since 1970.
const NOON_MS: i64 = 1_773_576_000_000;

/// A studio under test.
#[derive(Default)]
pub(crate) struct Studio {
    records: Vec<Record>,
    ids: u128,
    minutes: i64,
}

impl Studio {
    /// A studio with one gas kiln, "big gas", that goes to cone 10.
    pub(crate) fn with_kiln() -> (Self, KilnId) {
        let mut studio = Self::default();
        let kiln = studio.kiln("big gas", Fuel::Gas, "10");
        (studio, kiln)
    }

    fn next_id(&mut self) -> Uuid {
        self.ids += 1;
        Uuid::from_u128(self.ids)
    }

    /// Everything recorded so far.
    pub(crate) fn records(&self) -> &[Record] {
        &self.records
    }

    /// Adds a kiln.
    pub(crate) fn kiln(&mut self, name: &str, fuel: Fuel, cone: &str) -> KilnId {
        let kiln = KilnId(self.next_id());
        let usual_cone = cone.to_owned().try_into().unwrap();
        self.record(KilnAdded { kiln, name: name.to_owned(), fuel, usual_cone });
        kiln
    }

    /// Adds a cordierite shelf of 600 x 300 x 19 mm.
    pub(crate) fn shelf(&mut self, code: &str, kiln: KilnId) -> ShelfId {
        self.shelf_of(code, kiln, Material::Cordierite)
    }

    /// Adds a shelf of 600 x 300 x 19 mm.
    pub(crate) fn shelf_of(&mut self, code: &str, kiln: KilnId, material: Material) -> ShelfId {
        let (length_nm, width_nm) = (Length::from_mm(600.0), Length::from_mm(300.0));
        self.shelf_like(code, kiln, material, Outline::Rectangle { length_nm, width_nm })
    }

    /// Adds a shelf 19 mm thick.
    pub(crate) fn shelf_like(
        &mut self,
        code: &str,
        kiln: KilnId,
        material: Material,
        outline: Outline,
    ) -> ShelfId {
        let shelf = ShelfId(self.next_id());
        self.record(ShelfAdded {
            shelf,
            code: Code::read(code).unwrap(),
            material,
            outline,
            thickness_nm: Length::from_mm(19.0),
            price_cents: Some(8_400),
            bought_on: Some(date(2025, 2, 1)),
            firings_before: 20,
            kiln,
            place: "rack B".to_owned(),
            graded: None,
        });
        shelf
    }

    /// Adds a square cordierite post, 38 mm wide.
    pub(crate) fn post(&mut self, code: &str, nominal_mm: f64, kiln: KilnId) -> PostId {
        let post = PostId(self.next_id());
        self.record(PostAdded {
            post,
            code: Code::read(code).unwrap(),
            material: Material::Cordierite,
            nominal_nm: Length::from_mm(nominal_mm),
            section: PostSection::Square,
            width_nm: Length::from_mm(38.0),
            price_cents: None,
            bought_on: None,
            firings_before: 0,
            kiln,
            place: String::new(),
        });
        post
    }

    /// Measures a post by caliper.
    pub(crate) fn height(&mut self, post: PostId, mm: f64) -> EventId {
        let height = Typed { nm: Length::from_mm(mm), text: mm.to_string() };
        self.record(PostMeasured { post, height, instrument: Instrument::Caliper, out_of_square: None })
    }

    /// Fires pieces once, to cone 10.
    pub(crate) fn fire(&mut self, kiln: KilnId, pieces: &[Piece]) {
        let firing = FiringId(self.next_id());
        let (ware, cone) = (Ware::Glaze, "10".to_owned().try_into().unwrap());
        let (pieces, note) = (pieces.to_vec(), String::new());
        self.record(KilnFired { firing, kiln, ware, cone, fired_on: TODAY, pieces, note, plan: None });
    }

    /// Lets days go by before the next record.
    pub(crate) fn later(&mut self, days: i64) {
        self.minutes += days * 24 * 60;
    }

    /// Records an event, a minute after the one before.
    pub(crate) fn record(&mut self, body: impl Into<Body>) -> EventId {
        self.minutes += 1;
        self.record_as(None, body.into())
    }

    /// Records a correction, a minute after the entry before.
    pub(crate) fn correct(&mut self, target: EventId, body: impl Into<Body>) -> EventId {
        self.minutes += 1;
        self.record_as(Some(target), body.into())
    }

    fn record_as(&mut self, corrects: Option<EventId>, body: Body) -> EventId {
        let id = EventId(self.next_id());
        let at_ms = NOON_MS + self.minutes * 60_000;
        let event = Event {
            id,
            device: DeviceId(Uuid::from_u128(1 << 100)),
            device_seq: self.records.len() as u64 + 1,
            hlc: Hlc(Hlc::at_ms(at_ms).0 + self.records.len() as u64),
            observed_at: Timestamp::from_millisecond(at_ms).unwrap(),
            corrects,
            body,
        };
        self.records.push(event.write().unwrap());
        id
    }

    /// Records everything that a form was read as, at one moment, and returns the events' ids.
    pub(crate) fn take(&mut self, submission: Submission) -> Vec<EventId> {
        self.minutes += 1;
        let corrects = submission.corrects;
        let bodies = submission.bodies.into_iter().enumerate();
        bodies.map(|(idx, body)| self.record_as(corrects.filter(|_| idx == 0), body)).collect()
    }

    /// What it all adds up to. Panics where a record could not be taken.
    pub(crate) fn world(&self) -> World {
        let (world, skipped) = World::fold(&self.records);
        assert!(skipped.is_empty(), "{skipped:?}");
        world
    }

    /// The page at `address`, which may have a query.
    pub(crate) fn get(&self, address: &str) -> Page {
        let (path, query) = address.split_once('?').unwrap_or((address, ""));
        let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        let request = Request {
            path: path.to_owned(),
            query: pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).collect(),
            today: TODAY,
            notices: Vec::new(),
        };
        page(&self.world(), &request)
    }

    /// Posts a form to the page at `address`.
    pub(crate) fn submit(
        &mut self,
        address: &str,
        fields: &[(&str, &str)],
    ) -> Result<Submission, Vec<Problem>> {
        let page = self.get(address);
        let pairs = fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned()));
        form::submit(&page, &FormValues::from_pairs(pairs), &mut || self.next_id())
    }
}

/// The problems of a refused form as `field: cause` lines, asked ones with a question mark in front.
pub(crate) fn said(problems: &[Problem]) -> Vec<String> {
    let line = |p: &Problem| format!("{}{}: {}", if p.ask { "?" } else { "" }, p.field, p.cause);
    problems.iter().map(line).collect()
}
