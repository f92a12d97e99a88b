//! What a plan of a load is made of: which shelf on which posts, layer upon layer, in which place of the kiln.
//!
//! Co-ordinates: the chamber's front left corner on its floor is (0, 0), x runs to the right, y to the back;
//! a round chamber's corner is that of the square round it. Within a stack, (0, 0) is the stack's own front
//! left corner, at [`PlannedStack::at`]. Everything is a whole number, so that plans compare exactly.
//!
//! What this does not do: judge. `judge::stack` does.
use super::values::Use;
use crate::geometry::arch;
use crate::ids::{PostId, SetId, ShelfId};
use crate::outline::Spot;
use crate::units::{Length, Mass};
use serde::{Deserialize, Serialize};

/// The inside of a kiln.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(tag = "form", rename_all = "snake_case")]
pub enum Chamber {
    /// Straight walls and a flat roof.
    Box {
        /// Left to right.
        width_nm: Length,
        /// Front to back.
        depth_nm: Length,
        /// Floor to roof.
        height_nm: Length,
    },
    /// A round wall and a flat lid.
    Cylinder {
        /// Across.
        diameter_nm: Length,
        /// Floor to lid.
        height_nm: Length,
    },
    /// Straight walls up to the spring line, and over them an arch from left to right: a segment of a circle.
    Arched {
        /// Left to right.
        width_nm: Length,
        /// Front to back.
        depth_nm: Length,
        /// Floor to the crown.
        height_nm: Length,
        /// Floor to the spring line; below the crown.
        spring_nm: Length,
    },
}

impl Chamber {
    /// The lowest that the roof comes from `left_mm` to `right_mm` off the left wall, over the floor, in millimetres.
    #[must_use]
    pub fn roof_mm(&self, left_mm: f64, right_mm: f64) -> f64 {
        match *self {
            Self::Box { height_nm, .. } | Self::Cylinder { height_nm, .. } => height_nm.mm(),
            Self::Arched { width_nm, height_nm, spring_nm, .. } => {
                let at = |x_mm| arch::height_mm(width_nm.mm(), height_nm.mm(), spring_nm.mm(), x_mm);
                // An arch is lowest at one of the two sides.
                at(left_mm).min(at(right_mm))
            }
        }
    }
}

/// A place for one stack on the kiln's floor.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct StackPlace {
    /// What it is called: "left", "right, back".
    pub name: String,
    /// Its front left corner.
    pub at: Spot,
    /// Left to right.
    pub length_nm: Length,
    /// Front to back.
    pub width_nm: Length,
}

/// A part of the chamber where no furniture and no ware may be, with the distance kept from it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KeepOut {
    /// What is there.
    pub kind: super::values::KeepOutKind,
    /// Its front left corner.
    pub at: Spot,
    /// Left to right.
    pub length_nm: Length,
    /// Front to back.
    pub width_nm: Length,
    /// From this height over the floor.
    pub from_nm: Length,
    /// Up to this one.
    pub to_nm: Length,
    /// The distance kept from it, where it is not the studio's usual one for its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_nm: Option<Length>,
}

/// One stack, from the floor up.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlannedStack {
    /// The place's name.
    pub place: String,
    /// Its front left corner in the chamber.
    pub at: Spot,
    /// The lowest layer first.
    pub layers: Vec<PlannedLayer>,
}

/// One layer: supports, and the shelf or shelves that lie on them at one height. Two halves that share posts, or
/// two shelves side by side that share a column of posts, are two shelves of one layer.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct PlannedLayer {
    /// The set whose posts stand here, where they are a set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set: Option<SetId>,
    /// What stands under the shelves; a shelf is carried by every support that reaches under it.
    pub supports: Vec<PlannedSupport>,
    /// What lies on them.
    pub shelves: Vec<PlannedShelf>,
}

/// One support: a post, or two on each other.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlannedSupport {
    /// Its middle, in the stack.
    pub at: Spot,
    /// The posts, the lower one first; one or two. Empty while none is chosen.
    pub posts: Vec<PostId>,
    /// A hard shim on its top end.
    #[serde(default)]
    pub shim_nm: Length,
    /// Wads on its ends, together, as pressed.
    #[serde(default)]
    pub wad_nm: Length,
}

/// One shelf of a layer.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlannedShelf {
    /// Which; none while none is chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shelf: Option<ShelfId>,
    /// The front left corner of its bounding rectangle as it lies, in the stack.
    pub at: Spot,
    /// Quarter turns anticlockwise from how its outline is drawn, 0 to 3.
    #[serde(default)]
    pub quarter_turns: u8,
    /// What stands on it.
    #[serde(default)]
    pub ware: PlannedWare,
}

/// What stands on a shelf.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct PlannedWare {
    /// The most demanding use it is put to; none on an empty shelf.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_for: Option<Use>,
    /// The tallest piece.
    #[serde(default)]
    pub tallest_nm: Length,
    /// All of it, spread evenly; pieces placed by hand come on top.
    #[serde(default)]
    pub mass_mg: Mass,
    /// Whether the tallest has a lid.
    #[serde(default)]
    pub lidded: bool,
    /// Pieces placed by hand, in the order in which they are loaded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<PlacedPiece>,
}

/// One piece of ware placed by hand.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlacedPiece {
    /// Its middle, in the stack.
    pub at: Spot,
    /// Across its widest.
    pub diameter_nm: Length,
    /// How tall.
    pub height_nm: Length,
    /// How heavy.
    pub mass_mg: Mass,
}
