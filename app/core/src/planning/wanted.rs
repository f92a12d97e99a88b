//! What a plan is asked for: so many layers in each place, the height of their posts, and the ware on them.
//!
//! What this does not do: choose shelves or sets.
use crate::cone_name::ConeName;
use crate::event::plan::PlannedWare;
use crate::event::values::Ware;
use crate::grouping::SetSize;
use crate::ids::{KilnId, ShelfId};
use crate::units::Length;
use std::cmp::Reverse;

/// What is asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// The kiln; its inside must be on record.
    pub kiln: KilnId,
    /// Bisque or glaze.
    pub ware: Ware,
    /// The cone it goes to.
    pub cone: ConeName,
    /// Posts to a set.
    pub size: SetSize,
    /// Whether present sets are taken apart and matched afresh.
    pub fresh: bool,
    /// How the layers of a stack are ordered.
    pub order: Order,
    /// The stacks.
    pub stacks: Vec<WantedStack>,
    /// The shelves to choose from; empty for every shelf of this kiln's racks.
    pub shelves: Vec<ShelfId>,
}

/// How the layers of a stack are ordered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Order {
    /// As they are given, from the floor up.
    AsGiven,
    /// The tall ones high: see [`WantedStack::in_order`].
    TallHigh,
}

/// One stack.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WantedStack {
    /// The name of one of the kiln's places.
    pub place: String,
    /// Its layers, the lowest first.
    pub layers: Vec<WantedLayer>,
}

/// One layer: posts, a shelf on them, and ware on the shelf. The ware has the height of the next layer's posts, or of what
/// is left under the roof.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WantedLayer {
    /// The nominal height of the posts under its shelf.
    pub nominal: Length,
    /// What stands on its shelf.
    pub ware: PlannedWare,
}

impl WantedStack {
    /// The layers in the order asked for. With [`Order::TallHigh`] the posts and the ware are each put in order of height,
    /// the least at the floor, and of ware as tall as other ware the heavier is the lower: if any order leaves room over
    /// all the ware but the topmost, this one does.
    #[must_use]
    pub fn in_order(&self, order: Order) -> Vec<WantedLayer> {
        let mut posts: Vec<Length> = self.layers.iter().map(|layer| layer.nominal).collect();
        let mut ware: Vec<&PlannedWare> = self.layers.iter().map(|layer| &layer.ware).collect();
        if order == Order::TallHigh {
            posts.sort_unstable();
            ware.sort_by_key(|ware| (tallest(ware), Reverse(mass_mg(ware)), ware.used_for));
        }
        posts
            .into_iter()
            .zip(ware)
            .map(|(nominal, ware)| WantedLayer { nominal, ware: ware.clone() })
            .collect()
    }
}

/// The tallest piece, those placed by hand included.
#[must_use]
pub fn tallest(ware: &PlannedWare) -> Length {
    ware.pieces.iter().map(|piece| piece.height_nm).fold(ware.tallest_nm, Length::max)
}

fn mass_mg(ware: &PlannedWare) -> i64 {
    ware.pieces.iter().fold(ware.mass_mg.0, |sum, piece| sum.saturating_add(piece.mass_mg.0))
}
