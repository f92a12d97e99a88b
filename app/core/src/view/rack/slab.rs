//! A shelf as a slab seen from the side, with its measured bow exaggerated by one factor for the whole page.
//!
//! What this does not do: draw what was not measured. A shelf without a reading that still holds is drawn
//! straight and dashed.
use crate::judge::shelf::ShelfJudgement;
use crate::world::Shelf;
use serde::{Deserialize, Serialize};

/// Width of the drawing in its own units: the longest shelf of the page spans all of it.
pub const WIDTH: f64 = 320.0;
/// Half its height: the bow may take this much less the slab's own thickness.
pub const HALF_HEIGHT: f64 = 22.0;
/// The factors to choose from. House choice: round numbers that are easily said; 40 times shows 0.25 mm on a
/// 600 mm shelf as one part in 60.
const TIMES: [u32; 7] = [80, 40, 20, 10, 5, 2, 1];
/// The greatest bow drawn, in the drawing's units: its height of 44 less the thickest slab's 9 and a line.
const MOST_RISE: f64 = 34.0;

/// The shortest a slab is drawn, as a share of the longest. House choice: a tenth, so that it still shows.
const SHORTEST: f64 = 0.1;
/// Units of the drawing for a millimetre of thickness, which is not to scale: 8 mm and 25 mm must differ.
const THICK_PER_MM: f64 = 0.36;

/// What all slabs of one page share.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Scale {
    /// How many times the bows are exaggerated; none where no bow is known.
    pub times: Option<u32>,
    longest_mm: f64,
}

/// The drawing, ready for an SVG of `WIDTH` by twice `HALF_HEIGHT`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Slab {
    /// The slab's middle line as an SVG path.
    pub path: String,
    /// The slab's thickness in the drawing's units; not exaggerated, and never thinner than a line.
    pub thick: f64,
    /// Whether nothing is known of its bow.
    pub dashed: bool,
    /// Where cracks start, along the drawing.
    pub cracks: Vec<f64>,
}

impl Slab {
    /// The drawing of a shelf.
    #[must_use]
    pub fn of(shelf: &Shelf, judged: &ShelfJudgement, scale: Scale) -> Self {
        let bow = bow_mm(judged);
        let length_mm = length_mm(shelf);
        let (left, per_mm) = (scale.left_end(length_mm), scale.per_mm(length_mm));
        let along = |x_mm: f64| tenth(left + x_mm * per_mm);
        // A parabola through both ends, half the rise above and half below the middle of the drawing. The
        // control point of its curve stands twice as high over the ends as its top.
        let rise = bow.unwrap_or(0.0) * per_mm * f64::from(scale.times.unwrap_or(1));
        let ends = tenth(HALF_HEIGHT + rise / 2.0);
        let control = tenth(HALF_HEIGHT + rise / 2.0 - 2.0 * rise);
        Self {
            path: format!("M{} {ends}Q{} {control} {} {ends}", tenth(left), WIDTH / 2.0, tenth(WIDTH - left)),
            thick: tenth((shelf.thickness_now().mm() * THICK_PER_MM).clamp(2.0, 9.0)),
            dashed: bow.is_none(),
            cracks: shelf.cracks.values().map(|crack| along(crack.from.x_nm.mm())).collect(),
        }
    }
}

/// The bow of the reading that still holds.
fn bow_mm(judged: &ShelfJudgement) -> Option<f64> {
    let view = judged.flatness.as_ref().filter(|view| !view.stale)?;
    view.bow.map(crate::units::Length::mm)
}

impl Scale {
    /// One scale for a whole page: the longest shelf spans it, and the factor is the largest with which the
    /// greatest bow stays in its drawing.
    pub(super) fn of<'a>(shelves: impl Iterator<Item = (&'a Shelf, &'a ShelfJudgement)> + Clone) -> Self {
        let longest_mm = shelves.clone().map(|(shelf, _)| length_mm(shelf)).fold(1.0, f64::max);
        let scale = Self { times: None, longest_mm };
        let rises = shelves
            .filter_map(|(shelf, judged)| Some(bow_mm(judged)?.abs() * scale.per_mm(length_mm(shelf))));
        let most = rises.fold(None, |most: Option<f64>, rise| Some(most.unwrap_or(0.0).max(rise)));
        let fits = |most: f64| TIMES.into_iter().find(|times| most * f64::from(*times) <= MOST_RISE);
        Self { times: most.map(|most| fits(most).unwrap_or(1)), longest_mm }
    }

    fn left_end(self, length_mm: f64) -> f64 {
        let drawn = (length_mm / self.longest_mm).clamp(SHORTEST, 1.0) * WIDTH;
        (WIDTH - drawn) / 2.0
    }

    /// Units of the drawing in a millimetre.
    fn per_mm(self, length_mm: f64) -> f64 {
        (WIDTH - 2.0 * self.left_end(length_mm)) / length_mm
    }
}

fn length_mm(shelf: &Shelf) -> f64 {
    shelf.outline.bounds().0.mm()
}

/// To a tenth, without a negative zero.
fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0 + 0.0
}
