//! The demo's shelves and posts as they truly are, which only the demo knows; readings of them are events.
use crate::chance::Chance;
use tripoise_core::event::values::{Face, Instrument, Material, Typed};
use tripoise_core::event::{Against, Dip, LineReading, PostMeasured, ShelfMeasured, SurfaceReading};
use tripoise_core::ids::{KilnId, PostId, ShelfId};
use tripoise_core::outline::Outline;
use tripoise_core::units::Length;
use tripoise_core::view::LengthUnit;
use tripoise_core::view::text::length_input;

/// A shelf with the bow it has.
#[derive(Clone)]
pub struct TrueShelf {
    pub id: ShelfId,
    pub code: String,
    pub kiln: KilnId,
    pub material: Material,
    pub outline: Outline,
    /// How far the middle lies below the edges, in mm, seen on the face that is up.
    pub dish_mm: f64,
    /// How far opposite corners stand out of plane, in mm.
    pub twist_mm: f64,
    /// How much deeper each firing makes it, in mm.
    pub sag_per_firing_mm: f64,
    pub up: Face,
    pub out: bool,
    pub held: bool,
}

/// A post with the height it has.
#[derive(Clone)]
pub struct TruePost {
    pub id: PostId,
    pub kiln: KilnId,
    pub nominal_mm: f64,
    pub height_mm: f64,
    pub wear_per_firing_mm: f64,
    pub out: bool,
}

/// The text a person would type for a length, and the length it stands for.
pub fn typed(mm: f64, step_mm: f64) -> Typed {
    let nm = Length::from_mm((mm / step_mm).round() * step_mm);
    Typed { nm, text: length_input(nm, LengthUnit::Mm) }
}

/// Reads a shelf with feelers under a straightedge: the lines asked for, at their middles.
pub fn read_shelf(shelf: &TrueShelf, full: bool, chance: &mut Chance) -> ShelfMeasured {
    let lines = if full { shelf.outline.full_lines() } else { shelf.outline.quick_lines() };
    let lines = lines.into_iter().map(|line| {
        let dip = chord_dip(shelf, line.from, line.to) + 0.03 * chance.about_normal();
        let Typed { nm, text } = typed(dip, 0.05);
        LineReading {
            line: line.name,
            from: line.from,
            to: line.to,
            dips: vec![Dip { at_permille: 500, dip_nm: nm, text }],
        }
    });
    let reading = SurfaceReading::Lines { against: Against::Straightedge, lines: lines.collect() };
    ShelfMeasured {
        shelf: shelf.id,
        face: shelf.up,
        bare: true,
        instrument: Instrument::Feeler,
        reading,
        note: String::new(),
    }
}

/// How far the surface lies below the chord between two places, at its middle.
fn chord_dip(shelf: &TrueShelf, from: tripoise_core::outline::Spot, to: tripoise_core::outline::Spot) -> f64 {
    let at = |x: f64, y: f64| surface(shelf, x, y);
    let (x0, y0, x1, y1) = (from.x_nm.mm(), from.y_nm.mm(), to.x_nm.mm(), to.y_nm.mm());
    (at(x0, y0) + at(x1, y1)) / 2.0 - at((x0 + x1) / 2.0, (y0 + y1) / 2.0)
}

/// The height of the face: a bowl along both axes, mostly along the length, and a twist.
pub fn surface(shelf: &TrueShelf, x_mm: f64, y_mm: f64) -> f64 {
    let (length, width) = shelf.outline.bounds();
    let (u, v) = (2.0 * x_mm / length.mm() - 1.0, 2.0 * y_mm / width.mm() - 1.0);
    shelf.dish_mm * (0.75 * u * u + 0.25 * v * v - 1.0) + shelf.twist_mm / 2.0 * u * v
}

/// Measures a post with a caliper that shows hundredths.
pub fn read_post(post: &TruePost, chance: &mut Chance) -> PostMeasured {
    let mm = post.height_mm + 0.02 * chance.about_normal();
    PostMeasured {
        post: post.id,
        height: typed(mm, 0.01),
        instrument: Instrument::Caliper,
        out_of_square: None,
    }
}
