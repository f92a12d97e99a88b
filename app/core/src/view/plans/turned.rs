//! Where a shelf lies in its stack: its outline turned by quarters, and where its posts stand by the inset.
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedSupport};
use crate::outline::{Outline, Spot};
use crate::units::Length;

/// Posts of two shelves nearer each other than this beyond two insets are one post under both. House choice:
/// 25 mm, which bridges the 20 mm between places and a little play.
const SHARED: Length = Length(25_000_000);

/// The bounding sides of an outline as it lies.
#[must_use]
pub fn bounds(outline: &Outline, quarter_turns: u8) -> (Length, Length) {
    let (length, width) = outline.bounds();
    if quarter_turns.is_multiple_of(2) { (length, width) } else { (width, length) }
}

/// A place in the stack, as a place on the outline as it is drawn: the other way round.
#[must_use]
pub fn back(outline: &Outline, laid: &PlannedShelf, spot: Spot) -> Spot {
    let (length, width) = outline.bounds();
    let (x, y) = (spot.x_nm - laid.at.x_nm, spot.y_nm - laid.at.y_nm);
    let (x_nm, y_nm) = match laid.quarter_turns % 4 {
        0 => (x, y),
        1 => (y, width - x),
        2 => (length - x, width - y),
        _ => (length - y, x),
    };
    Spot { x_nm, y_nm }
}

/// A place on an outline, in the stack.
#[must_use]
pub fn place(outline: &Outline, laid: &PlannedShelf, spot: Spot) -> Spot {
    let turned = outline.turned(laid.quarter_turns, spot);
    Spot { x_nm: laid.at.x_nm + turned.x_nm, y_nm: laid.at.y_nm + turned.y_nm }
}

/// Where posts stand under shelves as they lie, by the inset. Two shelves beside each other share the posts at
/// their seam.
#[must_use]
pub fn usual_spots(shelves: &[(Outline, PlannedShelf)], n_posts: usize, inset: Length) -> Vec<Spot> {
    let near = 2.0 * inset.mm() + SHARED.mm();
    let mut spots: Vec<Spot> = Vec::new();
    for (outline, laid) in shelves {
        let n_before = spots.len();
        for own in outline.post_spots(n_posts, inset) {
            let own = place(outline, laid, own);
            let shared = spots.iter_mut().take(n_before).find(|other| apart_mm(**other, own) <= near);
            match shared {
                Some(other) => *other = middle(*other, own),
                None => spots.push(own),
            }
        }
    }
    spots
}

fn middle(a: Spot, b: Spot) -> Spot {
    Spot { x_nm: Length((a.x_nm.0 + b.x_nm.0) / 2), y_nm: Length((a.y_nm.0 + b.y_nm.0) / 2) }
}

/// How far apart two places are.
#[must_use]
pub fn apart_mm(a: Spot, b: Spot) -> f64 {
    let (dx, dy) = (a.x_nm.mm() - b.x_nm.mm(), a.y_nm.mm() - b.y_nm.mm());
    (dx * dx + dy * dy).sqrt()
}

/// The same layer with its posts where the inset puts them; which post stands in which column stays.
#[must_use]
pub fn by_the_inset(
    layer: &PlannedLayer,
    shelves: &[(Outline, PlannedShelf)],
    inset: Length,
) -> Vec<PlannedSupport> {
    let n_posts = if layer.supports.len() == 4 { 4 } else { 3 };
    let spots = usual_spots(shelves, n_posts, inset);
    let old = layer.supports.iter().map(Some).chain(std::iter::repeat(None));
    let empty = |at| PlannedSupport { at, posts: Vec::new(), shim_nm: Length::ZERO, wad_nm: Length::ZERO };
    spots
        .into_iter()
        .zip(old)
        .map(|(at, old)| old.map_or_else(|| empty(at), |old| PlannedSupport { at, ..old.clone() }))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::plan::PlannedWare;

    fn laid(x: f64, y: f64, quarter_turns: u8) -> PlannedShelf {
        let at = Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
        PlannedShelf { shelf: None, at, quarter_turns, ware: PlannedWare::default() }
    }

    fn mm(spots: &[Spot]) -> Vec<(f64, f64)> {
        spots.iter().map(|spot| (spot.x_nm.mm(), spot.y_nm.mm())).collect()
    }

    #[test]
    fn turning_there_and_back_is_nothing() {
        let outline = Outline::Rectangle { length_nm: Length(600), width_nm: Length(300) };
        let spot = Spot { x_nm: Length(40), y_nm: Length(70) };
        let turned = |quarters| outline.turned(quarters, spot);
        assert_eq!(turned(1), Spot { x_nm: Length(230), y_nm: Length(40) });
        assert_eq!(turned(2), Spot { x_nm: Length(560), y_nm: Length(230) });
        assert_eq!(turned(3), Spot { x_nm: Length(70), y_nm: Length(560) });
        for quarter_turns in 0..4 {
            let shelf = PlannedShelf { quarter_turns, ..laid(0.000_01, 0.000_02, 0) };
            assert_eq!(back(&outline, &shelf, place(&outline, &shelf, spot)), spot, "{quarter_turns}");
        }
    }

    #[test]
    fn two_halves_of_a_disc_share_the_two_posts_at_their_seam() {
        // Diameter 530, inset 40: a half's posts are at (80, 40), (450, 40) and (265, 225) from its straight edge.
        // The front half is turned about, so that both straight edges lie at y = 265; the posts 40 mm on either
        // side of it fall together on it.
        let half = Outline::HalfRound { diameter_nm: Length::from_mm(530.0) };
        let shelves = [(half, laid(0.0, 0.0, 2)), (half, laid(0.0, 265.0, 0))];
        let spots = usual_spots(&shelves, 3, Length::from_mm(40.0));
        assert_eq!(mm(&spots), [(450.0, 265.0), (80.0, 265.0), (265.0, 40.0), (265.0, 490.0)]);
    }

    #[test]
    fn two_shelves_side_by_side_share_a_column() {
        // 300 × 600 each, three posts each, 20 mm apart: those at the seam are 40 + 20 + 40 apart and fall together
        // where they stand opposite each other. Of the first shelf (40, 40), (40, 560) and (260, 300); of the second
        // (360, 40), (360, 560) and (580, 300): none are opposite, so none fall together.
        let outline =
            Outline::Rectangle { length_nm: Length::from_mm(300.0), width_nm: Length::from_mm(600.0) };
        let shelves = [(outline, laid(0.0, 0.0, 0)), (outline, laid(320.0, 0.0, 2))];
        // Turned about, the second's are (580, 560), (580, 40) and (360, 300): opposite (260, 300), 100 mm off.
        let spots = usual_spots(&shelves, 3, Length::from_mm(40.0));
        assert_eq!(mm(&spots), [(40.0, 40.0), (40.0, 560.0), (310.0, 300.0), (580.0, 560.0), (580.0, 40.0)]);
        assert_eq!(usual_spots(&shelves[..1], 4, Length::from_mm(40.0)).len(), 4);
    }
}
