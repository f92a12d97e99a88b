//! What falls together: everything whose way down to the floor leads over one shelf or one of its supports.
use super::lay::{Footing, LaidStack};
use std::collections::BTreeSet;

/// What else goes if this shelf goes or one of its supports does: shelves that share a support with it, and all that
/// stands on any of them; "left, layer 3: S14".
pub(super) fn falls_with(stack: &LaidStack<'_>, idx: usize) -> Vec<String> {
    let mut gone = BTreeSet::from([idx]);
    loop {
        let before = gone.len();
        for (other, shelf) in stack.shelves.iter().enumerate() {
            let shares = shelf.supports.iter().any(|one| stack.shelves[idx].supports.contains(one));
            let stands = shelf.supports.iter().any(|one| match &stack.supports[*one].footing {
                Footing::Shelf(under) => gone.contains(under),
                Footing::Joint(under) => under.iter().any(|one| gone.contains(one)),
                Footing::Floor | Footing::Nothing => false,
            });
            if shares || stands {
                gone.insert(other);
            }
        }
        if gone.len() == before {
            break;
        }
    }
    gone.remove(&idx);
    let said = |other: usize| {
        let shelf = &stack.shelves[other];
        format!("{}, layer {}: {}", stack.place, shelf.layer + 1, shelf.code())
    };
    gone.into_iter().map(said).collect()
}
