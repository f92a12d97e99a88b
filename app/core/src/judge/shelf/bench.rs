//! A small world for tests: one kiln, shelves, and what happened to them in order.
use crate::code::Code;
use crate::cone_name::ConeName;
use crate::event::values::{Face, Fuel, Instrument, Material, Piece, Typed, Ware};
use crate::event::{
    Against, Body, Dip, Event, KilnAdded, KilnFired, LineReading, ShelfAdded, ShelfMeasured, SurfaceReading,
};
use crate::ids::{DeviceId, EventId, FiringId, KilnId, ShelfId};
use crate::outline::{Line, Outline};
use crate::record::Hlc;
use crate::units::Length;
use crate::world::{Shelf, World};
use jiff::Timestamp;
use uuid::Uuid;

/// A world under way.
pub(crate) struct Bench {
    pub world: World,
    pub kiln: KilnId,
    next: u128,
}

pub(crate) type Outcome = Result<(), String>;

pub(crate) fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

/// A slab of 600 by 300.
pub(crate) fn slab() -> Outline {
    Outline::Rectangle { length_nm: mm(600.0), width_nm: mm(300.0) }
}

impl Bench {
    /// A kiln that goes to this cone.
    pub fn new(cone: &str) -> Result<Self, String> {
        let kiln = KilnId(Uuid::from_u128(1));
        let mut bench = Self { world: World::default(), kiln, next: 100 };
        let usual_cone = ConeName::read(cone).map_err(|cause| cause.to_string())?;
        bench.did(KilnAdded { kiln, name: "Gas".to_owned(), fuel: Fuel::Gas, usual_cone })?;
        Ok(bench)
    }

    /// The next id.
    pub fn id(&mut self) -> Uuid {
        self.next += 1;
        Uuid::from_u128(self.next)
    }

    /// Something happened, a day after what happened before.
    pub fn did(&mut self, body: impl Into<Body>) -> Result<EventId, String> {
        let id = EventId(self.id());
        let seq = u64::try_from(self.next).map_err(|cause| cause.to_string())?;
        let ms = 1_700_000_000_000 + i64::try_from(seq).map_err(|cause| cause.to_string())? * 86_400_000;
        let event = Event {
            id,
            device: DeviceId(Uuid::from_u128(7)),
            device_seq: seq,
            hlc: Hlc::at_ms(ms),
            observed_at: Timestamp::from_millisecond(ms).map_err(|cause| cause.to_string())?,
            corrects: None,
            body: body.into(),
        };
        self.world.append(event).map_err(|cause| cause.to_string())?;
        Ok(id)
    }

    /// A shelf of 18 mm came into stock.
    pub fn shelf(&mut self, code: &str, material: Material, outline: Outline) -> Result<ShelfId, String> {
        let shelf = ShelfId(self.id());
        self.did(ShelfAdded {
            shelf,
            code: Code::read(code).map_err(|cause| cause.to_string())?,
            material,
            outline,
            thickness_nm: mm(18.0),
            price_cents: None,
            bought_on: None,
            firings_before: 20,
            kiln: self.kiln,
            place: "rack B slot 4".to_owned(),
            graded: None,
        })?;
        Ok(shelf)
    }

    /// The middles of the quick lines were read bare with feelers under a straightedge.
    pub fn quick(&mut self, shelf: ShelfId, face: Face, dips_mm: &[f64]) -> Result<EventId, String> {
        let lines = self.get(shelf)?.outline.quick_lines();
        self.read(shelf, face, &lines, dips_mm)
    }

    /// The middles of these lines were read.
    pub fn read(
        &mut self,
        shelf: ShelfId,
        face: Face,
        lines: &[Line],
        dips_mm: &[f64],
    ) -> Result<EventId, String> {
        let lines = lines.iter().zip(dips_mm).map(|(line, dip)| LineReading {
            line: line.name,
            from: line.from,
            to: line.to,
            dips: vec![Dip { at_permille: 500, dip_nm: mm(*dip), text: dip.to_string() }],
        });
        let reading = SurfaceReading::Lines { against: Against::Straightedge, lines: lines.collect() };
        self.did(ShelfMeasured {
            shelf,
            face,
            bare: true,
            instrument: Instrument::Feeler,
            reading,
            note: String::new(),
        })
    }

    /// A dial indicator went over a grid.
    pub fn grid(
        &mut self,
        shelf: ShelfId,
        (columns, rows): (u16, u16),
        heights: &[f64],
    ) -> Result<EventId, String> {
        let heights = heights.iter().map(|height| Some(Typed { nm: mm(*height), text: height.to_string() }));
        let reading = SurfaceReading::Grid { columns, rows, inset_nm: mm(20.0), heights: heights.collect() };
        let instrument = Instrument::DialIndicator;
        self.did(ShelfMeasured { shelf, face: Face::A, bare: true, instrument, reading, note: String::new() })
    }

    /// The shelf was fired `times` times.
    pub fn fire(&mut self, shelf: ShelfId, times: u32) -> Outcome {
        for _ in 0..times {
            let firing = FiringId(self.id());
            let body = KilnFired {
                firing,
                kiln: self.kiln,
                ware: Ware::Glaze,
                cone: self.world.kilns.get(&self.kiln).map(|kiln| kiln.usual_cone).ok_or("no kiln")?,
                fired_on: jiff::civil::Date::constant(2026, 3, 1),
                pieces: vec![Piece::Shelf(shelf)],
                note: String::new(),
                plan: None,
            };
            self.did(body)?;
        }
        Ok(())
    }

    /// What is known of the shelf.
    pub fn get(&self, shelf: ShelfId) -> Result<&Shelf, String> {
        self.world.shelves.get(&shelf).ok_or_else(|| "the shelf is not there".to_owned())
    }
}
