//! Labels were made for printing.
use super::values::Labelled;
use crate::ids::{LabelId, SheetId};
use crate::label::Grid;
use serde::{Deserialize, Serialize};

/// Some of a sheet's labels, in their order. A long sheet comes as several events, each of which stays small
/// enough for the store.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct LabelsMade {
    /// The sheet that they are printed on together.
    pub sheet: SheetId,
    /// The grid as it was, so that the sheet prints again as it did.
    pub grid: Grid,
    /// Places at the sheet's beginning that were used up already.
    pub skip: u16,
    /// The labels.
    pub labels: Vec<MadeLabel>,
}

/// One label. A piece's newest label is the one that counts; an older one says that it was replaced.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct MadeLabel {
    /// The label.
    pub label: LabelId,
    /// What it leads to.
    pub on: Labelled,
}
