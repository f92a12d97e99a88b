//! Holds `demo-data/studio.jsonl` to the rule that makes it, and to what the pages need to show.

mod chance;
mod diary;
mod pieces;
mod plans;
mod story;
mod studio;

use tripoise_core::event::values::HoldReason;
use tripoise_core::judge::stack::{LoadVerdict, PlateCache, check_plan};
use tripoise_core::record::Record;
use tripoise_core::view::plans::bench::Bench;
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

#[test]
fn what_travels_with_a_plan_is_checked_as_the_whole_record_is() -> Result<(), Box<dyn std::error::Error>> {
    let world = world()?;
    for plan in world.plans.values() {
        let bench = Bench::of_plan(&world, plan).ok_or("its kiln is on record")?;
        let whole = check_plan(&world, plan, &mut PlateCache::default());
        assert_eq!(check_plan(&bench.world(), plan, &mut PlateCache::default()), whole, "{}", plan.name);
        // And after its journey inside the page.
        let text = serde_json::to_string(&bench)?;
        let arrived: Bench = serde_json::from_str(&text)?;
        assert_eq!(check_plan(&arrived.world(), plan, &mut PlateCache::default()), whole);
        assert!(text.len() < 400_000, "{} bytes travel with {}", text.len(), plan.name);
    }
    Ok(())
}

#[test]
fn one_plan_of_the_demo_may_be_loaded_and_one_may_not() -> Result<(), Box<dyn std::error::Error>> {
    let world = world()?;
    let checked = |name: &str| {
        let plan = world.plans.values().find(|plan| plan.name.contains(name)).ok_or("it is on record")?;
        Ok::<_, &str>(check_plan(&world, plan, &mut PlateCache::default()))
    };
    let (good, bad) = (checked("week 48")?, checked("in a hurry")?);
    assert!(good.verdict < LoadVerdict::DoNotLoad, "{:#?}", good.lines);
    assert_eq!(bad.verdict, LoadVerdict::DoNotLoad);
    let said: Vec<&str> = bad.lines.iter().map(|line| line.said.as_str()).collect();
    let names = |code: &str| said.iter().any(|said| said.contains(code));
    assert!(names("F17") && names("F33"), "the cracked shelf and the wet one: {said:#?}");
    Ok(())
}
