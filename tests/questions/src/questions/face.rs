//! Faces: points to measure flatness from, and lines read with a straightedge.
//!
//! What this does not do: outlines other than rectangles; flatness knows points only.
use crate::chance::Chance;
use serde_json::{Value, json};

/// A grid of so many points over a shelf of 600 × 300 mm: dished, twisted, and rough to 0.05 mm.
#[must_use]
pub fn grid(n_along: u32, n_across: u32, chance: &mut Chance) -> Vec<[f64; 3]> {
    let (dish, twist) = (chance.between(-0.8, 0.8), chance.between(-0.5, 0.5));
    let part = |i: u32, n: u32| f64::from(i) / f64::from(n.max(2) - 1);
    let places = (0..n_across).flat_map(|j| (0..n_along).map(move |i| (i, j)));
    let mut height = |u: f64, v: f64| {
        let bowl = (2.0 * u - 1.0) * (2.0 * u - 1.0) + (2.0 * v - 1.0) * (2.0 * v - 1.0);
        dish * bowl + twist * (2.0 * u - 1.0) * (2.0 * v - 1.0) + chance.between(-0.05, 0.05)
    };
    places
        .map(|(i, j)| (part(i, n_along), part(j, n_across)))
        .map(|(u, v)| [600.0 * u, 300.0 * v, height(u, v)])
        .collect()
}

/// Points as the calculation takes them.
fn points(points: &[[f64; 3]]) -> Value {
    let points: Vec<Value> =
        points.iter().map(|[x, y, z]| json!({"x_mm": x, "y_mm": y, "z_mm": z})).collect();
    json!({ "points": points })
}

pub(super) fn flatness(chance: &mut Chance) -> Value {
    if chance.once_in(3) {
        // Anywhere, in no order, with readings as coarse as feelers: many points touch the zone at once.
        let n = chance.whole(5, 60);
        let coarse = |value: f64| (value * 20.0).round() / 20.0;
        let cloud: Vec<[f64; 3]> = (0..n)
            .map(|_| [chance.typed(0.0, 600.0), chance.typed(0.0, 300.0), coarse(chance.between(-0.6, 0.6))])
            .collect();
        return points(&cloud);
    }
    let side = |chance: &mut Chance| u32::try_from(chance.whole(2, 9)).unwrap_or(5);
    let (along, across) = (side(chance), side(chance));
    points(&grid(along, across, chance))
}

pub(super) fn straightedge(chance: &mut Chance) -> Value {
    let (length, width) = (chance.typed(200.0, 700.0), chance.typed(150.0, 500.0));
    let (half, middle) = (length / 2.0, width / 2.0);
    let ends = [
        ((0.0, 0.0), (length, width)),
        ((0.0, width), (length, 0.0)),
        ((0.0, middle), (length, middle)),
        ((half, 0.0), (half, width)),
        ((0.0, 0.0), (length, 0.0)),
        ((0.0, width), (length, width)),
        ((0.0, 0.0), (0.0, width)),
        ((length, 0.0), (length, width)),
    ];
    let fractions: &[f64] = chance.one_of(&[&[0.5][..], &[0.25, 0.5, 0.75], &[0.1, 0.5, 0.7]], &[0.5]);
    let mut line = |((x0, y0), (x1, y1)): ((f64, f64), (f64, f64))| {
        let readings: Vec<Value> =
            fractions.iter().map(|at| json!({"at": at, "dip_mm": chance.typed(-0.3, 0.9)})).collect();
        json!({"from": {"x_mm": x0, "y_mm": y0}, "to": {"x_mm": x1, "y_mm": y1}, "readings": readings})
    };
    let mut lines: Vec<Value> = ends.into_iter().map(&mut line).collect();
    let n = chance.whole(3, 9);
    lines.truncate(n);
    json!({"length_mm": length, "width_mm": width, "lines": lines})
}
