//! A shelf in plan with its posts, and the way it falls.
//!
//! The front is below, as one stands before the kiln. What this does not do: bend or contour the shelf.
use crate::outline::{Outline, Spot};
use serde::{Deserialize, Serialize};

/// The drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Plan {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption.
    pub caption: String,
    /// Its size in its own units.
    pub size: (f64, f64),
    /// The shelf's outline as an SVG path.
    pub path: String,
    /// The posts.
    pub posts: Vec<Place>,
    /// The arrow downhill, from its tail to its tip; none where it is level.
    pub arrow: Option<[f64; 4]>,
}

/// Where one post stands.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Place {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
    /// Its code.
    pub code: String,
    /// Whether it carries nothing.
    pub free: bool,
    /// Whether it stands in the front half.
    pub front: bool,
}

/// The width of the shelf in the drawing.
const WIDTH: f64 = 322.0;
/// Around it.
const MARGIN: f64 = 18.0;

/// Draws posts under a shelf. `free` are the codes of posts that carry nothing.
#[must_use]
pub fn draw(
    outline: &Outline,
    spots: &[Spot],
    codes: &[String],
    free: &[String],
    downhill_deg: Option<f64>,
    caption: String,
) -> Plan {
    let (length, width) = outline.bounds();
    let scale = WIDTH / length.mm().max(1.0);
    let high = width.mm() * scale;
    let x = |mm: f64| tenth(MARGIN + mm * scale);
    let y = |mm: f64| tenth(MARGIN + high - mm * scale);
    let posts: Vec<Place> = spots
        .iter()
        .zip(codes)
        .map(|(spot, code)| Place {
            x: x(spot.x_nm.mm()),
            y: y(spot.y_nm.mm()),
            code: code.clone(),
            free: free.contains(code),
            front: spot.y_nm.0 * 2 < width.0,
        })
        .collect();
    let arrow = downhill_deg.map(|deg| {
        let (sin, cos) = (libm::sin(deg.to_radians()), libm::cos(deg.to_radians()));
        let middle = (x(length.mm() / 2.0), y(width.mm() / 2.0));
        let reach = 0.3 * high.min(WIDTH);
        let end = |along: f64| [tenth(middle.0 + along * cos), tenth(middle.1 - along * sin)];
        let ([x1, y1], [x2, y2]) = (end(-reach), end(reach));
        [x1, y1, x2, y2]
    });
    let stand: Vec<String> = posts
        .iter()
        .zip(where_said(outline, spots))
        .map(|(post, place)| format!("{} {place}", post.code))
        .collect();
    Plan {
        said: format!("The shelf from above, its front below: {}", stand.join(", ")),
        caption,
        size: (tenth(WIDTH + 2.0 * MARGIN), tenth(high + 2.0 * MARGIN)),
        path: path(outline, x, y),
        posts,
        arrow,
    }
}

fn path(outline: &Outline, x: impl Fn(f64) -> f64, y: impl Fn(f64) -> f64) -> String {
    let (length, width) = outline.bounds();
    let (l, w) = (length.mm(), width.mm());
    let radius = tenth(x(l) - x(0.0)) / 2.0;
    match outline {
        Outline::Rectangle { .. } => {
            format!("M{} {}H{}V{}H{}Z", x(0.0), y(0.0), x(l), y(w), x(0.0))
        }
        Outline::Round { .. } => {
            let middle = y(w / 2.0);
            let (left, right) = (x(0.0), x(l));
            format!(
                "M{left} {middle}A{radius} {radius} 0 1 1 {right} {middle}A{radius} {radius} 0 1 1 {left} {middle}Z"
            )
        }
        Outline::HalfRound { .. } => {
            format!("M{} {}A{radius} {radius} 0 0 1 {} {}Z", x(0.0), y(0.0), x(l), y(0.0))
        }
    }
}

/// Where each spot is, in words: "front left".
#[must_use]
pub fn where_said(outline: &Outline, spots: &[Spot]) -> Vec<String> {
    let (length, width) = outline.bounds();
    let third = |value: f64, whole: f64, words: [&'static str; 3]| {
        if value < whole * 0.4 {
            words[0]
        } else if value > whole * 0.6 {
            words[2]
        } else {
            words[1]
        }
    };
    spots
        .iter()
        .map(|spot| {
            let depth = third(spot.y_nm.mm(), width.mm(), ["front", "middle", "back"]);
            let side = third(spot.x_nm.mm(), length.mm(), ["left", "middle", "right"]);
            match (depth, side) {
                ("middle", "middle") => "middle".to_owned(),
                (depth, "middle") => format!("{depth} middle"),
                (depth, side) => format!("{depth} {side}"),
            }
        })
        .collect()
}

fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn the_front_is_below_and_the_arrow_points_downhill() {
        let outline =
            Outline::Rectangle { length_nm: Length::from_mm(600.0), width_nm: Length::from_mm(300.0) };
        let spots = outline.post_spots(3, Length::from_mm(40.0));
        let codes: Vec<String> = ["P01", "P02", "P03"].map(str::to_owned).to_vec();
        let plan = draw(&outline, &spots, &codes, &[], Some(90.0), String::new());
        assert!(plan.posts[0].y > plan.posts[1].y, "the first stands in front: {:?}", plan.posts);
        assert!(plan.posts[2].x > plan.posts[0].x);
        let arrow = plan.arrow.unwrap_or_default();
        assert!(arrow[3] < arrow[1], "down to the back is up on the drawing: {arrow:?}");
        assert_eq!(
            plan.said,
            "The shelf from above, its front below: P01 front left, P02 back left, P03 middle right"
        );
    }

    #[test]
    fn every_outline_has_a_path_inside_the_drawing() {
        let diameter_nm = Length::from_mm(500.0);
        for outline in [Outline::Round { diameter_nm }, Outline::HalfRound { diameter_nm }] {
            let spots = outline.post_spots(3, Length::from_mm(40.0));
            let codes = vec!["P".to_owned(); 3];
            let plan = draw(&outline, &spots, &codes, &[], None, String::new());
            assert!(plan.path.contains('A'), "{}", plan.path);
            for post in &plan.posts {
                assert!(
                    post.x > 0.0 && post.x < plan.size.0 && post.y > 0.0 && post.y < plan.size.1,
                    "{post:?}"
                );
            }
        }
    }
}
