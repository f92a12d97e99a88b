//! Which shelf could take a cracked one's place: one from above in the same stack, or one that lies in the racks.
//!
//! What this does not do: change the plan, or promise that the plan passes afterwards; the check tells when it is done.
use super::Case;
use crate::event::values::{Ring, Use};
use crate::judge::stack::lay::{LaidShelf, LaidStack};
use crate::world::Shelf;

impl Case<'_> {
    /// The highest sound shelf of the same outline in the upper half of the stack, as a fix says it.
    pub(super) fn swap_up(&self, stack: &LaidStack<'_>, laid: &LaidShelf<'_>) -> Option<String> {
        let above = stack.shelves.iter().filter(|other| other.layer * 2 >= stack.n_layers);
        let above = above.filter(|other| other.layer > laid.layer && may_replace(other.shelf, laid.shelf));
        let other =
            above.max_by(|a, b| a.layer.cmp(&b.layer).then_with(|| b.shelf.code.cmp(&a.shelf.code)))?;
        Some(format!("swap it with {}, layer {}", other.shelf.code, other.layer + 1))
    }

    /// A sound shelf of the same outline and material that lies in this kiln's racks and stands nowhere in the plan.
    pub(super) fn from_the_racks(&self, laid: &LaidShelf<'_>) -> Option<String> {
        let planned = self.plan.stacks.iter().flat_map(|stack| &stack.layers);
        let planned: Vec<_> = planned.flat_map(|layer| &layer.shelves).filter_map(|one| one.shelf).collect();
        let free = self.world.shelves.values().filter(|other| {
            other.kiln == self.plan.kiln
                && other.material == laid.shelf.material
                && !planned.contains(&other.id)
                && may_replace(other, laid.shelf)
        });
        let other = free.min_by(|a, b| a.graded.cmp(&b.graded).then_with(|| a.code.cmp(&b.code)))?;
        Some(format!("take {} from the racks instead", other.code))
    }
}

/// Whether one shelf is sound and lies where the other does.
fn may_replace(one: &Shelf, other: &Shelf) -> bool {
    let sound = one.cracks.is_empty() && !matches!(one.ring, Some((Ring::Dull, _)));
    let there = one.retired.is_none() && one.hold.is_none() && one.graded != Some(Use::NoUse);
    sound && there && one.outline == other.outline
}
