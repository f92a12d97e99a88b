//! The fold, tried on small worlds: order, repeats, corrections, withdrawals, unreadable records.
use super::*;
use crate::event::samples;
use crate::event::values::{HoldReason, Typed};
use crate::event::{Body, EventsWithdrawn, PostMeasured};
use crate::ids::EventId;
use crate::record::Hlc;
use crate::units::Length;
use proptest::prelude::*;
use uuid::Uuid;

fn records(events: &[Event]) -> Vec<Record> {
    events.iter().filter_map(|event| event.write().ok()).collect()
}

fn fold(events: &[Event]) -> World {
    let (world, skipped) = World::fold(&records(events));
    assert!(skipped.is_empty(), "{skipped:?}");
    world
}

/// Another event of the samples' device, `n` seconds after the last of them.
fn after(events: &[Event], n: i64, id: u128, body: impl Into<Body>) -> Event {
    let last = events.last().cloned();
    let mut event = last.unwrap_or_else(|| unreachable!("samples are not empty"));
    event.device_seq += n.unsigned_abs();
    event.hlc = Hlc::at_ms(event.hlc.ms() + n * 1000);
    event.id = EventId(Uuid::from_u128(id));
    event.body = body.into();
    event
}

fn without_withdrawal() -> Vec<Event> {
    samples::events().into_iter().filter(|e| e.body.kind() != "events_withdrawn").collect()
}

fn first_height(world: &World) -> Option<Length> {
    world.posts.values().next().and_then(|post| post.last_reading()).map(|reading| reading.height)
}

fn of_kind(events: &[Event], kind: &str) -> EventId {
    let found = events.iter().find(|event| event.body.kind() == kind);
    found.map_or(EventId(Uuid::nil()), |event| event.id)
}

#[test]
fn the_samples_add_up() {
    let world = fold(&without_withdrawal());
    let shelf = world.shelves.values().next();
    assert!(shelf.is_some_and(|shelf| {
        shelf.firings() == 13
            && shelf.hold.is_none()
            && shelf.retired.is_none()
            && shelf.cracks.len() == 1
            && shelf.washes.len() == 1
            && shelf.ground_off == Length::from_mm(0.2)
            && shelf.readings.iter().all(|reading| reading.stale)
    }));
    assert!(world.sets.values().all(|set| set.parted.is_some()));
    assert_eq!(world.settings.get(SettingKey::SpreadGood), 400_000);
    assert_eq!(first_height(&world), Some(Length::from_mm(150.12)));
}

#[test]
fn wet_grinding_of_silicon_carbide_holds_the_shelf() {
    let events: Vec<Event> =
        without_withdrawal().into_iter().take_while(|e| e.body.kind() != "piece_held").collect();
    let hold = fold(&events).shelves.into_values().find_map(|shelf| shelf.hold);
    assert!(hold.is_some_and(|hold| hold.reason == HoldReason::Wet));
}

#[test]
fn a_correction_counts_at_the_place_of_what_it_corrects() {
    let mut events = without_withdrawal();
    let wrong = of_kind(&events, "post_measured");
    let Some(Body::PostMeasured(body)) = events.iter().find(|e| e.id == wrong).map(|e| e.body.clone()) else {
        panic!("no sample of a measured post");
    };
    let typed = |mm: f64| Typed { nm: Length::from_mm(mm), text: mm.to_string() };
    let today = after(&events, 1, 2001, PostMeasured { height: typed(149.0), ..body.clone() });
    let mut right = after(&events, 2, 2002, PostMeasured { height: typed(150.5), ..body });
    right.corrects = Some(wrong);
    events.extend([today, right]);
    let world = fold(&events);
    let heights: Vec<f64> = world
        .posts
        .values()
        .next()
        .map(|post| post.readings.iter().map(|reading| reading.height.mm()).collect())
        .unwrap_or_default();
    assert_eq!(heights, [150.5, 149.0], "the correction is the older reading, today's stays the newest");
    assert!(matches!(world.entry(wrong).map(|e| &e.standing), Some(Standing::Corrected { .. })));
}

#[test]
fn an_undone_undo_undoes_nothing() {
    let mut events = without_withdrawal();
    let target = of_kind(&events, "post_measured");
    let undo = |events: &[Event], id: u128, target: EventId| {
        after(events, 1, id, EventsWithdrawn { events: vec![target], reason: String::new() })
    };
    events.push(undo(&events, 3001, target));
    assert_eq!(first_height(&fold(&events)), None);
    let first = events.last().map_or(target, |event| event.id);
    events.push(undo(&events, 3002, first));
    assert_eq!(first_height(&fold(&events)), Some(Length::from_mm(150.12)));
}

#[test]
fn what_cannot_be_read_is_kept_aside_and_counted() {
    let events = without_withdrawal();
    let mut records = records(&events);
    let mut stranger = records[0].clone();
    stranger.id = EventId(Uuid::from_u128(4001));
    stranger.kind = "kiln_painted".to_owned();
    let mut newer = records[1].clone();
    newer.id = EventId(Uuid::from_u128(4002));
    newer.schema = 99;
    records.extend([stranger, newer]);
    let (world, skipped) = World::fold(&records);
    assert_eq!(world, fold(&events));
    assert_eq!(skipped.len(), 2);
}

proptest! {
    #[test]
    fn any_order_and_any_repeats_give_the_same_world(seed in proptest::collection::vec(any::<u16>(), 64)) {
        let mut events = without_withdrawal();
        let target = of_kind(&events, "shelf_ground");
        events.push(after(&events, 1, 5001, EventsWithdrawn { events: vec![target], reason: String::new() }));
        let expected = fold(&events);
        let mut shuffled: Vec<Event> = events.iter().chain(events.iter().rev().take(9)).cloned().collect();
        for (idx, draw) in seed.iter().enumerate() {
            let (a, b) = (idx % shuffled.len(), usize::from(*draw) % shuffled.len());
            shuffled.swap(a, b);
        }
        prop_assert_eq!(fold(&shuffled), expected);
    }

    #[test]
    fn one_by_one_is_the_same_as_all_at_once(cut in 1_usize..20) {
        let events = without_withdrawal();
        let mut world = fold(&events[..cut]);
        for event in &events[cut..] {
            prop_assert_eq!(world.append(event.clone()), Ok(()));
        }
        prop_assert_eq!(world, fold(&events));
    }
}
