//! A contour map of a face from scattered points: heights on a grid, and lines of equal height.
//!
//! Between the points the face is taken as the fitted second-degree surface plus what the points depart from
//! it, weighted by the inverse square of their distance; at the points it has their heights.
//!
//! What this does not do: know the face between the points. A map of five readings is a sketch.
use super::flatness::{FlatnessError, check};
use super::plane;
use super::quadratic::Surface;
use super::{Face, PlanPoint, SurfacePoint, marching};

/// House choice: 48 cells along the longer side; a line then bends every 12 mm on a 600 mm shelf.
const CELLS: f64 = 48.0;
/// House choice: a grid node this close to a point has the point's height.
const AT_POINT_MM: f64 = 1e-6;

/// Heights over a face on a square grid that covers its bounding rectangle.
#[derive(Clone, PartialEq, Debug)]
pub struct Relief {
    /// The outline.
    pub face: Face,
    /// Nodes along x.
    pub n_columns: usize,
    /// Nodes along y.
    pub n_rows: usize,
    /// Distance of neighbouring nodes along x.
    pub step_x_mm: f64,
    /// Distance of neighbouring nodes along y.
    pub step_y_mm: f64,
    /// Row by row from y = 0.
    pub heights_mm: Vec<f64>,
    /// The least height of a node on the face.
    pub low_mm: f64,
    /// The greatest height of a node on the face.
    pub high_mm: f64,
}

/// A line of equal height.
#[derive(Clone, PartialEq, Debug)]
pub struct Contour {
    /// The height.
    pub level_mm: f64,
    /// Whether it runs back into itself.
    pub is_closed: bool,
    /// Its places in order; a closed line names its first place once.
    pub places: Vec<PlanPoint>,
}

/// A face's map.
#[derive(Clone, PartialEq, Debug)]
pub struct ContourMap {
    /// The least height of the sampled face.
    pub low_mm: f64,
    /// The greatest height of the sampled face.
    pub high_mm: f64,
    /// The lines, level by level in the order asked for.
    pub lines: Vec<Contour>,
}

/// Draws the lines of equal height at `levels_mm` over a face.
///
/// # Input    points as for [`super::flatness::measure`], most useful as [`super::flatness::levelled`] gives
/// them; finite levels.
/// # Errors   [`FlatnessError`].
pub fn contours(
    points: &[SurfacePoint],
    face: &Face,
    levels_mm: &[f64],
) -> Result<ContourMap, FlatnessError> {
    let relief = Relief::sample(points, face)?;
    let lines = levels_mm.iter().flat_map(|level| relief.lines(*level)).collect();
    Ok(ContourMap { low_mm: relief.low_mm, high_mm: relief.high_mm, lines })
}

/// Round levels between two heights: multiples of 1, 2 or 5 times a power of ten, at most `most` of them.
#[must_use]
pub fn round_levels(low_mm: f64, high_mm: f64, most: u32) -> Vec<f64> {
    let range = high_mm - low_mm;
    // House choice: below a millionth of a millimetre a map shows rounding.
    if range.is_nan() || range <= 1e-6 || range > 1e6 || most == 0 {
        return Vec::new();
    }
    let few_enough = |step: &f64| range / step <= f64::from(most);
    // Twelve decades from a nanometre; a division keeps decimal steps at their nearest double.
    let steps = (0..13).flat_map(|decade| {
        let tens = (0..decade).fold(1.0, |tens, _| tens * 10.0);
        [1.0, 2.0, 5.0].map(|digit| digit * tens / 1e6)
    });
    let Some(step) = steps.into_iter().find(few_enough) else { return Vec::new() };
    let (first, last) = ((low_mm / step).ceil(), (high_mm / step).floor());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to most, by the choice of step"
    )]
    let count = (last - first + 1.0).max(0.0) as u32;
    (0..count).map(|i| (first + f64::from(i)) * step + 0.0).collect()
}

impl Relief {
    /// Samples the face on a grid.
    ///
    /// # Errors
    /// As [`super::flatness::measure`], save that a face of any thickness is drawn.
    pub fn sample(points: &[SurfacePoint], face: &Face) -> Result<Self, FlatnessError> {
        let frame = check(points)?;
        let surface = Surface::fit(points);
        let base = |x_mm: f64, y_mm: f64| match surface {
            Some(surface) => surface.height_mm(x_mm, y_mm),
            None => plane::Frame::height_mm(&frame, x_mm, y_mm).unwrap_or(0.0),
        };
        let left_over: Vec<f64> = points.iter().map(|p| p.z_mm - base(p.x_mm, p.y_mm)).collect();
        let far = face.bounds();
        let cell = far.x_mm.max(far.y_mm) / CELLS;
        let (n_columns, n_rows) = (nodes(far.x_mm, cell), nodes(far.y_mm, cell));
        let step = |size: f64, nodes: u32| size / f64::from(nodes - 1);
        let (step_x_mm, step_y_mm) = (step(far.x_mm, n_columns), step(far.y_mm, n_rows));
        let mut heights_mm = Vec::new();
        let (mut low_mm, mut high_mm) = (f64::INFINITY, f64::NEG_INFINITY);
        for row in 0..n_rows {
            for column in 0..n_columns {
                let place =
                    PlanPoint { x_mm: f64::from(column) * step_x_mm, y_mm: f64::from(row) * step_y_mm };
                let height = base(place.x_mm, place.y_mm) + near(points, &left_over, place);
                if face.holds(place, 0.0) {
                    (low_mm, high_mm) = (low_mm.min(height), high_mm.max(height));
                }
                heights_mm.push(height);
            }
        }
        let (n_columns, n_rows) = (n_columns as usize, n_rows as usize);
        Ok(Self { face: *face, n_columns, n_rows, step_x_mm, step_y_mm, heights_mm, low_mm, high_mm })
    }

    /// The lines of height `level_mm` on the face.
    #[must_use]
    pub fn lines(&self, level_mm: f64) -> Vec<Contour> {
        let whole = marching::lines(self, level_mm);
        whole.into_iter().flat_map(|(is_closed, places)| self.clipped(level_mm, is_closed, &places)).collect()
    }

    /// The parts of a line that lie on the face.
    fn clipped(&self, level_mm: f64, is_closed: bool, places: &[PlanPoint]) -> Vec<Contour> {
        // House choice: a nanometre of slack, so that nodes on the rim are on the face.
        let on = |place: &PlanPoint| self.face.holds(*place, 1e-6);
        if places.iter().all(on) {
            return vec![Contour { level_mm, is_closed, places: places.to_vec() }];
        }
        let mut parts: Vec<Vec<PlanPoint>> = vec![Vec::new()];
        let again = places.first().filter(|_| is_closed);
        let mut last: Option<PlanPoint> = None;
        for place in places.iter().chain(again) {
            let crosses = last.filter(|last| on(last) != on(place));
            let rim =
                crosses.map(|last| if on(&last) { self.rim(last, *place) } else { self.rim(*place, last) });
            if on(place) {
                if rim.is_some() || parts.is_empty() {
                    parts.push(Vec::new());
                }
                parts.iter_mut().rev().take(1).for_each(|part| part.extend(rim.into_iter().chain([*place])));
            } else {
                parts.iter_mut().rev().take(1).for_each(|part| part.extend(rim));
            }
            last = Some(*place);
        }
        let drawn = parts.into_iter().filter(|part| part.len() > 1);
        drawn.map(|places| Contour { level_mm, is_closed: false, places }).collect()
    }

    /// Where the way from a place on the face to one off it leaves the face.
    fn rim(&self, on: PlanPoint, off: PlanPoint) -> PlanPoint {
        let (mut inside, mut outside) = (0.0, 1.0);
        let between = |part: f64| PlanPoint {
            x_mm: on.x_mm + part * (off.x_mm - on.x_mm),
            y_mm: on.y_mm + part * (off.y_mm - on.y_mm),
        };
        // House choice: 30 halvings leave a billionth of a cell.
        for _ in 0..30 {
            let middle = (inside + outside) / 2.0;
            if self.face.holds(between(middle), 1e-6) { inside = middle } else { outside = middle }
        }
        between(inside)
    }
}

fn nodes(size_mm: f64, cell_mm: f64) -> u32 {
    // House choice: five nodes at least, however narrow the shelf.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 4 and 48")]
    let cells = (size_mm / cell_mm).ceil().clamp(4.0, CELLS) as u32;
    cells + 1
}

/// What the points depart from the fitted surface, at a place between them.
fn near(points: &[SurfacePoint], left_over: &[f64], place: PlanPoint) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (point, left_over) in points.iter().zip(left_over) {
        let (x, y) = (point.x_mm - place.x_mm, point.y_mm - place.y_mm);
        let square = x * x + y * y;
        if square < AT_POINT_MM * AT_POINT_MM {
            return *left_over;
        }
        sum += left_over / square;
        weights += 1.0 / square;
    }
    sum / weights
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dish(face: &Face) -> Vec<SurfacePoint> {
        let far = face.bounds();
        let part = |i: u32| f64::from(i) / 8.0;
        let all = (0..=8).flat_map(|i| (0..=8).map(move |j| (part(i) * far.x_mm, part(j) * far.y_mm)));
        let z = |x: f64, y: f64| {
            (x - far.x_mm / 2.0) * (x - far.x_mm / 2.0) / 1e4 + (y - 150.0) * (y - 150.0) / 1e4
        };
        all.map(|(x_mm, y_mm)| SurfacePoint { x_mm, y_mm, z_mm: z(x_mm, y_mm) }).collect()
    }

    #[test]
    fn lines_of_a_dish_are_circles() -> Result<(), FlatnessError> {
        let face = Face::Rectangle { length_mm: 400.0, width_mm: 300.0 };
        let map = contours(&dish(&face), &face, &[1.0])?;
        assert!((map.low_mm - 0.0).abs() < 0.01 && (map.high_mm - 6.25).abs() < 1e-9, "{map:?}");
        let [line] = map.lines.as_slice() else { panic!("{} lines", map.lines.len()) };
        assert!(line.is_closed && line.places.len() > 20);
        for place in &line.places {
            let (x, y) = (place.x_mm - 200.0, place.y_mm - 150.0);
            assert!(((x * x + y * y).sqrt() - 100.0).abs() < 1.0, "{place:?}");
        }
        Ok(())
    }

    #[test]
    fn lines_end_at_the_rim_of_a_disc() -> Result<(), FlatnessError> {
        let face = Face::Disc { diameter_mm: 300.0 };
        let slope = |x_mm: f64, y_mm: f64| SurfacePoint { x_mm, y_mm, z_mm: x_mm / 100.0 };
        let points = [slope(150.0, 0.0), slope(150.0, 300.0), slope(0.0, 150.0), slope(300.0, 150.0)];
        let map = contours(&points, &face, &[0.75])?;
        let [line] = map.lines.as_slice() else { panic!("{:?}", map.lines) };
        let mut ends: Vec<f64> =
            [line.places.first(), line.places.last()].iter().flatten().map(|p| p.y_mm).collect();
        ends.sort_by(f64::total_cmp);
        // x = 75 is half a radius from the middle: the rim is at 150 ± 150·√3/2.
        let half = 150.0 * 0.75_f64.sqrt();
        assert!(
            (ends[0] - (150.0 - half)).abs() < 1e-3 && (ends[1] - (150.0 + half)).abs() < 1e-3,
            "{ends:?}"
        );
        assert!(
            (map.low_mm - 0.0).abs() < 1e-9 && (map.high_mm - 3.0).abs() < 1e-9,
            "{} {}",
            map.low_mm,
            map.high_mm
        );
        Ok(())
    }

    #[test]
    fn levels_are_round() {
        assert_eq!(round_levels(-0.27, 0.31, 8), [-0.2, -0.1, 0.0, 0.1, 0.2, 0.30000000000000004]);
        assert_eq!(round_levels(0.0, 6.25, 8), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
        assert_eq!(round_levels(1.0, 1.0, 8), [] as [f64; 0]);
        assert_eq!(round_levels(f64::NAN, 1.0, 8), [] as [f64; 0]);
    }
}
