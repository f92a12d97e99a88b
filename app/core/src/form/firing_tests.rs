//! Firings as people log them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use crate::event::PieceHeld;
use crate::event::values::{Fuel, HoldReason, Piece};
use crate::testing::{Studio, said};
use crate::view::PageData;

/// Two shelves and two posts of the gas kiln, one shelf of another; F02 is wet.
fn studio() -> Studio {
    let (mut studio, gas) = Studio::with_kiln();
    let little = studio.kiln("little one", Fuel::Electric, "6");
    studio.shelf("F01", gas);
    let wet = studio.shelf("F02", gas);
    studio.shelf("F03", little);
    studio.post("P01", 150.0, gas);
    studio.post("P02", 25.0, gas);
    studio.record(PieceHeld { piece: Piece::Shelf(wet), reason: HoldReason::Wet, note: "rain".to_owned() });
    studio
}

fn address(studio: &Studio) -> String {
    format!("/firings/new?kiln={}", studio.world().kilns.keys().next().unwrap())
}

/// The form as it begins, with some fields changed.
fn fire(studio: &mut Studio, change: &[(&str, &str)]) -> Result<String, Vec<String>> {
    let address = address(studio);
    let page = studio.get(&address);
    let begun = page.form.values.iter().flat_map(|(name, values)| values.iter().map(move |v| (name, v)));
    let begun = begun.map(|(name, value)| (name.as_str(), value.as_str()));
    let kept = begun.filter(|(name, _)| change.iter().all(|(changed, _)| changed != name));
    let typed = [("do", "firing"), ("ware", "glaze")].into_iter();
    let typed = typed.filter(|(name, _)| change.iter().all(|(changed, _)| changed != name));
    let fields: Vec<_> = kept.chain(typed).chain(change.iter().copied()).collect();
    match studio.submit(&address, &fields) {
        Ok(read) => {
            let next = read.next.clone();
            studio.take(read);
            Ok(next)
        }
        Err(problems) => Err(said(&problems)),
    }
}

fn firings(studio: &Studio) -> Vec<String> {
    let world = studio.world();
    let shelves = world.shelves.values().map(|one| format!("{} {}", one.code, one.firings_logged));
    shelves.chain(world.posts.values().map(|one| format!("{} {}", one.code, one.firings_logged))).collect()
}

#[test]
fn everything_in_the_racks_counts_one_firing_unless_it_is_on_hold() {
    let mut studio = studio();
    let PageData::NewFiring(data) = studio.get(&address(&studio)).data else { panic!("not the page") };
    let groups: Vec<&str> = data.groups.iter().map(|group| group.said.as_str()).collect();
    assert_eq!(groups, ["shelves", "posts of 25 mm", "posts of 150 mm"]);
    assert_eq!(data.groups[0].pieces[1].barred, "on hold: wet (rain)");
    let next = fire(&mut studio, &[]).unwrap();
    assert_eq!(firings(&studio), ["F01 1", "F02 0", "F03 0", "P01 1", "P02 1"]);
    let PageData::Firing(data) = studio.get(&next).data else { panic!("not the firing") };
    assert_eq!(
        (data.said.as_str(), data.counts.as_str()),
        ("glaze firing to cone 10 on 2026-03-15", "1 shelf and 2 posts")
    );
    let PageData::Firings(list) = studio.get("/firings").data else { panic!("not the list") };
    assert_eq!((list.said.as_str(), list.rows[0].href.as_str()), ("1 firing on record", next.as_str()));
}

#[test]
fn what_is_wrong_is_said() {
    let check = |change: &[(&str, &str)], expected: &[&str]| {
        assert_eq!(fire(&mut studio(), change).err().unwrap_or_default(), expected, "{change:?}");
    };
    check(&[("ware", "")], &["ware: choose one"]);
    check(&[("date", "2026-03-16")], &["?date: this day is still to come; tick the box if it is right"]);
    check(&[("date", "2026-03-16"), ("confirm_date", "2026-03-16")], &[]);
    check(
        &[("date", "15.3.2026"), ("cone", "x")],
        &[
            "cone: \"x\" is not a cone; give 022 to 01 or 1 to 14, with its leading zero where it has one",
            "date: \"15.3.2026\" is not a date; type it as 2026-03-31",
        ],
    );
    check(&[("in", "")], &["in: tick at least one shelf or post"]);
    check(&[("in", "F01"), ("in", "F03")], &["in: F03 is not in these racks; open the page again"]);
    check(
        &[("in", "F02")],
        &["held: F02 is on hold: wet (rain): untick it, or tick the box that says it was in there"],
    );
    check(&[("in", "F02"), ("held", "yes")], &[]);
}

#[test]
fn a_corrected_firing_keeps_its_id_and_counts_once() {
    let mut studio = studio();
    let next = fire(&mut studio, &[]).unwrap();
    let entry = studio.world().log.last().unwrap().event.id;
    let address = format!("/firings/new?corrects={entry}");
    let fields = [
        ("do", "firing"),
        ("ware", "bisque"),
        ("cone", "06"),
        ("date", "2026-03-10"),
        ("in", "F01"),
        ("in", "P01"),
    ];
    let read = studio.submit(&address, &fields).unwrap();
    assert_eq!(read.next, next);
    studio.take(read);
    assert_eq!(firings(&studio), ["F01 1", "F02 0", "F03 0", "P01 1", "P02 0"]);
}

#[test]
fn several_kilns_are_chosen_from_first() {
    let studio = studio();
    let PageData::NewFiring(data) = studio.get("/firings/new").data else { panic!("not the page") };
    assert_eq!((data.kiln, data.kilns.len()), (None, 2));
    assert!(matches!(studio.get("/firings/new?kiln=moon").data, PageData::NotFound(_)));
}
