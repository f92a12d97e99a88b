//! Searches against brute force on made-up questions, and what holds of every one.
use super::options::{SetOption, ShelfOption};
use super::question::{Question, Slot, StackSlots};
use super::search::Search;
use super::weights::{DROPPED, EMPTY, EMPTY_BELOW};
use crate::event::plan::{PlannedWare, StackPlace};
use crate::ids::ShelfId;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::view::text::LengthUnit;
use proptest::prelude::*;
use uuid::Uuid;

/// What a made-up shelf or set is: kind, sag or lowest, thickness or highest, and its cost in each layer.
type Made = (usize, i64, i64, Vec<Option<i64>>);

fn shelf(at: usize, (kind, sag, thickness, _): &Made) -> ShelfOption {
    ShelfOption {
        shelf: ShelfId(Uuid::from_u128(at as u128)),
        code: format!("F{at:02}"),
        outline: Outline::Round { diameter_nm: Length(400) },
        kind: *kind,
        thickness: Length(*thickness),
        sag: Length(*sag),
        flatness: None,
        unread: true,
        fit_for: None,
        crack: None,
        worn: 0.0,
        hot: false,
    }
}

fn set(at: usize, (_, low, more, _): &Made) -> SetOption {
    SetOption {
        set: None,
        code: format!("K{at:02}"),
        nominal: Length(0),
        posts: Vec::new(),
        shim: Length::ZERO,
        spread: Length(*more),
        low: Length(*low),
        high: Length(low + more),
        hot: false,
    }
}

/// A question of two stacks whose layers number `split` and the rest.
fn question(
    split: usize,
    needs: &[Option<i64>],
    room: [Option<i64>; 2],
    shelves: &[Made],
    sets: &[Made],
) -> Question {
    let n = needs.len();
    let split = split.min(n);
    let place = StackPlace {
        name: String::new(),
        at: Spot { x_nm: Length::ZERO, y_nm: Length::ZERO },
        length_nm: Length(500),
        width_nm: Length(500),
    };
    let slot = |(at, needs): (usize, &Option<i64>)| {
        let (stack, layer, above) =
            if at < split { (0, at, split - 1 - at) } else { (1, at - split, n - 1 - at) };
        let ware = PlannedWare::default();
        Slot { stack, layer, above, nominal: Length(0), ware, needs: needs.map(Length) }
    };
    let stack = |slots, room: Option<i64>| StackSlots { place: place.clone(), slots, room: room.map(Length) };
    let cell = |made: &[Made], slot: usize| made.iter().map(|one| one.3[slot]).collect::<Vec<_>>();
    Question {
        slots: needs.iter().enumerate().map(slot).collect(),
        stacks: vec![stack(0..split, room[0]), stack(split..n, room[1])],
        shelves: shelves.iter().enumerate().map(|(at, made)| shelf(at, made)).collect(),
        sets: sets.iter().enumerate().map(|(at, made)| set(at, made)).collect(),
        kinds: vec![Outline::Round { diameter_nm: Length(400) }; 2],
        shelf_costs: (0..n).flat_map(|slot| cell(shelves, slot)).collect(),
        set_costs: (0..n).flat_map(|slot| cell(sets, slot)).collect(),
        n_posts: 3,
        inset: Length(40),
        dropped: 0,
        unit: LengthUnit::Mm,
        left_out: Vec::new(),
        said: Vec::new(),
    }
}

fn made(n_slots: usize) -> impl Strategy<Value = Vec<Made>> {
    let costs = prop::collection::vec(prop::option::weighted(0.85, 0..40_i64), n_slots);
    prop::collection::vec((0..2_usize, 0..6_i64, 1..8_i64, costs), 0..5)
}

fn questions() -> impl Strategy<Value = Question> {
    (1..4_usize).prop_flat_map(|n| {
        let needs = prop::collection::vec(prop::option::of(-2..6_i64), n);
        let room = prop::option::of(2..30_i64);
        (0..=n, needs, [room.clone(), room], made(n), made(n))
            .prop_map(|(split, needs, room, shelves, sets)| question(split, &needs, room, &shelves, &sets))
    })
}

/// The least cost over every way to fill every layer, or to leave it.
fn by_brute_force(question: &Question) -> i64 {
    fn go(
        question: &Question,
        shelves: &mut Vec<Option<usize>>,
        sets: &mut Vec<Option<usize>>,
        cost: i64,
    ) -> i64 {
        let slot = sets.len();
        if slot == question.slots.len() {
            return if holds(question, shelves, sets) { cost } else { i64::MAX };
        }
        let leave = EMPTY + EMPTY_BELOW * question.slots[slot].above as i64;
        let mut best = i64::MAX;
        for shelf in (0..question.shelves.len()).map(Some).chain([None]) {
            if shelf.is_some() && shelves.contains(&shelf) {
                continue;
            }
            let Some(on) = shelf.map_or(Some(leave), |shelf| question.shelf_cost(slot, shelf)) else {
                continue;
            };
            for set in (0..question.sets.len()).map(Some).chain([None]) {
                if set.is_some() && sets.contains(&set) {
                    continue;
                }
                let Some(under) = set.map_or(Some(leave), |set| question.set_cost(slot, set)) else {
                    continue;
                };
                shelves.push(shelf);
                sets.push(set);
                best = best.min(go(question, shelves, sets, cost + on + under));
                shelves.pop();
                sets.pop();
            }
        }
        best
    }
    go(question, &mut Vec::new(), &mut Vec::new(), DROPPED * question.dropped as i64)
}

/// Without what no choice can keep, as every question is asked.
fn settled(mut question: Question) -> Question {
    question.drop_what_cannot_be();
    question
}

fn holds(question: &Question, shelves: &[Option<usize>], sets: &[Option<usize>]) -> bool {
    let room = |slot: usize| match (question.slots[slot].needs, shelves[slot], sets[slot]) {
        (Some(needs), Some(shelf), Some(set)) => {
            question.sets[set].low - question.shelves[shelf].sag >= needs
        }
        _ => true,
    };
    (0..sets.len()).all(room)
        && question.stacks.iter().all(|stack| {
            let mut kinds: Vec<usize> = stack
                .slots
                .clone()
                .filter_map(|slot| shelves[slot])
                .map(|shelf| question.shelves[shelf].kind)
                .collect();
            kinds.dedup();
            let of = |slot: usize| {
                shelves[slot].map_or(0, |shelf| question.shelves[shelf].thickness.0)
                    + sets[slot].map_or(0, |set| question.sets[set].high.0)
            };
            let height: i64 = stack.slots.clone().map(of).sum();
            kinds.len() <= 1 && stack.room.is_none_or(|room| height <= room.0)
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_other_choice_costs_less(question in questions()) {
        let (asked, found) = Search::new(settled(question)).run().into_found();
        let found = found.ok_or_else(|| TestCaseError::fail("nothing found"))?;
        prop_assume!(found.keeps_all);
        prop_assert!(holds(&asked, &found.choice.shelves, &found.choice.sets));
        let least = by_brute_force(&asked);
        prop_assert!(found.bound <= least && least <= found.choice.cost);
        // Where layers have to be left empty for height alone, it may be given up, and says so.
        let mut begun = Search::new(asked);
        if least < begun.step(1).bound + EMPTY {
            prop_assert_eq!(found.choice.cost, least);
            prop_assert_eq!(found.bound, least);
        }
    }

    #[test]
    fn slices_of_any_size_lead_to_the_same_answer_and_the_bound_never_lies(question in questions(), slice in 1..5_u64) {
        let (_, whole) = Search::new(settled(question.clone())).run().into_found();
        let whole = whole.ok_or_else(|| TestCaseError::fail("nothing found"))?;
        prop_assume!(whole.keeps_all);
        let mut search = Search::new(settled(question));
        let mut before = i64::MIN;
        loop {
            let progress = search.step(slice);
            prop_assert!(progress.bound <= whole.choice.cost);
            prop_assert!(progress.bound >= before, "{} after {before}", progress.bound);
            prop_assert!(progress.best.is_none_or(|best| best >= whole.choice.cost));
            before = progress.bound;
            if search.has_ended() {
                break;
            }
        }
        prop_assert_eq!(search.into_found().1, Some(whole));
    }

    #[test]
    fn a_better_shelf_never_makes_it_worse(
        question in questions(), like in any::<prop::sample::Index>(), flatter in 0..3_i64, thinner in 0..3_i64, cheaper in 0..9_i64
    ) {
        prop_assume!(!question.shelves.is_empty());
        let cost = |question: Question| Search::new(settled(question)).run().finish().objective;
        let before = cost(question.clone());
        let like = like.index(question.shelves.len());
        let one = &question.shelves[like];
        let better = (one.kind, one.sag.0 - flatter, one.thickness.0 - thinner, Vec::new());
        let mut richer = question.clone();
        richer.shelves.push(shelf(question.shelves.len(), &better));
        richer.shelf_costs = (0..question.slots.len())
            .flat_map(|slot| {
                let known: Vec<Option<i64>> =
                    (0..question.shelves.len()).map(|at| question.shelf_cost(slot, at)).collect();
                let new = known[like].map(|cost| cost - cheaper);
                known.into_iter().chain([new])
            })
            .collect();
        prop_assert!(cost(richer) <= before);
    }
}
