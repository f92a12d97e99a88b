//! Which shelf could take a cracked one's place: one from above in the same stack, or one that lies in the racks.
//!
//! What this does not do: change the plan, or promise that the plan passes afterwards; the check tells when it is done.
use super::{At, Case, of_shelf};
use crate::event::values::{Ring, Use};
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::{LaidShelf, LaidStack};
use crate::view::Shape;
use crate::world::Shelf;

/// A shelf that could stand there instead.
pub(super) struct Other {
    code: String,
    /// As a fix says it: "swap it with F11, layer 5".
    said: String,
}

impl Case<'_> {
    /// A line about a cracked shelf. Its fix names the other shelf where there is one, and says it in general where
    /// there is none.
    pub(super) fn crack_line(
        &mut self,
        shape: Shape,
        (laid, at): (&LaidShelf<'_>, At<'_>),
        said: String,
        (other, fix): (Option<Other>, impl FnOnce(Option<&str>) -> String),
        rests_on: impl Into<String>,
    ) {
        let fix = fix(other.as_ref().map(|other| other.said.as_str()));
        if shape == Shape::Stop {
            self.stop(CheckKind::Crack, at, of_shelf(laid), said, &fix, rests_on);
        } else {
            self.look(CheckKind::Crack, at, of_shelf(laid), said, &fix, rests_on);
        }
        if let (Some(line), Some(other)) = (self.lines.last_mut(), other) {
            line.exchange = Some([laid.shelf.code.to_string(), other.code]);
        }
    }

    /// The highest sound shelf of the same outline in the upper half of the stack, else one from the racks.
    pub(super) fn one_from_above(&self, stack: &LaidStack<'_>, laid: &LaidShelf<'_>) -> Option<Other> {
        let above = stack.shelves.iter().filter(|other| other.layer * 2 >= stack.n_layers);
        let above = above.filter(|other| other.layer > laid.layer && may_replace(other.shelf, laid.shelf));
        let other = above.max_by(|a, b| a.layer.cmp(&b.layer).then_with(|| b.shelf.code.cmp(&a.shelf.code)));
        let Some(other) = other else { return self.one_from_the_racks(laid) };
        let code = other.shelf.code.to_string();
        Some(Other { said: format!("swap it with {code}, layer {}", other.layer + 1), code })
    }

    /// A sound shelf of the same outline and material that lies in this kiln's racks and stands nowhere in the plan;
    /// the flattest by eye, and one that nobody graded only where there is no other.
    pub(super) fn one_from_the_racks(&self, laid: &LaidShelf<'_>) -> Option<Other> {
        let planned = self.plan.stacks.iter().flat_map(|stack| &stack.layers);
        let planned: Vec<_> = planned.flat_map(|layer| &layer.shelves).filter_map(|one| one.shelf).collect();
        let free = self.world.shelves.values().filter(|other| {
            other.kiln == self.plan.kiln
                && other.material == laid.shelf.material
                && !planned.contains(&other.id)
                && may_replace(other, laid.shelf)
        });
        let other = free.min_by_key(|one| (one.graded.is_none(), one.graded, &one.code))?;
        let code = other.code.to_string();
        Some(Other { said: format!("take {code} from the racks instead"), code })
    }
}

/// Whether one shelf is sound and lies where the other does.
fn may_replace(one: &Shelf, other: &Shelf) -> bool {
    let sound = one.cracks.is_empty() && !matches!(one.ring, Some((Ring::Dull, _)));
    let there = one.retired.is_none() && one.hold.is_none() && one.graded != Some(Use::NoUse);
    sound && there && one.outline == other.outline
}
