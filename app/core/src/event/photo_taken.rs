//! Somebody took a photo of a piece: a crack, a drip.
use super::values::Piece;
use crate::photo::{PhotoHash, PhotoKind};
use serde::{Deserialize, Serialize};

/// The photo itself is a file named by its hash, beside the journal; the event says what it is of.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PhotoTaken {
    /// The shelf or post.
    pub piece: Piece,
    /// The file's SHA-256, which is its name.
    pub sha256: PhotoHash,
    /// What kind of file it is.
    pub media: PhotoKind,
    /// How wide it is, in pixels.
    pub width: u32,
    /// How high it is, in pixels.
    pub height: u32,
    /// How long the file is.
    pub bytes: u32,
    /// What it shows; may be empty.
    pub note: String,
}
