//! How much height there is: under the roof over a place, and between shelves.
//!
//! What this does not do: check a finished plan.
use crate::event::plan::{Chamber, PlannedWare, StackPlace};
use crate::settings::{SettingKey, Settings};
use crate::units::Length;

/// What kiln wash on the two ends of a layer's posts adds to the height of the stack.
///
/// # Source   common practice: 0.1 to 0.3 mm; the upper end here, and none of it where room for ware is counted.
pub const END_WASH: Length = Length(300_000);

/// What must be free over the shelf: the tallest piece with the studio's gap; nothing where nothing stands.
#[must_use]
pub fn needed(settings: &Settings, ware: &PlannedWare) -> Length {
    let gap = if ware.lidded { SettingKey::GapLid } else { SettingKey::GapRim };
    match super::wanted::tallest(ware) {
        tallest if tallest.0 <= 0 => Length::ZERO,
        tallest => tallest + settings.length(gap),
    }
}

/// The height from the floor to the roof, at the lowest point over a place.
#[must_use]
pub fn roof_over(chamber: &Chamber, place: &StackPlace) -> Length {
    Length::from_mm(chamber.roof_mm(place.at.x_nm.mm(), (place.at.x_nm + place.length_nm).mm()))
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
        let found = [ware(0.0, true), ware(90.0, false), ware(90.0, true)]
            .map(|ware| needed(&Settings::default(), &ware));
        assert_eq!(found, [mm(0.0), mm(96.0), mm(103.0)]);
        let mut settings = Settings::default();
        assert!(settings.change(SettingKey::GapRim, mm(10.0).0));
        assert_eq!(needed(&settings, &ware(90.0, false)), mm(100.0), "the studio's own gap");
    }
}
