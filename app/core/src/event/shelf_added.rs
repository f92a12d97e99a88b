//! A shelf came into stock. Ten shelves alike are ten of these events.
use super::values::{Material, Use};
use crate::code::Code;
use crate::ids::{KilnId, ShelfId};
use crate::outline::Outline;
use crate::units::Length;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One shelf, with what its label and its invoice say. Nothing here was measured on the bench.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfAdded {
    /// The shelf.
    pub shelf: ShelfId,
    /// Its short code, given by the tool or kept from a mark it already bears.
    pub code: Code,
    /// What it is made of.
    pub material: Material,
    /// Its shape and size.
    pub outline: Outline,
    /// Its thickness when it came.
    pub thickness_nm: Length,
    /// What it cost, in hundredths of the studio's currency; absent when nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_cents: Option<i64>,
    /// When it was bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bought_on: Option<Date>,
    /// Firings it had before this record began, by the user's own count.
    #[serde(default)]
    pub firings_before: u32,
    /// The kiln whose racks it belongs to.
    pub kiln: KilnId,
    /// Where it stands: "rack B slot 4".
    #[serde(default)]
    pub place: String,
    /// Its grade by eye, where one was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub graded: Option<Use>,
}
