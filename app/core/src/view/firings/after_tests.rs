//! Looking over a firing, and one piece: what is ticked is recorded, and what must not be loaded is on hold.
use crate::event::Body;
use crate::event::values::{HoldReason, Piece};
use crate::jobs::{self, Job};
use crate::testing::{Studio, said};
use crate::view::PageData;
use crate::world::Subject;

/// Two shelves and a post, fired once; the address of the page after that firing.
fn fired() -> (Studio, String) {
    let (mut studio, kiln) = Studio::with_kiln();
    let (one, other) = (studio.shelf("F01", kiln), studio.shelf("F02", kiln));
    let post = studio.post("P01", 150.0, kiln);
    studio.fire(kiln, &[Piece::Shelf(one), Piece::Shelf(other), Piece::Post(post)]);
    let address = match studio.world().firings.keys().next() {
        Some(id) => format!("/firing/{id}/after"),
        None => panic!("no firing"),
    };
    (studio, address)
}

fn kinds(bodies: &[Body]) -> Vec<&'static str> {
    bodies.iter().map(Body::kind).collect()
}

#[test]
fn all_fine_is_one_entry_and_the_page_says_so_afterwards() {
    let (mut studio, address) = fired();
    assert_eq!(super::to_look_over(&studio.world()).len(), 1);
    let read = studio.submit(&address, &[("do", "after")]).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(kinds(&read.bodies), ["firing_checked"]);
    assert_eq!(read.next, "/bench");
    studio.take(read);
    match studio.get(&address).data {
        PageData::AfterFiring(after) => assert_eq!(after.checked, "looked over on 2026-03-15"),
        other => panic!("{other:?}"),
    }
    assert!(super::to_look_over(&studio.world()).is_empty());
}

#[test]
fn only_the_exceptions_are_touched() {
    let (mut studio, address) = fired();
    let fields = [
        ("do", "after"),
        ("seen_F01", "drip"),
        ("seen_F01", "wet"),
        ("note_F01", "by the bag wall"),
        ("note_F02", "chalk mark gone"),
        ("seen_P01", "leaned_left"),
    ];
    let read = studio.submit(&address, &fields).unwrap_or_else(|p| panic!("{p:?}"));
    let expected =
        ["piece_held", "finding_noted", "finding_noted", "note_added", "finding_noted", "firing_checked"];
    assert_eq!(kinds(&read.bodies), expected);
    studio.take(read);
    let world = studio.world();
    let shelf = world.shelves.values().find(|shelf| shelf.code.as_str() == "F01");
    let hold = shelf.and_then(|shelf| shelf.hold.as_ref());
    assert_eq!(hold.map(|hold| hold.reason), Some(HoldReason::Wet), "wet comes before glaze");
    let jobs = shelf.map(|shelf| jobs::of(&world, Subject::Shelf(shelf.id))).unwrap_or_default();
    let open: Vec<Job> = jobs.iter().map(|open| open.job).collect();
    assert_eq!(open, [Job::DryOut, Job::Chisel, Job::Read]);
    match studio.get(&address).data {
        PageData::AfterFiring(after) => {
            assert_eq!(after.groups[0].pieces[0].noted, ["drip or run", "wet"]);
            assert!(after.groups[0].pieces[0].is_held);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_dull_ring_counts_as_a_tap_test_and_leaves_one_to_be_done() {
    let (mut studio, _) = fired();
    let fields = [("do", "found"), ("seen", "dull_ring")];
    let read = studio.submit("/shelf/F01/found", &fields).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(kinds(&read.bodies), ["shelf_tapped", "piece_held", "finding_noted"]);
    assert!(matches!(&read.bodies[2], Body::FindingNoted(b) if b.firing.is_some()));
    assert_eq!(read.next, "/shelf/F01");
    studio.take(read);
    let world = studio.world();
    let tap = jobs::all(&world).into_iter().find(|open| open.job == Job::Tap);
    let tap = tap.unwrap_or_else(|| panic!("nothing to tap"));
    assert_eq!(tap.reasons, ["dull ring seen", "sounded dull on 2026-03-15"]);
}

#[test]
fn what_does_not_fit_is_refused() {
    let (mut studio, address) = fired();
    let mut check =
        |address: &str, fields: &[(&str, &str)], expected: &[&str]| match studio.submit(address, fields) {
            Err(problems) => assert_eq!(said(&problems), expected),
            Ok(read) => panic!("{fields:?}: {read:?}"),
        };
    let list = "choose from the list; open the page again";
    check(&address, &[("do", "after"), ("seen_P01", "drip")], &[&format!("seen_P01: P01: {list}")]);
    check(&address, &[("do", "after"), ("seen_F01", "gone")], &[&format!("seen_F01: F01: {list}")]);
    check("/post/P01/found", &[("do", "found")], &["seen: tick what is wrong, or write it below"]);
    check("/post/P01/found", &[("do", "note")], &["do: this page has no form \"note\"; open it again"]);
}
