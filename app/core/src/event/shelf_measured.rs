//! A shelf's face was read for flatness.
//!
//! What this does not do: judge. The heights, the minimum zone and the verdict are worked out from the
//! readings every time they are shown, so that a better calculation corrects old readings too.
use super::values::{Face, Instrument, Typed};
use crate::ids::ShelfId;
use crate::outline::{LineName, Spot};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One reading of one face.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfMeasured {
    /// The shelf.
    pub shelf: ShelfId,
    /// The face that was up and was read.
    pub face: Face,
    /// Whether the face was bare of wash: lumps of wash spoil a reading.
    pub bare: bool,
    /// What was read with; its standard uncertainty is a setting.
    pub instrument: Instrument,
    /// The readings.
    pub reading: SurfaceReading,
    /// Anything else worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// How a face was read, and what was read.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SurfaceReading {
    /// A straightedge, or another shelf, laid along named lines.
    Lines {
        /// What lay on the shelf.
        against: Against,
        /// The lines, in the order in which they were read.
        lines: Vec<LineReading>,
    },
    /// Heights over a grid from a dial indicator, row by row from the front left corner of the outline.
    Grid {
        /// Points in a row, from left to right.
        columns: u16,
        /// Rows, from front to back.
        rows: u16,
        /// How far the outermost points stand in from the bounding rectangle's sides.
        inset_nm: Length,
        /// `columns * rows` heights, higher is up; absent where the shelf has no surface or none was read.
        heights: Vec<Option<Typed>>,
    },
}

/// What was laid on the face.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// A straightedge straight on the face: the feeler is the gap.
    Straightedge,
    /// A straightedge on two equal spacers, one at each end of the line: dip = feeler - spacer.
    Spacers {
        /// The spacers' thickness.
        spacer: Typed,
    },
    /// Another shelf, face to face: the gap belongs to both together.
    Shelf {
        /// The other shelf.
        other: ShelfId,
    },
}

/// One line along the face.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct LineReading {
    /// Which line.
    pub line: LineName,
    /// Where it starts.
    pub from: Spot,
    /// Where it ends.
    pub to: Spot,
    /// How far the face dips below the chord between the ends, at fractions of the line.
    pub dips: Vec<Dip>,
}

/// One reading on a line.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Dip {
    /// Thousandths of the way from the line's start to its end.
    pub at_permille: u16,
    /// How far the face lies below the chord; negative where it stands above.
    pub dip_nm: Length,
    /// What was typed.
    pub text: String,
}
