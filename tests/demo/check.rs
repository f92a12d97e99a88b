//! Holds `demo-data/studio.jsonl` to the rule that makes it, and to what the pages need to show.

mod chance;
mod diary;
mod pieces;
mod plans;
mod story;
mod studio;

use tripoise_core::event::values::HoldReason;
use tripoise_core::record::Record;
use tripoise_core::world::World;

const KEPT: &str = include_str!("../../demo-data/studio.jsonl");

fn world() -> Result<World, serde_json::Error> {
    let records: Result<Vec<Record>, _> = KEPT.lines().map(serde_json::from_str).collect();
    let (world, skipped) = World::fold(&records?);
    assert!(skipped.is_empty(), "the demo has entries that cannot be read: {skipped:?}");
    Ok(world)
}

#[test]
fn the_file_is_what_the_rule_makes() -> Result<(), Box<dyn std::error::Error>> {
    let made = studio::jsonl()?;
    let differs = made.lines().zip(KEPT.lines()).position(|(made, kept)| made != kept);
    assert_eq!(
        differs, None,
        "write it again: cargo run -p tripoise_tests --example demo_studio > demo-data/studio.jsonl"
    );
    assert_eq!(made.lines().count(), KEPT.lines().count());
    Ok(())
}

#[test]
fn every_page_has_something_true_to_show() -> Result<(), Box<dyn std::error::Error>> {
    let world = world()?;
    assert_eq!(world.kilns.len(), 2);
    assert!(world.kilns.values().all(|kiln| kiln.inside.is_some()), "both from inside");
    assert_eq!(world.plans.len(), 2);
    assert_eq!(world.shelves.len(), 40);
    assert_eq!(world.posts.len(), 150);
    assert!(world.shelves.values().any(|s| !s.cracks.is_empty() && s.retired.is_none()));
    assert!(world.shelves.values().any(|s| s.hold.as_ref().is_some_and(|h| h.reason == HoldReason::Wet)));
    assert!(world.shelves.values().filter_map(|s| s.retired.as_ref()).any(|r| !r.note.is_empty()));
    assert!(world.sets.values().any(|set| set.posts.len() == 4));
    assert!(world.posts.values().any(|post| post.readings.is_empty()), "one height is not measured yet");
    let (first, last) = (world.log.first(), world.log.last());
    let days = first.zip(last).map(|(a, b)| (b.event.hlc.ms() - a.event.hlc.ms()) / 86_400_000);
    assert!(days.is_some_and(|days| days > 3 * 365), "three years of entries");
    Ok(())
}
