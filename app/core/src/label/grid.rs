//! Grids of labels on a sheet of paper: the common ones, and what can be wrong with one of the user's own.
//!
//! What this does not do: know any maker's numbers for them. A grid is told by its sizes.
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A sheet's size.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[serde(rename = "a4")]
    A4,
    /// 8 1/2 × 11 in (ANSI/ASME Y14.1, size A).
    #[serde(rename = "letter")]
    Letter,
}

impl Paper {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// The stored name.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }

    /// As said.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "US Letter",
        }
    }

    /// Width and height, upright.
    #[must_use]
    pub const fn size(self) -> (Length, Length) {
        match self {
            Self::A4 => (Length::from_um(210_000), Length::from_um(297_000)),
            Self::Letter => (Length::from_um(215_900), Length::from_um(279_400)),
        }
    }
}

/// Where labels lie on a sheet.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Grid {
    /// What the studio calls it; the key of its table.
    pub name: String,
    /// The paper.
    pub paper: Paper,
    /// Labels side by side.
    pub columns: u8,
    /// Labels one below the other.
    pub rows: u8,
    /// A label's width.
    pub width_nm: Length,
    /// A label's height.
    pub height_nm: Length,
    /// From the paper's left edge to the first column.
    pub left_nm: Length,
    /// From the paper's upper edge to the first row.
    pub top_nm: Length,
    /// From one column's left edge to the next one's.
    pub pitch_x_nm: Length,
    /// From one row's upper edge to the next one's.
    pub pitch_y_nm: Length,
}

/// What is wrong with a grid, with the field it belongs to.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum GridError {
    /// No columns or rows.
    #[error("a grid has at least one column and one row")]
    Empty,
    /// Labels over one another.
    #[error("labels {size} mm long do not fit {pitch} mm apart; give a greater distance or a smaller label")]
    Overlap {
        /// The label's size.
        size: f64,
        /// The distance.
        pitch: f64,
    },
    /// Off the paper.
    #[error(
        "the last label ends {end} mm from the edge of {paper} paper of {size} mm; give fewer or smaller ones"
    )]
    OffPaper {
        /// Where it ends.
        end: f64,
        /// The paper.
        paper: &'static str,
        /// The paper's size that way.
        size: f64,
    },
    /// Too small to be read.
    #[error(
        "a label of {width} × {height} mm is too small for a symbol that a phone reads; give {least} mm and more"
    )]
    Small {
        /// Its width.
        width: f64,
        /// Its height.
        height: f64,
        /// The least height.
        least: f64,
    },
}

/// House choice: 37 modules of 0.4 mm, which a phone reads from a hand's breadth, and a margin of 1.5 mm.
const LEAST_MM: f64 = 18.0;

impl Grid {
    /// Labels on a sheet.
    #[must_use]
    pub fn per_sheet(&self) -> usize {
        usize::from(self.columns) * usize::from(self.rows)
    }

    /// The upper left corner of the label at this place of the sheet, counted along the rows.
    #[must_use]
    pub fn corner(&self, place: usize) -> (Length, Length) {
        let columns = usize::from(self.columns).max(1);
        let along = |first: Length, pitch: Length, n: usize| {
            Length(first.0.saturating_add(pitch.0.saturating_mul(i64::try_from(n).unwrap_or(i64::MAX))))
        };
        (
            along(self.left_nm, self.pitch_x_nm, place % columns),
            along(self.top_nm, self.pitch_y_nm, place / columns),
        )
    }

    /// Everything wrong with it, with the form's field.
    #[must_use]
    pub fn faults(&self) -> Vec<(&'static str, GridError)> {
        let mut found = Vec::new();
        if self.columns == 0 || self.rows == 0 {
            found.push(("columns", GridError::Empty));
            return found;
        }
        let (width, height) = (self.width_nm, self.height_nm);
        if width.mm() < LEAST_MM || height.mm() < LEAST_MM {
            found.push((
                "height",
                GridError::Small { width: width.mm(), height: height.mm(), least: LEAST_MM },
            ));
        }
        let (right, below) = self.corner(self.per_sheet() - 1);
        let (paper_width, paper_height) = self.paper.size();
        let ways = [
            ("pitch_x", "columns", self.columns, width, self.pitch_x_nm, right, paper_width),
            ("pitch_y", "rows", self.rows, height, self.pitch_y_nm, below, paper_height),
        ];
        for (pitch_field, count_field, count, size, pitch, last, paper) in ways {
            if count > 1 && pitch < size {
                found.push((pitch_field, GridError::Overlap { size: size.mm(), pitch: pitch.mm() }));
            }
            let end = last + size;
            if end > paper {
                let paper_said = self.paper.said();
                found.push((
                    count_field,
                    GridError::OffPaper { end: end.mm(), paper: paper_said, size: paper.mm() },
                ));
            }
        }
        found
    }

    /// "A4, 3 × 8 of 70 × 37 mm".
    #[must_use]
    pub fn said(&self) -> String {
        let (width, height) = (self.width_nm.mm(), self.height_nm.mm());
        format!("{}, {} \u{d7} {} of {width} \u{d7} {height} mm", self.paper.said(), self.columns, self.rows)
    }
}

/// The grids that the table begins with: sizes sold everywhere as plain label sheets; common practice, from
/// memory, to be held against the studio's own sheets before printing.
#[must_use]
pub fn common() -> Vec<Grid> {
    let row =
        |name: &str, paper, (columns, rows), size: (i64, i64), corner: (i64, i64), pitch: (i64, i64)| Grid {
            name: name.to_owned(),
            paper,
            columns,
            rows,
            width_nm: Length::from_um(size.0),
            height_nm: Length::from_um(size.1),
            left_nm: Length::from_um(corner.0),
            top_nm: Length::from_um(corner.1),
            pitch_x_nm: Length::from_um(pitch.0),
            pitch_y_nm: Length::from_um(pitch.1),
        };
    vec![
        row("A4 of 24", Paper::A4, (3, 8), (70_000, 37_000), (0, 500), (70_000, 37_000)),
        row("A4 of 14", Paper::A4, (2, 7), (99_100, 38_100), (4_650, 15_150), (101_650, 38_100)),
        row("A4 of 8", Paper::A4, (2, 4), (99_100, 67_700), (4_650, 13_100), (101_650, 67_700)),
        row("A4 of 40", Paper::A4, (4, 10), (52_500, 29_700), (0, 0), (52_500, 29_700)),
        row("Letter of 30", Paper::Letter, (3, 10), (66_675, 25_400), (4_763, 12_700), (69_850, 25_400)),
        row("Letter of 10", Paper::Letter, (2, 5), (101_600, 50_800), (4_763, 12_700), (104_775, 50_800)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_common_grids_fit_their_paper() {
        for grid in common() {
            assert_eq!(grid.faults(), [], "{}", grid.name);
            let (left, top) = grid.corner(grid.per_sheet() - 1);
            let (width, height) = grid.paper.size();
            // Nothing but the edge is left over: a label more would not fit.
            assert!(left + grid.pitch_x_nm + grid.width_nm > width, "{}", grid.name);
            assert!(top + grid.pitch_y_nm + grid.height_nm > height, "{}", grid.name);
        }
    }

    #[test]
    fn a_wrong_grid_says_what_is_wrong() -> Result<(), &'static str> {
        let base = common().into_iter().next().ok_or("no grid")?;
        let check = |grid: Grid, expected: &[&str]| {
            let faults: Vec<String> =
                grid.faults().into_iter().map(|(field, cause)| format!("{field}: {cause}")).collect();
            assert_eq!(faults, expected);
        };
        check(Grid { columns: 0, ..base.clone() }, &["columns: a grid has at least one column and one row"]);
        check(
            Grid { rows: 9, ..base.clone() },
            &[
                "rows: the last label ends 333.5 mm from the edge of A4 paper of 297 mm; give fewer or smaller ones",
            ],
        );
        check(
            Grid { pitch_x_nm: Length::from_um(60_000), ..base.clone() },
            &[
                "pitch_x: labels 70 mm long do not fit 60 mm apart; give a greater distance or a smaller label",
            ],
        );
        check(
            Grid { height_nm: Length::from_um(10_000), ..base },
            &[
                "height: a label of 70 × 10 mm is too small for a symbol that a phone reads; give 18 mm and more",
            ],
        );
        Ok(())
    }
}
