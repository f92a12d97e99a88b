//! A post's end was dressed: rubbed flat and square.
use super::values::{GrindMethod, Mask};
use crate::ids::PostId;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One dressing. The height on record no longer holds after it: the post wants measuring again.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PostDressed {
    /// The post.
    pub post: PostId,
    /// How much height came off, where anyone knows.
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
