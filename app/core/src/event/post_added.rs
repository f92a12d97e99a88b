//! A post came into stock. Twelve posts alike are twelve of these events.
use super::values::{Material, PostSection};
use crate::code::Code;
use crate::ids::{KilnId, PostId};
use crate::units::Length;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One post, with what its invoice says; its true height comes from [`super::PostMeasured`].
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PostAdded {
    /// The post.
    pub post: PostId,
    /// Its short code.
    pub code: Code,
    /// What it is made of.
    pub material: Material,
    /// The height it was sold as.
    pub nominal_nm: Length,
    /// The shape of its section.
    pub section: PostSection,
    /// Its width: the least distance across the section.
    pub width_nm: Length,
    /// What it cost, in hundredths of the studio's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_cents: Option<i64>,
    /// When it was bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bought_on: Option<Date>,
    /// Firings it had before this record began.
    #[serde(default)]
    pub firings_before: u32,
    /// The kiln whose racks it belongs to.
    pub kiln: KilnId,
    /// Where it stands.
    #[serde(default)]
    pub place: String,
}
