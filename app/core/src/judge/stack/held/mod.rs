//! The check held from outside: stacks built on record, checked as a page checks them, and looked at by their lines.
//!
//! [`Load::sound`] is a load that nothing stands against; each test spoils one thing of it. What this does not do:
//! look into the check's own arithmetic; `worked` compares with sums written out, `collapses` with the trade's own
//! list, `properties` with what must hold of any load.
mod around;
mod collapses;
mod properties;
mod worked;

use crate::code::Code;
use crate::event::plan::{
    Chamber, PlacedPiece, PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, PlannedWare, StackPlace,
};
use crate::event::values::{Instrument, Material, Piece, PostSection, Typed, Use, Ware};
use crate::event::{KilnChamberSet, PlanSaved, PostAdded, PostMeasured, ShelfAdded};
use crate::ids::{PlanId, PostId, ShelfId};
use crate::judge::shelf::bench::{Bench, mm};
use crate::judge::stack::{CheckKind, CheckLine, LayerFigures, LoadVerdict, ShelfFigures, StackCheck, check};
use crate::outline::{Outline, Spot};
use crate::units::{Length, Mass};
use crate::view::Shape;
use jiff::civil::date;
use std::collections::BTreeMap;

pub(super) type Outcome = Result<(), String>;

/// A shelf's sides in millimetres.
pub(super) const SIDES: [f64; 2] = [400.0, 300.0];
/// How far its posts stand in.
pub(super) const INSET_MM: f64 = 40.0;

/// What a post is when it comes into stock.
#[derive(Clone, Copy, Debug)]
pub(super) struct NewPost {
    pub nominal_mm: f64,
    pub height_mm: f64,
    pub out_of_square_mm: Option<f64>,
    pub material: Material,
    pub firings: u32,
}

impl NewPost {
    /// One of its nominal height, square, and not old.
    pub fn of(mm: f64) -> Self {
        Self {
            nominal_mm: mm,
            height_mm: mm,
            out_of_square_mm: None,
            material: Material::HighAlumina,
            firings: 0,
        }
    }
}

/// A studio with a kiln, and a plan.
pub(super) struct Load {
    pub bench: Bench,
    pub plan: PlanSaved,
    numbers: u32,
}

pub(super) fn spot(x: f64, y: f64) -> Spot {
    Spot { x_nm: mm(x), y_nm: mm(y) }
}

pub(super) fn rectangle([length, width]: [f64; 2]) -> Outline {
    Outline::Rectangle { length_nm: mm(length), width_nm: mm(width) }
}

/// A support in the stack.
pub(super) fn support(at: Spot, post: PostId) -> PlannedSupport {
    PlannedSupport { at, posts: vec![post], shim_nm: Length::ZERO, wad_nm: Length::ZERO }
}

/// A shelf that lies from (x, y).
pub(super) fn laid(shelf: ShelfId, x: f64, y: f64) -> PlannedShelf {
    PlannedShelf { shelf: Some(shelf), at: spot(x, y), quarter_turns: 0, ware: PlannedWare::default() }
}

/// Ware by its mass, spread evenly.
pub(super) fn ware(kg: f64, tallest_mm: f64) -> PlannedWare {
    PlannedWare {
        used_for: Some(Use::General),
        tallest_nm: mm(tallest_mm),
        mass_mg: Mass::from_kg(kg),
        ..PlannedWare::default()
    }
}

/// A piece placed by hand, 60 mm wide.
pub(super) fn piece(x: f64, y: f64, kg: f64) -> PlacedPiece {
    PlacedPiece { at: spot(x, y), diameter_nm: mm(60.0), height_nm: mm(60.0), mass_mg: Mass::from_kg(kg) }
}

impl Load {
    /// A gas kiln to cone 8, 800 by 700 by 900 mm inside, and a plan with one empty stack.
    pub fn empty() -> Result<Self, String> {
        let mut bench = Bench::new("8")?;
        let sides = (mm(800.0), mm(700.0), mm(900.0));
        bench.did(KilnChamberSet {
            kiln: bench.kiln,
            chamber: Chamber::Box { width_nm: sides.0, depth_nm: sides.1, height_nm: sides.2 },
            places: vec![StackPlace {
                name: "left".to_owned(),
                at: spot(150.0, 150.0),
                length_nm: mm(500.0),
                width_nm: mm(400.0),
            }],
            keep_outs: Vec::new(),
        })?;
        let plan = PlanSaved {
            plan: PlanId(bench.id()),
            kiln: bench.kiln,
            name: "week 9".to_owned(),
            ware: Ware::Glaze,
            cone: "8".to_owned().try_into().map_err(|cause| format!("{cause}"))?,
            stacks: vec![PlannedStack {
                place: "left".to_owned(),
                at: spot(150.0, 150.0),
                layers: Vec::new(),
            }],
        };
        Ok(Self { bench, plan, numbers: 0 })
    }

    /// Three layers that nothing stands against: high alumina, 25 mm posts on the floor and 100 mm ones above, three
    /// under each shelf; 3 kg of ware 80 mm tall on each.
    pub fn sound() -> Result<Self, String> {
        let mut load = Self::empty()?;
        for height_mm in [25.0, 100.0, 100.0] {
            load.layer(height_mm, 3)?;
        }
        Ok(load)
    }

    /// Adds a layer on three or four new posts of this height.
    pub fn layer(&mut self, height_mm: f64, n_posts: usize) -> Outcome {
        let shelf = self.shelf(rectangle(SIDES), Material::HighAlumina)?;
        let spots = rectangle(SIDES).post_spots(n_posts, mm(INSET_MM));
        let mut supports = Vec::new();
        for at in spots {
            supports.push(support(at, self.post(NewPost::of(height_mm))?));
        }
        let mut own = laid(shelf, 0.0, 0.0);
        own.ware = ware(3.0, 80.0);
        self.layers().push(PlannedLayer { set: None, supports, shelves: vec![own] });
        Ok(())
    }

    fn code(&mut self, letter: char) -> Result<Code, String> {
        self.numbers += 1;
        Code::read(&format!("{letter}{:02}", self.numbers)).map_err(|cause| cause.to_string())
    }

    /// A shelf of 19 mm, graded flat by eye, comes into stock.
    pub fn shelf(&mut self, outline: Outline, material: Material) -> Result<ShelfId, String> {
        self.shelf_graded(outline, material, Some(Use::Flatware))
    }

    /// One like those of the sound load, which nobody has looked at.
    pub fn ungraded_shelf(&mut self) -> Result<ShelfId, String> {
        self.shelf_graded(rectangle(SIDES), Material::HighAlumina, None)
    }

    fn shelf_graded(
        &mut self,
        outline: Outline,
        material: Material,
        graded: Option<Use>,
    ) -> Result<ShelfId, String> {
        let shelf = ShelfId(self.bench.id());
        let (code, kiln) = (self.code('F')?, self.bench.kiln);
        self.bench.did(ShelfAdded {
            shelf,
            code,
            material,
            outline,
            thickness_nm: mm(19.0),
            price_cents: None,
            bought_on: None,
            firings_before: 20,
            kiln,
            place: "rack B".to_owned(),
            graded,
        })?;
        Ok(shelf)
    }

    /// A post, 38 mm wide, comes into stock and is measured.
    pub fn post(&mut self, new: NewPost) -> Result<PostId, String> {
        let post = PostId(self.bench.id());
        let (code, kiln) = (self.code('P')?, self.bench.kiln);
        self.bench.did(PostAdded {
            post,
            code,
            material: new.material,
            nominal_nm: mm(new.nominal_mm),
            section: PostSection::Square,
            width_nm: mm(38.0),
            price_cents: None,
            bought_on: Some(date(2024, 2, 1)),
            firings_before: new.firings,
            kiln,
            place: String::new(),
        })?;
        let typed = |value: f64| Typed { nm: mm(value), text: value.to_string() };
        self.bench.did(PostMeasured {
            post,
            height: typed(new.height_mm),
            instrument: Instrument::Caliper,
            out_of_square: new.out_of_square_mm.map(typed),
        })?;
        Ok(post)
    }

    /// Puts another post in the place of one.
    pub fn put(&mut self, layer: usize, at: usize, new: NewPost) -> Result<PostId, String> {
        let post = self.post(new)?;
        self.support(layer, at)?.posts = vec![post];
        Ok(post)
    }

    pub fn layers(&mut self) -> &mut Vec<PlannedLayer> {
        &mut self.plan.stacks[0].layers
    }

    pub fn support(&mut self, layer: usize, at: usize) -> Result<&mut PlannedSupport, String> {
        let found = self.layers().get_mut(layer).and_then(|layer| layer.supports.get_mut(at));
        found.ok_or_else(|| format!("no support {at} in layer {layer}"))
    }

    /// The first shelf of a layer as planned.
    pub fn laid(&mut self, layer: usize) -> Result<&mut PlannedShelf, String> {
        let found = self.layers().get_mut(layer).and_then(|layer| layer.shelves.first_mut());
        found.ok_or_else(|| format!("no shelf in layer {layer}"))
    }

    pub fn shelf_of(&mut self, layer: usize) -> Result<ShelfId, String> {
        self.laid(layer)?.shelf.ok_or_else(|| "none chosen".to_owned())
    }

    pub fn post_of(&mut self, layer: usize, at: usize) -> Result<PostId, String> {
        self.support(layer, at)?.posts.first().copied().ok_or_else(|| "none chosen".to_owned())
    }

    pub fn check(&self) -> StackCheck {
        check(&self.bench.world, &self.plan, &BTreeMap::new())
    }

    pub fn code_of(&self, piece: impl Into<Piece>) -> String {
        self.bench.world.code_of(piece.into())
    }
}

impl From<ShelfId> for Piece {
    fn from(id: ShelfId) -> Self {
        Self::Shelf(id)
    }
}

impl From<PostId> for Piece {
    fn from(id: PostId) -> Self {
        Self::Post(id)
    }
}

/// The lines of a check in a layer (from 1), as long as they count in the verdict.
pub(super) fn lines(found: &StackCheck, kind: CheckKind, layer: u32) -> Vec<&CheckLine> {
    found.lines.iter().filter(|line| line.check == kind && line.layer == layer).collect()
}

/// Holds that there is a line of this check in this layer, that it is at least so grave, names the piece and says
/// how to mend it and what it rests on.
#[track_caller]
pub(super) fn caught(
    load: &Load,
    kind: CheckKind,
    layer: u32,
    shape: Shape,
    piece: impl Into<Piece>,
) -> Result<String, String> {
    let (found, piece) = (load.check(), piece.into());
    let code = load.code_of(piece);
    let line = lines(&found, kind, layer)
        .into_iter()
        .find(|line| line.pieces.contains(&piece) && line.shape >= shape)
        .ok_or_else(|| format!("no {kind:?} of {code} in layer {layer}: {:#?}", found.lines))?;
    assert!(line.said.contains(&code), "{line:?}");
    assert!(!line.fix.is_empty() && !line.rests_on.is_empty(), "{line:?}");
    let wanted = if shape == Shape::Stop { LoadVerdict::DoNotLoad } else { LoadVerdict::LookAt };
    assert!(found.verdict >= wanted, "{:?}", found.verdict);
    Ok(line.said.clone())
}

pub(super) fn layer_of(found: &StackCheck, layer: usize) -> Result<&LayerFigures, String> {
    let found = found.stacks.first().and_then(|stack| stack.layers.get(layer));
    found.ok_or_else(|| format!("no layer {layer}"))
}

pub(super) fn shelf_of(found: &StackCheck, layer: usize, index: usize) -> Result<&ShelfFigures, String> {
    layer_of(found, layer)?.shelves.get(index).ok_or_else(|| format!("no shelf {index}"))
}

#[track_caller]
pub(super) fn near(what: &str, found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-6 * wanted.abs().max(1.0), "{what}: {found} for {wanted}");
}

#[test]
fn nothing_stands_against_a_sound_load() -> Outcome {
    let found = Load::sound()?.check();
    assert_eq!(found.verdict, LoadVerdict::Passes, "{:#?}", found.lines);
    // What cannot be known is said all the same, once.
    assert_eq!(found.lines.iter().filter(|line| line.check == CheckKind::FloorLevel).count(), 1);
    assert!(found.passed.iter().any(|passed| passed.check == CheckKind::Spread && passed.times == 3));
    Ok(())
}
