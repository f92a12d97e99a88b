//! A face from above: lines of equal height, cracks, posts.
//!
//! What this does not do: know the face between the readings; the caption says from how many it was drawn.
use super::scale::{Scale, WIDTH};
use super::{FaceMap, MapLine, MapPoint};
use crate::geometry::contour::{Contour, contours, round_levels};
use crate::geometry::{Face, SurfacePoint};
use crate::judge::shelf::{FlatnessView, cracks};
use crate::outline::{Outline, Spot};
use crate::units::{Length, NM_PER_INCH};
use crate::view::text::{LengthUnit, count, length, length_bare};
use crate::world::{Shelf, World};

/// House choice: lines on a map of a phone's size that stay apart.
const MOST_LINES: u32 = 6;
/// House choice: a level's number stands on its line only where it has this much room around it.
const CLEAR: f64 = 13.0;
/// House choice: more numbers than this on a map cover one another; the table has them all.
const MOST_NUMBERS: usize = 13;

/// The face from above with lines of equal height, cracks and posts.
#[must_use]
pub fn face_map(world: &World, shelf: &Shelf, view: Option<&FlatnessView>, unit: LengthUnit) -> FaceMap {
    let scale = Scale::of(&shelf.outline);
    let read = view.filter(|view| !view.stale).map_or(&[][..], |view| &view.points);
    let highest = read.iter().fold(f64::NEG_INFINITY, |high, point| high.max(point.z_mm));
    let points: Vec<SurfacePoint> =
        read.iter().map(|point| SurfacePoint { z_mm: point.z_mm - highest, ..*point }).collect();
    let cracks: Vec<String> = shelf.cracks.values().map(|crack| scale.line(crack.from, crack.to)).collect();
    let numbered = points.len() <= MOST_NUMBERS;
    let place = |point: &SurfacePoint| {
        let (x, y) = scale.at(point.x_mm, point.y_mm);
        let text = if numbered { length_bare(Length::from_mm(point.z_mm), unit) } else { String::new() };
        MapPoint { x, y, text }
    };
    let post = |spot: &Spot| {
        let (x, y) = scale.spot(*spot);
        MapPoint { x, y, text: String::new() }
    };
    let places: Vec<MapPoint> = points.iter().map(place).collect();
    let posts: Vec<MapPoint> = cracks::post_spots(world, shelf).iter().map(post).collect();
    // A place's number stands above it.
    let above = places.iter().map(|place| MapPoint { y: place.y - 12.0, ..place.clone() });
    let taken: Vec<MapPoint> = places.iter().chain(&posts).cloned().chain(above).collect();
    let (lines, step) = level_lines(&points, &shelf.outline, scale, taken, unit);
    let row = |point: &SurfacePoint| {
        [point.x_mm, point.y_mm, point.z_mm].map(|mm| length(Length::from_mm(mm), unit))
    };
    FaceMap {
        height: scale.height(),
        outline: scale.outline(&shelf.outline),
        caption: map_caption(view, &points, step, cracks.len(), unit),
        lines,
        points: places,
        cracks,
        posts,
        table: points.iter().map(row).collect(),
    }
}

fn map_caption(
    view: Option<&FlatnessView>,
    points: &[SurfacePoint],
    step: Option<Length>,
    cracks: usize,
    unit: LengthUnit,
) -> String {
    let mut said = match (view.filter(|view| !view.stale), step) {
        (Some(view), Some(step)) => {
            let points = count(points.len() as u64, "place", "places");
            let most = if view.undetermined > 0 { "; other lines would say more" } else { "" };
            format!(
                "{} from above, front at the bottom: {} a line, numbers from the highest place down, drawn from {points}{most}.",
                capital(view.face.said()),
                length(step, unit)
            )
        }
        (Some(view), None) => {
            format!(
                "{} from above, front at the bottom: too flat for lines, or read along one only.",
                capital(view.face.said())
            )
        }
        (None, _) => "From above, front at the bottom. Nothing read to draw lines from.".to_owned(),
    };
    said.push_str(" Dots: where posts stand.");
    if cracks > 0 {
        said.push_str(" Thick lines: cracks.");
    }
    said
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The lines at round heights in the studio's unit, and the step between them.
fn level_lines(
    points: &[SurfacePoint],
    outline: &Outline,
    scale: Scale,
    mut taken: Vec<MapPoint>,
    unit: LengthUnit,
) -> (Vec<MapLine>, Option<Length>) {
    #[expect(clippy::cast_precision_loss, reason = "25400000 is far below 2^53")]
    let unit_mm = if unit == LengthUnit::Mm { 1.0 } else { NM_PER_INCH as f64 / 1e6 };
    let face = Face::from(outline);
    let Ok(whole) = contours(points, &face, &[]) else { return (Vec::new(), None) };
    let levels: Vec<f64> = round_levels(whole.low_mm / unit_mm, whole.high_mm / unit_mm, MOST_LINES)
        .iter()
        .map(|level| level * unit_mm)
        .collect();
    let step = levels.get(1).zip(levels.first()).map(|(second, first)| Length::from_mm(second - first));
    let Ok(map) = contours(points, &face, &levels) else { return (Vec::new(), None) };
    let lines = levels.iter().map(|level| {
        // The very level that was asked for, not one worked out again.
        let of_level = map.lines.iter().filter(|line| line.level_mm.total_cmp(level).is_eq());
        let line = level_line(of_level, scale, &taken, length_bare(Length::from_mm(*level), unit));
        if !line.level.text.is_empty() {
            taken.push(line.level.clone());
        }
        line
    });
    let lines: Vec<MapLine> = lines.collect();
    (lines, step)
}

fn level_line<'a>(
    lines: impl Iterator<Item = &'a Contour>,
    scale: Scale,
    taken: &[MapPoint],
    text: String,
) -> MapLine {
    let mut path = String::new();
    let mut best = (CLEAR, None);
    for line in lines {
        for (idx, place) in line.places.iter().enumerate() {
            let (x, y) = scale.at(place.x_mm, place.y_mm);
            path.push_str(&format!("{}{x} {y}", if idx == 0 { "M" } else { "L" }));
            let clear = clearance(x, y, scale, taken);
            if clear > best.0 {
                best = (clear, Some((x, y)));
            }
        }
        if line.is_closed {
            path.push('Z');
        }
    }
    match best.1 {
        Some((x, y)) => MapLine { path, level: MapPoint { x, y: y + 4.0, text } },
        None => MapLine { path, level: MapPoint { x: 0.0, y: 0.0, text: String::new() } },
    }
}

/// How far a place on the drawing is from its sides and from everything that has a number or a dot.
fn clearance(x: f64, y: f64, scale: Scale, taken: &[MapPoint]) -> f64 {
    let sides = x.min(WIDTH - x).min(y).min(scale.height() - y);
    let distance = |other: &MapPoint| {
        // The number of a place stands beside it: across counts half.
        let (dx, dy) = ((other.x - x) / 2.0, other.y - y);
        (dx * dx + dy * dy).sqrt()
    };
    taken.iter().map(distance).fold(sides, f64::min)
}
