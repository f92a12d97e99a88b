//! How long a crack is and how far across the shelf it goes.
use crate::outline::{Outline, Spot};
use crate::units::Length;

/// A crack's size.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CrackSize {
    /// From end to end.
    pub length: Length,
    /// The crack's length as a share of the straight line across the shelf that it lies on, 0 to 1.
    pub across: f64,
    /// How far its inner end (the one farther from any edge) is from the nearest edge.
    pub depth: Length,
}

/// Measures a crack drawn from `from` to `to` on an outline.
///
/// "How far across" is the crack's length over the chord of the outline along the same straight line, so
/// that a crack along a corner counts by the corner's own width.
///
/// # Returns  A size with zero length and share where both ends are the same place.
/// # Source   geometry; the hand-worked cases are in this file's tests.
#[must_use]
pub fn measure(outline: &Outline, from: Spot, to: Spot) -> CrackSize {
    let (x0, y0) = (from.x_nm.mm(), from.y_nm.mm());
    let (dx, dy) = (to.x_nm.mm() - x0, to.y_nm.mm() - y0);
    let length = (dx * dx + dy * dy).sqrt();
    let depth = edge_distance(outline, from).max(edge_distance(outline, to));
    if length <= 0.0 {
        return CrackSize { length: Length::ZERO, across: 0.0, depth: Length::from_mm(depth) };
    }
    let chord = chord_mm(outline, (x0, y0), (dx / length, dy / length));
    let across = if chord > 0.0 { (length / chord).min(1.0) } else { 1.0 };
    CrackSize { length: Length::from_mm(length), across, depth: Length::from_mm(depth) }
}

/// The length of the outline's chord through `(x, y)` along the unit direction `(ux, uy)`.
fn chord_mm(outline: &Outline, (x, y): (f64, f64), (ux, uy): (f64, f64)) -> f64 {
    let (length, width) = outline.bounds();
    let mut range = (f64::NEG_INFINITY, f64::INFINITY);
    clip(&mut range, x, ux, 0.0, length.mm());
    clip(&mut range, y, uy, 0.0, width.mm());
    let centre = match *outline {
        Outline::Rectangle { .. } => None,
        Outline::Round { diameter_nm } => Some((diameter_nm.mm() / 2.0, diameter_nm.mm() / 2.0)),
        Outline::HalfRound { diameter_nm } => Some((diameter_nm.mm() / 2.0, 0.0)),
    };
    if let Some((cx, cy)) = centre {
        let radius = length.mm() / 2.0;
        let (px, py) = (x - cx, y - cy);
        let b = px * ux + py * uy;
        let disc = b * b - (px * px + py * py - radius * radius);
        if disc <= 0.0 {
            return 0.0;
        }
        range = (range.0.max(-b - disc.sqrt()), range.1.min(-b + disc.sqrt()));
    }
    (range.1 - range.0).max(0.0)
}

/// Narrows the parameter range of a line to where `low <= at + t * step <= high`.
fn clip(range: &mut (f64, f64), at: f64, step: f64, low: f64, high: f64) {
    if step.abs() < 1e-12 {
        return;
    }
    let (a, b) = ((low - at) / step, (high - at) / step);
    *range = (range.0.max(a.min(b)), range.1.min(a.max(b)));
}

/// Distance from a place inside the outline to its nearest edge; 0 outside.
fn edge_distance(outline: &Outline, spot: Spot) -> f64 {
    let (length, width) = outline.bounds();
    let (x, y) = (spot.x_nm.mm(), spot.y_nm.mm());
    let from_centre = |cx: f64, cy: f64| ((x - cx) * (x - cx) + (y - cy) * (y - cy)).sqrt();
    let distance = match *outline {
        Outline::Rectangle { .. } => x.min(y).min(length.mm() - x).min(width.mm() - y),
        Outline::Round { diameter_nm } => {
            let r = diameter_nm.mm() / 2.0;
            r - from_centre(r, r)
        }
        Outline::HalfRound { diameter_nm } => {
            let r = diameter_nm.mm() / 2.0;
            y.min(r - from_centre(r, 0.0))
        }
    };
    distance.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(x: f64, y: f64) -> Spot {
        Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) }
    }

    fn check(outline: Outline, ends: [(f64, f64); 2], length_mm: f64, across: f64, depth_mm: f64) {
        let size = measure(&outline, spot(ends[0].0, ends[0].1), spot(ends[1].0, ends[1].1));
        assert!((size.length.mm() - length_mm).abs() < 1e-5, "{size:?}");
        assert!((size.across - across).abs() < 1e-6, "{size:?}");
        assert!((size.depth.mm() - depth_mm).abs() < 1e-5, "{size:?}");
    }

    #[test]
    fn cracks_worked_by_hand() {
        let slab = Outline::Rectangle { length_nm: Length::from_mm(600.0), width_nm: Length::from_mm(300.0) };
        // Straight in from the front edge, a quarter of 300.
        check(slab, [(200.0, 0.0), (200.0, 75.0)], 75.0, 0.25, 75.0);
        // Across the front left corner from (60,0) to (0,80): a 3-4-5 triangle, all of its chord.
        check(slab, [(60.0, 0.0), (0.0, 80.0)], 100.0, 1.0, 0.0);
        // A disc of 400: in from the rim along a diameter.
        let disc = Outline::Round { diameter_nm: Length::from_mm(400.0) };
        check(disc, [(0.0, 200.0), (100.0, 200.0)], 100.0, 0.25, 100.0);
        // Half a disc: from the straight edge's middle straight back, half of the radius.
        let half = Outline::HalfRound { diameter_nm: Length::from_mm(400.0) };
        check(half, [(200.0, 0.0), (200.0, 100.0)], 100.0, 0.5, 100.0);
        // Two taps on one place.
        check(slab, [(5.0, 5.0), (5.0, 5.0)], 0.0, 0.0, 5.0);
    }
}
