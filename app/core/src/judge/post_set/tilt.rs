//! How a shelf lies on its posts: which way it falls, how steeply, and what one shim would change.
//!
//! What this does not do: decide whether that is too much.
use crate::geometry::Face;
use crate::geometry::three_post::{self, Post, Setting, gradient};
use crate::geometry::triangle::Triangle;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// The lie of a shelf on its posts.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Tilt {
    /// The steepest slope, in millimetres per metre.
    pub slope_mm_per_m: f64,
    /// The same as an angle, in degrees.
    pub tilt_deg: f64,
    /// Its standard uncertainty, in degrees.
    pub u_deg: f64,
    /// Which way is down: degrees from the right, anticlockwise seen from above. None where it is level.
    pub downhill_deg: Option<f64>,
    /// Which way is down, in words: "to the back right"; "nowhere: it is level".
    pub downhill: String,
    /// The least mass that tips the empty shelf, set on its edge where that is easiest, as a share of the
    /// shelf's own mass; none where no mass on it can.
    pub tips_at: Option<f64>,
}

/// Where the posts stand: on the chosen shelf, or nowhere in particular.
#[must_use]
pub fn spots(outline: Option<&Outline>, n_posts: usize, inset: Length) -> Vec<Spot> {
    outline.map_or_else(Vec::new, |outline| outline.post_spots(n_posts, inset))
}

/// The plan in which a shim is thought where no shelf is chosen: an equilateral triangle, on which every
/// post counts alike. House choice: sides of 300 mm, half a common shelf's length; only its shape matters.
pub(super) fn any_shelf() -> [Spot; 3] {
    let at = |x: f64, y: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
    // 259.808 is 300 times the square root of 3, over 2.
    [at(0.0, 0.0), at(0.0, 300.0), at(259.807_621, 150.0)]
}

/// A post of the geometry's kind.
pub(super) fn standing(spot: Spot, height: Length) -> Post {
    Post { x_mm: spot.x_nm.mm(), y_mm: spot.y_nm.mm(), height_mm: height.mm() }
}

/// How a shelf lies on three posts whose heights have the standard uncertainty `u`.
///
/// # Returns   None where the posts stand in one line.
#[must_use]
pub fn tilt(outline: &Outline, spots: &[Spot; 3], heights: [Length; 3], u: Length) -> Option<Tilt> {
    let [a, b, c] = *spots;
    let lie = three_post::judge(&Setting {
        posts: [standing(a, heights[0]), standing(b, heights[1]), standing(c, heights[2])],
        face: Face::from(outline),
        // As a share of itself: what the material weighs is not needed.
        shelf_mass_kg: 1.0,
        loads: Vec::new(),
        u_height_mm: Some(u.mm()),
    })
    .ok()?;
    let corners = lie.corner_tip_kg.iter().flatten().copied();
    let tips_at = corners.chain(lie.rim_tip.map(|rim| rim.mass_kg)).reduce(f64::min);
    Some(Tilt {
        slope_mm_per_m: lie.slope_mm_per_m,
        tilt_deg: lie.tilt_deg,
        u_deg: lie.tilt_u_deg.unwrap_or(0.0),
        downhill_deg: lie.downhill_deg,
        downhill: lie.downhill_deg.map_or("nowhere: it is level", in_words).to_owned(),
        tips_at,
    })
}

/// A direction on a shelf as a person in front of the kiln says it.
fn in_words(deg: f64) -> &'static str {
    const SECTORS: [&str; 8] = [
        "to the right",
        "to the back right",
        "to the back",
        "to the back left",
        "to the left",
        "to the front left",
        "to the front",
        "to the front right",
    ];
    // Eight sectors of 45 degrees, the first from -22.5 to 22.5.
    let turned = (deg + 360.0 + 22.5) % 360.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 8 by the remainder"
    )]
    let sector = (turned / 45.0) as usize;
    SECTORS.get(sector).copied().unwrap_or("to the right")
}

/// The shim on post `short` that leaves the least tilt, between `least` and `most`.
///
/// # Source   The slope is g + s e with e the gradient of a unit height at that post; its square is least
/// at s = -(g . e) / (e . e), and grows to both sides, so the nearest amount allowed is the best allowed.
#[must_use]
pub(super) fn best_shim(
    spots: &[Spot; 3],
    heights: [Length; 3],
    short: usize,
    least: Length,
    most: Length,
) -> Option<Length> {
    let triangle = Triangle::new(spots.map(|spot| standing(spot, Length::ZERO).place()))?;
    let g = gradient(&triangle, heights.map(Length::mm));
    let mut one = [0.0; 3];
    *one.get_mut(short)? = 1.0;
    let e = gradient(&triangle, one);
    let best = -(g[0] * e[0] + g[1] * e[1]) / (e[0] * e[0] + e[1] * e[1]);
    best.is_finite().then(|| Length::from_mm(best).clamp(least, most.max(least)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(values: [f64; 3]) -> [Length; 3] {
        values.map(Length::from_mm)
    }

    fn rectangle() -> Outline {
        Outline::Rectangle { length_nm: Length::from_mm(600.0), width_nm: Length::from_mm(300.0) }
    }

    fn corners() -> Result<[Spot; 3], Vec<Spot>> {
        rectangle().post_spots(3, Length::from_mm(40.0)).try_into()
    }

    #[test]
    fn a_short_post_at_the_right_lets_the_shelf_fall_to_the_right() -> Result<(), Vec<Spot>> {
        // 520 mm between the pair and the third: 1.3 mm short is 2.5 mm per metre.
        let found = tilt(&rectangle(), &corners()?, mm([150.0, 150.0, 148.7]), Length::from_mm(0.03));
        let found = found.ok_or(Vec::new())?;
        assert!((found.slope_mm_per_m - 2.5).abs() < 1e-9, "{found:?}");
        assert_eq!(found.downhill, "to the right");
        assert!((found.tilt_deg - 0.143_239).abs() < 1e-6, "{found:?}");
        // The third counts once and each of the pair half: 0.03 * sqrt(1 + 1/4 + 1/4) / 520.
        assert!((found.u_deg.to_radians() - 0.03 * 1.5_f64.sqrt() / 520.0).abs() < 1e-9, "{found:?}");
        // On the very corner: moments about the line from (40, 40) to (560, 150), 28 600 over 82 400.
        assert!(found.tips_at.is_some_and(|share| (share - 286.0 / 824.0).abs() < 1e-12), "{found:?}");
        Ok(())
    }

    #[test]
    fn the_words_follow_the_compass_of_the_shelf() {
        let said = [0.0, 44.0, 90.0, 135.0, 180.0, -179.0, -135.0, -90.0, -23.0].map(in_words);
        assert_eq!(
            said,
            [
                "to the right",
                "to the back right",
                "to the back",
                "to the back left",
                "to the left",
                "to the left",
                "to the front left",
                "to the front",
                "to the front right"
            ]
        );
    }

    #[test]
    fn the_best_shim_leaves_less_tilt_than_its_neighbours() -> Result<(), Vec<Spot>> {
        let spots = corners()?;
        let cases = [([148.5, 150.0, 149.8], 0), ([150.0, 149.7, 148.4], 2), ([150.0, 148.6, 150.1], 1)];
        for (heights, short) in cases {
            let slope_with = |shim: f64| {
                let mut with = heights;
                with[short] += shim;
                let lie = tilt(&rectangle(), &spots, mm(with), Length::ZERO);
                lie.map_or(f64::NAN, |lie| lie.slope_mm_per_m)
            };
            let best = best_shim(&spots, mm(heights), short, Length::ZERO, Length::from_mm(10.0));
            let best = best.ok_or(Vec::new())?.mm();
            assert!(slope_with(best) < slope_with(best - 0.01), "{heights:?} {best}");
            assert!(slope_with(best) < slope_with(best + 0.01), "{heights:?} {best}");
        }
        Ok(())
    }

    #[test]
    fn posts_in_one_line_carry_no_plane() {
        let at = |x: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::ZERO };
        let line = [at(0.0), at(10.0), at(20.0)];
        assert_eq!(tilt(&rectangle(), &line, mm([1.0, 2.0, 4.0]), Length::ZERO), None);
    }
}
