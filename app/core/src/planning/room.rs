//! How much height there is: under the roof over a place, and between shelves.
//!
//! What this does not do: check a finished plan.
use crate::event::plan::{Chamber, PlannedWare, StackPlace};
use crate::units::Length;

/// Rim of the tallest piece to the shelf above.
///
/// # Source   common practice, no single source.
const RIM: Length = Length(6_000_000);
/// A lid to the shelf above.
///
/// # Source   common practice, no single source.
const LID: Length = Length(13_000_000);
/// The topmost ware to roof or arch.
///
/// # Source   common practice, no single source: arch and fuel-kiln wall 25 to 50 mm, electric element 25 mm.
pub const ROOF: Length = Length(25_000_000);
/// What kiln wash on the two ends of a layer's posts adds to the height of the stack.
///
/// # Source   common practice: 0.1 to 0.3 mm; the upper end here, and none of it where room for ware is counted.
pub const END_WASH: Length = Length(300_000);

/// What must be free over the shelf: the tallest piece with its gap; nothing where nothing stands.
#[must_use]
pub fn needed(ware: &PlannedWare) -> Length {
    match super::wanted::tallest(ware) {
        tallest if tallest.0 <= 0 => Length::ZERO,
        tallest if ware.lidded => tallest + LID,
        tallest => tallest + RIM,
    }
}

/// The height from the floor to the roof, at the lowest point over a place.
#[must_use]
pub fn roof_over(chamber: &Chamber, place: &StackPlace) -> Length {
    match *chamber {
        Chamber::Box { height_nm, .. } | Chamber::Cylinder { height_nm, .. } => height_nm,
        Chamber::Arched { width_nm, height_nm, spring_nm, .. } => {
            let (left, right) = (place.at.x_nm.mm(), (place.at.x_nm + place.length_nm).mm());
            let at = |x: f64| arch_at(width_nm.mm(), height_nm.mm(), spring_nm.mm(), x);
            // An arch is lowest at one of the two sides.
            Length::from_mm(at(left).min(at(right)))
        }
    }
}

/// The height of an arch, a segment of a circle, at `x` from the left wall.
///
/// # Source   a segment with half chord c and rise s has the radius (c² + s²) / 2s.
fn arch_at(width: f64, crown: f64, spring: f64, x: f64) -> f64 {
    let (half, rise) = (width / 2.0, crown - spring);
    if rise <= 0.0 {
        return crown;
    }
    let radius = (half * half + rise * rise) / (2.0 * rise);
    let off = x - half;
    let under = radius * radius - off * off;
    if off.abs() > half || under < 0.0 { spring } else { crown - radius + under.sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::Spot;

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    #[test]
    fn an_arch_is_lower_over_the_side_of_a_stack() {
        // Half chord 300 and rise 100: radius 500. At 140 from the crown: sqrt(500² − 140²) = 480, so 20 under it.
        let chamber = Chamber::Arched {
            width_nm: mm(600.0),
            depth_nm: mm(600.0),
            height_nm: mm(900.0),
            spring_nm: mm(800.0),
        };
        let place = |x: f64, length: f64| StackPlace {
            name: "left".to_owned(),
            at: Spot { x_nm: mm(x), y_nm: mm(50.0) },
            length_nm: mm(length),
            width_nm: mm(500.0),
        };
        assert_eq!(roof_over(&chamber, &place(160.0, 200.0)), mm(880.0));
        assert_eq!(roof_over(&chamber, &place(300.0, 140.0)), mm(880.0));
        assert_eq!(roof_over(&chamber, &place(0.0, 600.0)), mm(800.0));
        let flat = Chamber::Box { width_nm: mm(600.0), depth_nm: mm(600.0), height_nm: mm(900.0) };
        assert_eq!(roof_over(&flat, &place(0.0, 600.0)), mm(900.0));
    }

    #[test]
    fn room_is_the_tallest_piece_and_its_gap() {
        let ware = |tallest: f64, lidded: bool| PlannedWare {
            tallest_nm: mm(tallest),
            lidded,
            ..PlannedWare::default()
        };
        let found = [ware(0.0, true), ware(90.0, false), ware(90.0, true)].map(|ware| needed(&ware));
        assert_eq!(found, [mm(0.0), mm(96.0), mm(103.0)]);
    }
}
