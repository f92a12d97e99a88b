//! The minimum zone against an exhaustive search: every plane through three points, and every direction
//! square to two lines of points, holds the optimum among its normals.
//!
//! What this does not do: published cases; those stand in tests/reference.
use super::support::Cloud;
use super::{descend, everywhere, few, find};
use crate::geometry::SurfacePoint;
use crate::geometry::plane::{fit, vector};
use crate::geometry::vector::{cross, dot, norm, scale, sub};
use proptest::prelude::*;

fn exhaustive(points: &[SurfacePoint]) -> f64 {
    let places: Vec<_> = points.iter().map(vector).collect();
    let mut edges = Vec::new();
    for (i, a) in places.iter().enumerate() {
        edges.extend(places.iter().skip(i + 1).map(|b| sub(*b, *a)));
    }
    let mut best = f64::INFINITY;
    for (i, a) in edges.iter().enumerate() {
        for b in edges.iter().skip(i + 1) {
            let normal = cross(*a, *b);
            let length = norm(normal);
            if length > 1e-9 * norm(*a) * norm(*b) {
                let normal = scale(normal, 1.0 / length);
                let along = places.iter().map(|p| dot(normal, sub(*p, places[0])));
                let high = along.clone().fold(f64::NEG_INFINITY, f64::max);
                best = best.min(high - along.fold(f64::INFINITY, f64::min));
            }
        }
    }
    best
}

fn check(points: &[SurfacePoint]) {
    let Some(frame) = fit(points) else { return };
    let found = find(points, &frame);
    let wanted = exhaustive(points);
    let width = found.as_ref().map(|zone| zone.width_mm);
    assert!(
        width.is_some_and(|width| (width - wanted).abs() <= 1e-9),
        "{width:?} for {wanted} in {points:?}"
    );
    let touching = found.map_or(0, |zone| zone.contact.len());
    assert!(touching >= 4, "{touching} points touch in {points:?}");
}

fn cloud(plan: f64, height: f64) -> impl Strategy<Value = Vec<SurfacePoint>> {
    let point = (0.0..plan, 0.0..plan, 0.0..height);
    let make = |(x_mm, y_mm, z_mm)| SurfacePoint { x_mm, y_mm, z_mm };
    proptest::collection::vec(point.prop_map(make), 4..12)
}

/// Whole numbers in a small range: many points level, on one line, or the same.
fn lattice(plan: i32, height: i32, step_mm: f64) -> impl Strategy<Value = Vec<SurfacePoint>> {
    let point = (0..=plan, 0..=plan, 0..=height);
    let make = move |(x, y, z)| SurfacePoint {
        x_mm: f64::from(x) * 100.0,
        y_mm: f64::from(y) * 100.0,
        z_mm: f64::from(z) * step_mm,
    };
    proptest::collection::vec(point.prop_map(make), 4..12)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn shelves(points in cloud(600.0, 2.0)) {
        check(&points);
    }
    #[test]
    fn lumps(points in cloud(100.0, 100.0)) {
        check(&points);
    }
    #[test]
    fn upright_slabs(points in cloud(10.0, 300.0)) {
        check(&points);
    }
    /// A slip of the keyboard: one point of a shelf 100 m away.
    #[test]
    fn needles(points in cloud(600.0, 2.0), which in 0..4_usize, far in prop::sample::select(vec![1e3, 1e5])) {
        let mut points = points;
        points[which].z_mm = -far;
        check(&points);
    }
    #[test]
    fn feeler_grids(points in lattice(3, 3, 0.1)) {
        check(&points);
    }
    #[test]
    fn dice(points in lattice(2, 2, 100.0)) {
        check(&points);
    }
    #[test]
    fn flat_faces_on_a_slope(points in lattice(3, 0, 1.0), x in -1.0..1.0, y in -1.0..1.0) {
        let tilted: Vec<_> = points
            .iter()
            .map(|p| SurfacePoint { z_mm: x * p.x_mm + y * p.y_mm, ..*p })
            .collect();
        check(&tilted);
    }

    /// The search by branch and bound is for more points than [`super::few`] takes; it is held to it on few.
    #[test]
    fn branch_and_bound_finds_what_trying_all_finds(points in cloud(300.0, 300.0)) {
        let Some(frame) = fit(&points) else { return Ok(()) };
        let cloud = Cloud::new(&points, &frame);
        let Some(start) = descend(&cloud, [0.0, 0.0, 1.0]) else { return Ok(()) };
        let all = few::search(&cloud, start.clone()).width;
        let bounded = everywhere::search(&cloud, start, everywhere::BUDGET).map(|local| local.width);
        prop_assert!(bounded.is_some_and(|bounded| (bounded - all).abs() <= 1e-9), "{bounded:?} for {all}");
    }
}
