//! Lays out places for stacks on a kiln's floor: so many, for shelves of one size.
//!
//! What this does not do: look at what is to be kept clear; the drawing shows it, and the places can be moved.
use super::draw::sides_mm;
use crate::event::plan::{Chamber, StackPlace};
use crate::outline::Spot;
use crate::units::Length;

/// Between two places. House choice: 20 mm, a gloved finger's breadth, with shelves of 300 mm about a fifteenth.
const BETWEEN_MM: f64 = 20.0;

/// So many places for shelves of this length and width, in rows, in the middle of the floor. Of the ways to
/// place them in rows the one that leaves the most room at the walls is taken.
///
/// # Errors   The rows do not fit the floor; says how much is missing.
pub fn lay_out(
    chamber: &Chamber,
    n_places: u32,
    length: Length,
    width: Length,
) -> Result<Vec<StackPlace>, String> {
    let [across, deep, _] = sides_mm(chamber);
    let (long, wide) = (length.mm(), width.mm());
    let room = |n_across: u32| {
        let n_deep = n_places.div_ceil(n_across);
        let sides = (over(n_across, long), over(n_deep, wide));
        let left = match chamber {
            // What stands in a round chamber must stand in its circle: the diagonal counts.
            Chamber::Cylinder { .. } if n_places > 1 => {
                across - (sides.0 * sides.0 + sides.1 * sides.1).sqrt()
            }
            _ => (across - sides.0).min(deep - sides.1),
        };
        (left, n_across, n_deep, sides)
    };
    let best = (1..=n_places.max(1)).map(room).max_by(|a, b| a.0.total_cmp(&b.0));
    let (left, n_across, n_deep, sides) = best.ok_or("lay out at least one place")?;
    if left < 0.0 {
        return Err(format!("{n_places} such places do not fit this floor: {:.0} mm are missing", -left));
    }
    let begin = ((across - sides.0) / 2.0, (deep - sides.1) / 2.0);
    let mut places = Vec::new();
    for number in 0..n_places {
        let (row, column) = (number / n_across, number % n_across);
        let along = |n: u32, side: f64| f64::from(n) * (side + BETWEEN_MM);
        let at = Spot {
            x_nm: Length::from_mm(libm::round(begin.0 + along(column, long))),
            y_nm: Length::from_mm(libm::round(begin.1 + along(row, wide))),
        };
        let name = name(row, n_deep, column, n_across);
        places.push(StackPlace { name, at, length_nm: length, width_nm: width });
    }
    Ok(places)
}

fn over(n: u32, side: f64) -> f64 {
    f64::from(n) * side + f64::from(n.saturating_sub(1)) * BETWEEN_MM
}

/// "front left"; numbered from the front left where there are more than three in a row.
fn name(row: u32, n_rows: u32, column: u32, n_columns: u32) -> String {
    let word = |at: u32, n: u32, words: [&str; 3], row: &str| match (n, at) {
        (1, _) => String::new(),
        (2 | 3, 0) => words[0].to_owned(),
        (3, 1) => words[1].to_owned(),
        (2 | 3, _) => words[2].to_owned(),
        _ => format!("{row} {}", at + 1),
    };
    let deep = word(row, n_rows, ["front", "middle", "back"], "row");
    let across = word(column, n_columns, ["left", "centre", "right"], "stack");
    match (deep.is_empty(), across.is_empty()) {
        (true, true) => "middle".to_owned(),
        (false, true) => deep,
        (true, false) => across,
        (false, false) => format!("{deep} {across}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(chamber: &Chamber, n: u32, shelf: (f64, f64), expected: &[(&str, f64, f64)]) {
        let places = lay_out(chamber, n, Length::from_mm(shelf.0), Length::from_mm(shelf.1));
        let said: Vec<(String, f64, f64)> = places
            .unwrap_or_default()
            .into_iter()
            .map(|place| (place.name, place.at.x_nm.mm(), place.at.y_nm.mm()))
            .collect();
        let expected: Vec<_> = expected.iter().map(|(name, x, y)| ((*name).to_owned(), *x, *y)).collect();
        assert_eq!(said, expected);
    }

    #[test]
    fn places_stand_in_rows_in_the_middle_of_the_floor() {
        let mm = Length::from_mm;
        let car = Chamber::Box { width_nm: mm(960.0), depth_nm: mm(800.0), height_nm: mm(1150.0) };
        // Two shelves of 300 and 20 between them leave 180 of 800: 90 in front; 960 − 600 leaves 180 a side.
        check(&car, 2, (600.0, 300.0), &[("front", 180.0, 90.0), ("back", 180.0, 410.0)]);
        check(&car, 1, (600.0, 300.0), &[("middle", 180.0, 250.0)]);
        check(&car, 4, (600.0, 300.0), &[]);
        let round = Chamber::Cylinder { diameter_nm: mm(600.0), height_nm: mm(700.0) };
        check(&round, 1, (530.0, 530.0), &[("middle", 35.0, 35.0)]);
        // Two of 300 × 530 side by side are 620 × 530: their corners stand outside a circle of 600.
        check(&round, 2, (300.0, 530.0), &[]);
    }
}
