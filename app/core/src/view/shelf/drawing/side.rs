//! A shelf from the side.
//!
//! What this does not do: draw between lines. The slab follows one line that was read.
use super::SideView;
use super::scale::{PAD, WIDTH, tenth};
use crate::geometry::SurfacePoint;
use crate::judge::shelf::FlatnessView;
use crate::outline::Outline;
use crate::units::Length;
use crate::view::text::{LengthUnit, length};
use crate::world::Shelf;

/// House choice: the slab is drawn 9 thick; this much stands above and below its middle line.
const ABOVE: f64 = 12.0;
/// House choice: the bow may take this much of the height of the side view.
const MOST_BEND: f64 = 34.0;

/// The shelf from the side, with the bow of its reading.
#[must_use]
pub fn side_view(shelf: &Shelf, view: Option<&FlatnessView>, unit: LengthUnit) -> SideView {
    let straight = |caption: &str| SideView {
        path: format!("M{PAD} 0H{}", WIDTH - PAD),
        top: -ABOVE,
        height: 2.0 * ABOVE,
        dashed: true,
        caption: caption.to_owned(),
    };
    let Some(view) = view.filter(|view| !view.stale) else {
        return straight("Not read: drawn dashed, as if it were flat.");
    };
    let profile = profile(&shelf.outline, &view.points);
    let (Some(first), Some(last)) = (profile.first().copied(), profile.last().copied()) else {
        return straight("No line across it was read: drawn dashed, as if it were flat.");
    };
    let length_mm = last.0 - first.0;
    let chord = |x: f64| first.1 + (last.1 - first.1) * (x - first.0) / length_mm;
    let bends: Vec<(f64, f64)> = profile.iter().map(|(x, z)| (*x - first.0, z - chord(*x))).collect();
    let most = bends.iter().fold(0.0_f64, |most, (_, z)| most.max(z.abs()));
    let per_mm = (WIDTH - 2.0 * PAD) / length_mm;
    let times = exaggeration(most * per_mm);
    let place = |(x, z): &(f64, f64)| (tenth(PAD + x * per_mm), tenth(-z * per_mm * f64::from(times)));
    let places: Vec<(f64, f64)> = bends.iter().map(place).collect();
    let middle =
        bends.iter().copied().fold((0.0, 0.0), |a: (f64, f64), b| if b.1.abs() > a.1.abs() { b } else { a });
    let bend = if middle.1 < 0.0 { "dish" } else { "hump" };
    let depth = length(Length::from_mm(middle.1.abs()), unit);
    let what = if middle.1 == 0.0 { "straight".to_owned() } else { format!("a {bend} of {depth}") };
    let caption =
        format!("From the side, {} up: {what} along this line. Bow drawn {times} times.", view.face.said());
    let highest = places.iter().fold(0.0_f64, |high, (_, y)| high.min(*y));
    let lowest = places.iter().fold(0.0_f64, |low, (_, y)| low.max(*y));
    let (top, height) = (highest - ABOVE, lowest - highest + 2.0 * ABOVE);
    SideView { path: curve(&places), top: tenth(top), height: tenth(height), dashed: false, caption }
}

/// The largest of a few round factors that keeps the bow in the drawing.
fn exaggeration(bend: f64) -> u32 {
    let fits = |times: &u32| bend * f64::from(*times) <= MOST_BEND;
    [200, 100, 50, 40, 20, 10, 5, 2].into_iter().find(fits).unwrap_or(1)
}

/// Distance along and height of the points read along the long middle, or along a diagonal where that was not
/// read; empty where neither has three points.
fn profile(outline: &Outline, points: &[SurfacePoint]) -> Vec<(f64, f64)> {
    let (length, width) = outline.bounds();
    let (l, w) = (length.mm(), width.mm());
    let middle = if matches!(outline, Outline::HalfRound { .. }) { 0.0 } else { w / 2.0 };
    // A grid with an even number of rows has none in the middle: the nearest one is taken, within a quarter.
    let nearest = points.iter().map(|p| (p.y_mm - middle).abs()).fold(f64::INFINITY, f64::min).min(w / 4.0);
    let row = points.iter().filter(|p| (p.y_mm - middle).abs() <= nearest + 1.0).map(|p| (p.x_mm, p.z_mm));
    let along_diagonal = |p: &SurfacePoint| (p.x_mm * w - p.y_mm * l).abs() <= (l * l + w * w).sqrt();
    let diagonal = points
        .iter()
        .filter(|p| along_diagonal(p))
        .map(|p| ((p.x_mm * p.x_mm + p.y_mm * p.y_mm).sqrt(), p.z_mm));
    let (mut row, mut diagonal): (Vec<_>, Vec<_>) = (row.collect(), diagonal.collect());
    // A line is a line only where it runs over most of the shelf.
    for line in [&mut row, &mut diagonal] {
        line.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
        let runs = line.last().map_or(0.0, |p| p.0) - line.first().map_or(0.0, |p| p.0);
        if line.len() < 3 || runs < l / 2.0 {
            line.clear();
        }
    }
    if row.is_empty() { diagonal } else { row }
}

/// A path through places: straight pieces, or one bend where there are three.
fn curve(places: &[(f64, f64)]) -> String {
    if let [(x0, y0), (x1, y1), (x2, y2)] = places {
        // The control point that takes a parabola through the middle place.
        let (cx, cy) = (tenth(2.0 * x1 - (x0 + x2) / 2.0), tenth(2.0 * y1 - (y0 + y2) / 2.0));
        return format!("M{x0} {y0}Q{cx} {cy} {x2} {y2}");
    }
    let mut path = String::new();
    for (idx, (x, y)) in places.iter().enumerate() {
        path.push_str(&format!("{}{x} {y}", if idx == 0 { "M" } else { "L" }));
    }
    path
}
