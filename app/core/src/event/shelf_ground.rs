//! A shelf's face was ground.
use super::values::{Face, GrindMethod, Mask};
use crate::ids::ShelfId;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One grinding. Wet grinding of silicon carbide puts the shelf on hold until it is logged dry.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfGround {
    /// The shelf.
    pub shelf: ShelfId,
    /// The face.
    pub face: Face,
    /// How much thickness came off, where anyone knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removed_nm: Option<Length>,
    /// How long it took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    /// Wet or dry.
    pub method: GrindMethod,
    /// What was worn over mouth and nose.
    pub mask: Mask,
}
