//! Which post stands where: the order of a set that leaves the least tilt, or the least rocking.
//!
//! What this does not do: choose the posts.
use super::limits::{Limits, SetPost};
use super::tilt;
use crate::outline::Outline;
use crate::units::Length;

/// The best order of three or four posts in their places, as indices into `posts`.
///
/// Three are ordered by the tilt of the chosen shelf, four by their rocking gap and then by the tilt of the
/// diagonals against each other. Of equal orders the first wins, so that alike posts stay as listed; where
/// a height is missing, or there are not three or four, all stay as listed.
///
/// # Source   every order is tried: 6 or 24.
#[must_use]
pub fn arrange(limits: &Limits, posts: &[SetPost], outline: Option<&Outline>, inset: Length) -> Vec<usize> {
    let as_listed: Vec<usize> = (0..posts.len()).collect();
    let heights: Option<Vec<Length>> = posts.iter().map(|post| post.height).collect();
    let Some(heights) = heights.filter(|heights| (3..=4).contains(&heights.len())) else { return as_listed };
    let mut orders = Vec::new();
    permute(&mut Vec::new(), posts.len(), &mut orders);
    let cost = |order: &Vec<usize>| cost(limits, posts, &heights, order, outline, inset);
    // Costs are whole, so that ties are ties on every machine.
    orders.into_iter().min_by_key(cost).unwrap_or(as_listed)
}

/// Orders in lexicographic sequence.
fn permute(begun: &mut Vec<usize>, n: usize, orders: &mut Vec<Vec<usize>>) {
    if begun.len() == n {
        orders.push(begun.clone());
        return;
    }
    for next in (0..n).filter(|next| !begun.contains(next)).collect::<Vec<_>>() {
        begun.push(next);
        permute(begun, n, orders);
        begun.pop();
    }
}

/// In micrometres of gap, then in nanometres per metre of slope.
fn cost(
    limits: &Limits,
    posts: &[SetPost],
    heights: &[Length],
    order: &[usize],
    outline: Option<&Outline>,
    inset: Length,
) -> (i64, i64) {
    let placed: Vec<Length> = order.iter().filter_map(|at| heights.get(*at).copied()).collect();
    let spots = tilt::spots(outline, order.len(), inset);
    if let Ok([a, b, c, d]) = <[Length; 4]>::try_from(placed.clone()) {
        let known: Vec<SetPost> = order.iter().filter_map(|at| posts.get(*at).cloned()).collect();
        let read = super::four::judge(limits, &known, &placed, spots.as_slice().try_into().ok());
        let gap = read.and_then(|read| read.gap).unwrap_or(Length(i64::MAX));
        let ends = ((a.0 + d.0) - (b.0 + c.0)).abs() + ((a.0 + b.0) - (c.0 + d.0)).abs();
        return (gap.0 / 1000, ends);
    }
    let lie = outline
        .zip(spots.as_slice().try_into().ok())
        .zip(placed.try_into().ok())
        .and_then(|((outline, spots), heights)| tilt::tilt(outline, spots, heights, Length::ZERO));
    (0, lie.map_or(0, |lie| Length::from_mm(lie.slope_mm_per_m).0 / 1000))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;

    fn check(heights: &[f64], on_a_shelf: bool, expected: &[usize]) {
        let posts: Vec<SetPost> = heights
            .iter()
            .map(|height| SetPost {
                code: height.to_string(),
                height: Some(Length::from_mm(*height)),
                u: Length::ZERO,
                instrument: None,
                on: String::new(),
                dressed: false,
                barred: String::new(),
            })
            .collect();
        let outline =
            Outline::Rectangle { length_nm: Length::from_mm(600.0), width_nm: Length::from_mm(300.0) };
        let limits = Limits::of(&Settings::default());
        let found = arrange(&limits, &posts, on_a_shelf.then_some(&outline), Length::from_mm(40.0));
        assert_eq!(found, expected, "{heights:?}");
    }

    #[test]
    fn the_odd_one_of_three_stands_alone() {
        // The pair is 220 mm apart and the third 520 mm away, so the pair should agree.
        check(&[150.0, 151.0, 150.1], true, &[0, 2, 1]);
        check(&[151.0, 150.0, 150.1], true, &[1, 2, 0]);
        check(&[150.0, 150.0, 150.0], true, &[0, 1, 2]);
        check(&[150.0, 151.0, 150.1], false, &[0, 1, 2]);
    }

    #[test]
    fn the_highest_and_the_lowest_of_four_stand_across() {
        // 150.0 and 150.9 across, 150.4 and 150.5 across: no gap.
        check(&[150.0, 150.9, 150.4, 150.5], true, &[0, 2, 1, 3]);
        check(&[150.0, 150.4, 150.9, 150.5], false, &[0, 1, 2, 3]);
    }
}
