//! What flatness must do whatever the points: properties on random faces.
//!
//! What this does not do: compare with other programs; tests/reference and tests/oracle do.
use super::{Flatness, levelled, measure};
use crate::geometry::SurfacePoint;
use crate::geometry::vector::{dot, unit};
use proptest::prelude::*;

/// Faces of 6 to 40 points: any place, or feeler steps on a grid, which have ties and lines.
fn face() -> impl Strategy<Value = Vec<SurfacePoint>> {
    let anywhere = (0.0..600.0, 0.0..300.0, -2.0..2.0);
    let stepped = (0..7_i32, 0..5_i32, -20..20_i32)
        .prop_map(|(x, y, z)| (f64::from(x) * 100.0, f64::from(y) * 75.0, f64::from(z) * 0.05));
    let point = |(x_mm, y_mm, z_mm)| SurfacePoint { x_mm, y_mm, z_mm };
    prop_oneof![
        proptest::collection::vec(anywhere.prop_map(point), 6..40),
        proptest::collection::vec(stepped.prop_map(point), 6..40),
    ]
}

fn close(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

/// All but the contact, which may differ where many points touch.
fn same(a: &Flatness, b: &Flatness, within: f64) -> bool {
    close(a.minimum_zone_mm, b.minimum_zone_mm, within)
        && close(a.least_squares_mm, b.least_squares_mm, within)
        && close(a.rms_mm, b.rms_mm, within)
        && a.bow_mm.zip(b.bow_mm).is_none_or(|(a, b)| alike(a, b, within))
        && a.twist_mm.zip(b.twist_mm).is_none_or(|(a, b)| alike(a, b, within))
}

/// As close as `within`, of the value where that is over 1 mm: a surface fitted through six places of which
/// five are nearly on one conic rises by metres between them, and has no more digits than any other number.
fn alike(a: f64, b: f64, within: f64) -> bool {
    close(a, b, within * a.abs().max(1.0))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn never_negative_and_least_squares_is_no_less(points in face()) {
        let Ok(found) = measure(&points) else { return Ok(()) };
        prop_assert!(found.minimum_zone_mm >= 0.0);
        prop_assert!(found.minimum_zone_mm <= found.least_squares_mm);
        prop_assert!(found.peak_mm >= 0.0 && found.valley_mm >= 0.0);
        prop_assert!(found.rms_mm <= found.peak_mm.max(found.valley_mm) + 1e-12);
        prop_assert!(found.contact.windows(2).all(|pair| pair[0] < pair[1]), "{:?}", found.contact);
        prop_assert!(found.contact.iter().all(|i| *i < points.len()));
    }

    #[test]
    fn the_order_of_the_points_does_not_matter(points in face(), turn in 1_usize..6) {
        let Ok(found) = measure(&points) else { return Ok(()) };
        let n = points.len();
        let moved = |i: usize| (i * 7 + turn) % n;
        // Seven steps visit every point unless seven divides their number.
        prop_assume!(n % 7 != 0);
        let shuffled: Vec<_> = (0..n).map(|i| points[moved(i)]).collect();
        let again = measure(&shuffled);
        prop_assert!(again.as_ref().is_ok_and(|again| same(&found, again, 2e-9)), "{found:?} {again:?}");
    }

    #[test]
    fn a_rigid_motion_changes_nothing(
        points in face(), turn in (-1.0..1.0, -0.3..0.3, -0.3..0.3), shift in (-500.0..500.0, -500.0..500.0, 0.0..200.0)
    ) {
        let Ok(found) = measure(&points) else { return Ok(()) };
        // A unit quaternion, and the rotation that it stands for.
        let (c, b, a): (f64, f64, f64) = turn;
        let length = (1.0_f64 + a * a + b * b + c * c).sqrt();
        let [w, x, y, z] = [1.0, a, b, c].map(|part| part / length);
        let rows = [
            [1.0 - 2.0 * (y * y + z * z), 2.0 * (x * y - z * w), 2.0 * (x * z + y * w)],
            [2.0 * (x * y + z * w), 1.0 - 2.0 * (x * x + z * z), 2.0 * (y * z - x * w)],
            [2.0 * (x * z - y * w), 2.0 * (y * z + x * w), 1.0 - 2.0 * (x * x + y * y)],
        ];
        let moved: Vec<_> = points.iter().map(|p| {
            let [x, y, z] = rows.map(|row| dot(row, [p.x_mm, p.y_mm, p.z_mm]));
            SurfacePoint { x_mm: x + shift.0, y_mm: y + shift.1, z_mm: z + shift.2 }
        }).collect();
        // A line in plan may become a face by being turned, and the other way about.
        let Ok(again) = measure(&moved) else { return Ok(()) };
        prop_assert!(close(found.minimum_zone_mm, again.minimum_zone_mm, 1e-9), "{found:?} {again:?}");
        prop_assert!(close(found.least_squares_mm, again.least_squares_mm, 1e-9), "{found:?} {again:?}");
        prop_assert!(close(found.rms_mm, again.rms_mm, 1e-9));
    }

    #[test]
    fn a_plane_added_changes_the_zone_by_its_slope_only(points in face(), a in -1e-3..1e-3, b in -1e-3..1e-3) {
        let Ok(found) = measure(&points) else { return Ok(()) };
        prop_assume!(found.minimum_zone_mm > 0.0);
        let tilted: Vec<_> =
            points.iter().map(|p| SurfacePoint { z_mm: p.z_mm + a * p.x_mm + b * p.y_mm, ..*p }).collect();
        let again = measure(&tilted);
        // Slopes before and after are below 0.05 on any face wider than 80 mm; half their square is 1e-3.
        let wide = points.iter().all(|p| p.z_mm.abs() <= 2.0) && spans(&points);
        prop_assume!(wide);
        prop_assert!(again.is_ok_and(|again| close(found.minimum_zone_mm, again.minimum_zone_mm, 5e-3 * found.minimum_zone_mm)));
    }

    #[test]
    fn levelled_heights_are_the_distances_to_the_plane(points in face()) {
        let (Ok(found), Ok(level)) = (measure(&points), levelled(&points)) else { return Ok(()) };
        let high = level.iter().map(|p| p.z_mm).fold(f64::NEG_INFINITY, f64::max);
        let low = level.iter().map(|p| p.z_mm).fold(f64::INFINITY, f64::min);
        prop_assert!(close(high - low, found.least_squares_mm, 1e-12));
    }
}

/// Whether the face reaches at least 200 mm in every direction of four, so that slopes on it stay small.
fn spans(points: &[SurfacePoint]) -> bool {
    [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)].iter().all(|(x, y)| {
        let [x, y, _] = unit([*x, *y, 0.0]).unwrap_or_default();
        let along = points.iter().map(|p| x * p.x_mm + y * p.y_mm);
        let high = along.clone().fold(f64::NEG_INFINITY, f64::max);
        high - along.fold(f64::INFINITY, f64::min) >= 200.0
    })
}
