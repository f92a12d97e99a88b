//! A shelf's outline, and the lines along which its face is read.
//!
//! Co-ordinates: the bounding rectangle's front left corner is (0, 0), x runs to the right along the
//! length, y to the back. A half-round shelf has its straight edge in front, from (0, 0) to (diameter, 0).
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A place on a shelf.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Spot {
    /// To the right of the front left corner.
    pub x_nm: Length,
    /// Behind it.
    pub y_nm: Length,
}

/// The shape and size of a shelf.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(tag = "shape", rename_all = "snake_case")]
pub enum Outline {
    /// A rectangle.
    Rectangle {
        /// Its longer side, along x.
        length_nm: Length,
        /// Its shorter side, along y.
        width_nm: Length,
    },
    /// A disc.
    Round {
        /// Its diameter.
        diameter_nm: Length,
    },
    /// Half a disc.
    HalfRound {
        /// The length of its straight edge.
        diameter_nm: Length,
    },
}

/// The lines of a reading, as a person at the bench would call them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineName {
    /// Front left to back right.
    DiagonalUp,
    /// Back left to front right.
    DiagonalDown,
    /// Through the middle, left to right.
    LongCentre,
    /// Through the middle, front to back.
    ShortCentre,
    /// Along the front.
    FrontEdge,
    /// Along the back.
    BackEdge,
    /// Along the left.
    LeftEdge,
    /// Along the right.
    RightEdge,
    /// From the middle of the straight edge to the middle of the arc.
    Axis,
    /// From the straight edge's left end to the middle of the arc.
    LeftChord,
    /// From the straight edge's right end to the middle of the arc.
    RightChord,
}

impl LineName {
    /// Every line's name.
    pub const ALL: &[Self] = &[
        Self::DiagonalUp,
        Self::DiagonalDown,
        Self::LongCentre,
        Self::ShortCentre,
        Self::FrontEdge,
        Self::BackEdge,
        Self::LeftEdge,
        Self::RightEdge,
        Self::Axis,
        Self::LeftChord,
        Self::RightChord,
    ];

    /// As said at the bench.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::DiagonalUp => "front left to back right",
            Self::DiagonalDown => "back left to front right",
            Self::LongCentre => "middle, left to right",
            Self::ShortCentre => "middle, front to back",
            Self::FrontEdge => "front edge",
            Self::BackEdge => "back edge",
            Self::LeftEdge => "left edge",
            Self::RightEdge => "right edge",
            Self::Axis => "middle, front to back",
            Self::LeftChord => "left end to back",
            Self::RightChord => "right end to back",
        }
    }

    /// The name of the line's fields in a form.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::DiagonalUp => "diagonal_up",
            Self::DiagonalDown => "diagonal_down",
            Self::LongCentre => "long_centre",
            Self::ShortCentre => "short_centre",
            Self::FrontEdge => "front_edge",
            Self::BackEdge => "back_edge",
            Self::LeftEdge => "left_edge",
            Self::RightEdge => "right_edge",
            Self::Axis => "axis",
            Self::LeftChord => "left_chord",
            Self::RightChord => "right_chord",
        }
    }
}

/// A line on an outline.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Line {
    /// Its name.
    pub name: LineName,
    /// Its start.
    pub from: Spot,
    /// Its end.
    pub to: Spot,
}

impl Outline {
    /// Length and width of the bounding rectangle.
    #[must_use]
    pub fn bounds(&self) -> (Length, Length) {
        match *self {
            Self::Rectangle { length_nm, width_nm } => (length_nm, width_nm),
            Self::Round { diameter_nm } => (diameter_nm, diameter_nm),
            Self::HalfRound { diameter_nm } => (diameter_nm, Length(diameter_nm.0 / 2)),
        }
    }

    /// A place on the outline after so many quarter turns anticlockwise, back in its bounding rectangle.
    #[must_use]
    pub fn turned(&self, quarter_turns: u8, spot: Spot) -> Spot {
        let (length, width) = self.bounds();
        let (x, y) = (spot.x_nm, spot.y_nm);
        let (x_nm, y_nm) = match quarter_turns % 4 {
            0 => (x, y),
            1 => (width - y, x),
            2 => (length - x, width - y),
            _ => (y, length - x),
        };
        Spot { x_nm, y_nm }
    }

    /// The longest straight line on the face, which is what a straightedge spans.
    #[must_use]
    pub fn span(&self) -> Length {
        match *self {
            Self::Rectangle { length_nm, width_nm } => {
                let (l, w) = (length_nm.mm(), width_nm.mm());
                Length::from_mm((l * l + w * w).sqrt())
            }
            Self::Round { diameter_nm } | Self::HalfRound { diameter_nm } => diameter_nm,
        }
    }

    /// The area of the face in square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        match *self {
            Self::Rectangle { length_nm, width_nm } => length_nm.mm() * width_nm.mm() / 1e6,
            Self::Round { diameter_nm } => core::f64::consts::PI * diameter_nm.mm() * diameter_nm.mm() / 4e6,
            Self::HalfRound { diameter_nm } => {
                core::f64::consts::PI * diameter_nm.mm() * diameter_nm.mm() / 8e6
            }
        }
    }

    /// Whether a place lies on the face or within `slack` outside it.
    #[must_use]
    pub fn holds(&self, spot: Spot, slack: Length) -> bool {
        let (length, width) = self.bounds();
        let inside_box = spot.x_nm.0 >= -slack.0
            && spot.y_nm.0 >= -slack.0
            && spot.x_nm.0 <= length.0 + slack.0
            && spot.y_nm.0 <= width.0 + slack.0;
        match *self {
            Self::Rectangle { .. } => inside_box,
            Self::Round { diameter_nm } => {
                let radius = diameter_nm.mm() / 2.0;
                inside_box && distance_mm(spot, radius, radius) <= radius + slack.mm()
            }
            Self::HalfRound { diameter_nm } => {
                let radius = diameter_nm.mm() / 2.0;
                inside_box && distance_mm(spot, radius, 0.0) <= radius + slack.mm()
            }
        }
    }

    /// The trade's quick reading: two diagonals and the long centre line; round shelves have one pattern.
    ///
    /// # Source   common practice, no single source.
    #[must_use]
    pub fn quick_lines(&self) -> Vec<Line> {
        match self {
            Self::Rectangle { .. } => self.full_lines().into_iter().take(3).collect(),
            _ => self.full_lines(),
        }
    }

    /// The full reading: four edges, two diagonals and two centre lines on a rectangle; four diameters on
    /// a disc; on half a disc the straight edge, the axis and the two chords to the middle of the arc.
    ///
    /// # Source   common practice, no single source; the half disc's lines are a house choice: four lines
    /// whose middles and ends meet, so that a slip shows.
    #[must_use]
    pub fn full_lines(&self) -> Vec<Line> {
        let (length, width) = self.bounds();
        let at = |x: f64, y: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
        let (l, w) = (length.mm(), width.mm());
        let line = |name, from, to| Line { name, from, to };
        match self {
            Self::Rectangle { .. } => vec![
                line(LineName::DiagonalUp, at(0.0, 0.0), at(l, w)),
                line(LineName::DiagonalDown, at(0.0, w), at(l, 0.0)),
                line(LineName::LongCentre, at(0.0, w / 2.0), at(l, w / 2.0)),
                line(LineName::ShortCentre, at(l / 2.0, 0.0), at(l / 2.0, w)),
                line(LineName::FrontEdge, at(0.0, 0.0), at(l, 0.0)),
                line(LineName::BackEdge, at(0.0, w), at(l, w)),
                line(LineName::LeftEdge, at(0.0, 0.0), at(0.0, w)),
                line(LineName::RightEdge, at(l, 0.0), at(l, w)),
            ],
            Self::Round { .. } => {
                let r = l / 2.0;
                // cos 45 degrees = 1/sqrt 2.
                let d = r * core::f64::consts::FRAC_1_SQRT_2;
                vec![
                    line(LineName::LongCentre, at(0.0, r), at(l, r)),
                    line(LineName::ShortCentre, at(r, 0.0), at(r, l)),
                    line(LineName::DiagonalUp, at(r - d, r - d), at(r + d, r + d)),
                    line(LineName::DiagonalDown, at(r - d, r + d), at(r + d, r - d)),
                ]
            }
            Self::HalfRound { .. } => vec![
                line(LineName::FrontEdge, at(0.0, 0.0), at(l, 0.0)),
                line(LineName::Axis, at(l / 2.0, 0.0), at(l / 2.0, w)),
                line(LineName::LeftChord, at(0.0, 0.0), at(l / 2.0, w)),
                line(LineName::RightChord, at(l, 0.0), at(l / 2.0, w)),
            ],
        }
    }

    /// Where posts stand by default: two at the left end and one in the middle of the right for a set of
    /// three, the corners for four; on a disc evenly around; on half a disc at both ends and under the arc.
    /// Centres stand `inset` in from the edge.
    #[must_use]
    pub fn post_spots(&self, n_posts: usize, inset: Length) -> Vec<Spot> {
        let (length, width) = self.bounds();
        let (l, w, i) = (length.mm(), width.mm(), inset.mm());
        let at = |x: f64, y: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
        match self {
            Self::Rectangle { .. } if n_posts == 4 => {
                vec![at(i, i), at(l - i, i), at(l - i, w - i), at(i, w - i)]
            }
            Self::Rectangle { .. } => vec![at(i, i), at(i, w - i), at(l - i, w / 2.0)],
            Self::Round { .. } => {
                let r = l / 2.0;
                let on = r - i;
                // Corners of an equilateral triangle, or of a square, on the circle of the posts.
                let half_sqrt3 = 0.866_025_403_784_438_6;
                let d = on * core::f64::consts::FRAC_1_SQRT_2;
                if n_posts == 4 {
                    vec![at(r - d, r - d), at(r + d, r - d), at(r + d, r + d), at(r - d, r + d)]
                } else {
                    vec![
                        at(r - on / 2.0, r - on * half_sqrt3),
                        at(r - on / 2.0, r + on * half_sqrt3),
                        at(r + on, r),
                    ]
                }
            }
            Self::HalfRound { .. } => {
                let r = l / 2.0;
                let mut spots = vec![at(2.0 * i, i), at(l - 2.0 * i, i), at(r, w - i)];
                if n_posts == 4 {
                    spots.insert(2, at(r + (r - i) / 2.0, (r - i) * 0.75));
                    spots[3] = at(r - (r - i) / 2.0, (r - i) * 0.75);
                }
                spots
            }
        }
    }
}

fn distance_mm(spot: Spot, x: f64, y: f64) -> f64 {
    let (dx, dy) = (spot.x_nm.mm() - x, spot.y_nm.mm() - y);
    (dx * dx + dy * dy).sqrt()
}
