//! Labels, the sheets they were printed on, the grids of the studio's table, and the studio's name.
//!
//! What this does not do: take a replaced label out. It stays on record, so that scanning it can say so.
use super::pieces::Stamp;
use super::{SkipReason, World};
use crate::event::values::Labelled;
use crate::event::{LabelGridSet, LabelsMade, StudioNamed};
use crate::ids::{LabelId, SheetId, StudioId};
use crate::label::{Grid, common};
use std::collections::BTreeMap;

/// Whose furniture this is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StudioName {
    /// The studio.
    pub id: StudioId,
    /// What it is called.
    pub name: String,
    /// Where its labels lead.
    pub address: String,
}

/// One label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// What it leads to.
    pub on: Labelled,
    /// When it was made.
    pub made: Stamp,
}

/// Labels printed together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sheet {
    /// The grid as it was.
    pub grid: Grid,
    /// Places left empty at the beginning.
    pub skip: u16,
    /// The labels in their order.
    pub labels: Vec<LabelId>,
    /// When the first of them was made.
    pub made: Stamp,
}

/// Everything about labels.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Labels {
    /// The studio's name, once it has one.
    pub studio: Option<StudioName>,
    /// Every label ever made.
    pub all: BTreeMap<LabelId, Label>,
    /// The sheets.
    pub sheets: BTreeMap<SheetId, Sheet>,
    newest: BTreeMap<Labelled, LabelId>,
    /// The studio's own grids, and whether each is offered.
    grids: BTreeMap<String, (Grid, bool)>,
}

impl Labels {
    /// The label that counts for a piece.
    #[must_use]
    pub fn of(&self, on: Labelled) -> Option<LabelId> {
        self.newest.get(&on).copied()
    }

    /// The label that took this one's place.
    #[must_use]
    pub fn replaced_by(&self, label: LabelId) -> Option<(LabelId, &Label)> {
        let newest = self.of(self.all.get(&label)?.on).filter(|newest| *newest != label)?;
        self.all.get(&newest).map(|found| (newest, found))
    }

    /// The table of grids: the common ones as the studio has changed them, then its own; with whether each
    /// is offered.
    #[must_use]
    pub fn grids(&self) -> Vec<(Grid, bool)> {
        let common = common();
        let own = self.grids.iter().filter(|(name, _)| common.iter().all(|grid| grid.name != **name));
        let own: Vec<(Grid, bool)> = own.map(|(_, entry)| entry.clone()).collect();
        let changed =
            common.into_iter().map(|grid| self.grids.get(&grid.name).cloned().unwrap_or((grid, true)));
        changed.chain(own).collect()
    }

    pub(super) fn name_studio(&mut self, b: &StudioNamed) {
        // The first name's studio stays: labels of it are out there.
        let id = self.studio.as_ref().map_or(b.studio, |studio| studio.id);
        self.studio = Some(StudioName { id, name: b.name.clone(), address: b.address.clone() });
    }

    pub(super) fn set_grid(&mut self, b: &LabelGridSet) {
        self.grids.insert(b.grid.name.clone(), (b.grid.clone(), b.offered));
    }
}

impl World {
    pub(super) fn make_labels(&mut self, b: &LabelsMade, stamp: Stamp) -> Result<(), SkipReason> {
        for made in &b.labels {
            let known = match made.on {
                Labelled::Shelf(id) => self.shelves.contains_key(&id),
                Labelled::Post(id) => self.posts.contains_key(&id),
                Labelled::Set(id) => self.sets.contains_key(&id),
            };
            if !known {
                return Err(SkipReason::Unknown { what: "piece to label", id: made.label.to_string() });
            }
            if self.labels.all.contains_key(&made.label) {
                return Err(SkipReason::Twice { what: "label", id: made.label.to_string() });
            }
        }
        let empty = || Sheet { grid: b.grid.clone(), skip: b.skip, labels: Vec::new(), made: stamp };
        let sheet = self.labels.sheets.entry(b.sheet).or_insert_with(empty);
        for made in &b.labels {
            sheet.labels.push(made.label);
            self.labels.all.insert(made.label, Label { on: made.on, made: stamp });
            self.labels.newest.insert(made.on, made.label);
        }
        Ok(())
    }
}
