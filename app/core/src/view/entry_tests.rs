//! Entries in full: how they stand, what corrects them, what takes them back.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{HoldReason, Piece};
use crate::event::{EventsWithdrawn, PieceHeld};
use crate::form::Submission;
use crate::testing::Studio;

fn entry(studio: &Studio, id: EventId) -> EntryPage {
    match studio.get(&format!("/entry/{id}")).data {
        PageData::Entry(entry) => *entry,
        other => panic!("not an entry: {other:?}"),
    }
}

fn record_at(studio: &Studio, address: &str) -> RecordPage {
    match studio.get(address).data {
        PageData::Record(record) => record,
        other => panic!("not the record: {other:?}"),
    }
}

fn withdraw(studio: &mut Studio, id: EventId, reason: &str) -> Submission {
    studio.submit(&format!("/entry/{id}"), &[("do", "withdraw"), ("reason", reason)]).unwrap()
}

/// A studio with shelf F01 on hold; the hold's entry.
fn held() -> (Studio, PieceHeld, EventId) {
    let (mut studio, kiln) = Studio::with_kiln();
    let piece = Piece::Shelf(studio.shelf("F01", kiln));
    let hold = PieceHeld { piece, reason: HoldReason::Drip, note: String::new() };
    let id = studio.record(hold.clone());
    (studio, hold, id)
}

#[test]
fn an_entry_says_what_when_and_by_which_device() {
    let (studio, _, id) = held();
    let page = entry(&studio, id);
    assert_eq!(page.said, "F01: on hold, drip or stuck pot");
    assert_eq!((page.observed.as_str(), page.recorded.as_str()), ("2026-03-15 12:03", ""));
    assert!(page.device.ends_with("its entry number 3"), "{}", page.device);
    assert!(page.json.contains("\"reason\": \"drip\""), "{}", page.json);
    assert_eq!(page.standing, "It counts.");
    assert_eq!(page.about, [Link { href: "/shelf/F01".to_owned(), text: "F01".to_owned() }]);
    assert_eq!(page.correct, Some(format!("/shelf/F01/hold?corrects={id}")));
}

#[test]
fn taken_back_and_brought_back_again() {
    let (mut studio, _, id) = held();
    let shelf = |studio: &Studio| studio.world().shelves.values().next().unwrap().hold.is_some();
    let read = withdraw(&mut studio, id, "wrong shelf");
    let back = studio.take(read)[0];
    assert!(!shelf(&studio));
    let page = entry(&studio, id);
    assert_eq!((page.correct, page.withdraw), (None, None));
    assert_eq!(page.related[0].href, format!("/entry/{back}"));
    assert!(studio.submit(&format!("/entry/{id}"), &[("do", "withdraw")]).is_err());

    let page = entry(&studio, back);
    assert_eq!(page.said, "taken back: F01: on hold, drip or stuck pot (wrong shelf)");
    assert_eq!(page.withdraw.as_deref(), Some("Let it count again"));
    assert_eq!(page.related[0].href, format!("/entry/{id}"));
    let read = withdraw(&mut studio, back, "");
    studio.take(read);
    assert!(shelf(&studio));
    assert_eq!(entry(&studio, id).standing, "It counts.");
}

#[test]
fn a_correction_is_corrected_at_the_first_entry() {
    let (mut studio, hold, id) = held();
    let second = studio.correct(id, PieceHeld { reason: HoldReason::Crack, ..hold.clone() });
    assert_eq!(entry(&studio, id).related[0].href, format!("/entry/{second}"));
    let page = entry(&studio, second);
    assert_eq!(page.correct, Some(format!("/shelf/F01/hold?corrects={id}")));
    assert_eq!(page.withdraw.as_deref(), Some("Take the correction back"));
    assert_eq!(page.related[0].text, "corrects: F01: on hold, drip or stuck pot");
    studio.record(EventsWithdrawn { events: vec![second], reason: String::new() });
    assert_eq!(entry(&studio, id).standing, "It counts.");
}

#[test]
fn taking_back_a_piece_that_others_name_is_warned_of() {
    let (mut studio, _, _) = held();
    let kiln = studio.world().log[0].event.id;
    let added = studio.world().log[1].event.id;
    assert!(entry(&studio, added).warning.starts_with("1 other entry or piece hangs on this one"));
    assert!(entry(&studio, kiln).warning.starts_with("1 other entry or piece hangs on this one"));
    let lone = studio.world().kilns.keys().next().copied().map(|kiln| studio.shelf("F02", kiln)).unwrap();
    let world = studio.world();
    let added = world.history(Subject::Shelf(lone)).next().unwrap().event.id;
    assert_eq!(entry(&studio, added).warning, "");
}

#[test]
fn the_record_is_paged_from_the_newest() {
    let (mut studio, kiln) = Studio::with_kiln();
    for n in 1..=70 {
        studio.shelf(&format!("F{n:02}"), kiln);
    }
    let first = record_at(&studio, "/record");
    assert_eq!(first.said, "1 to 60 of 71 entries, newest first");
    assert_eq!((first.lines.len(), first.lines[0].said.as_str()), (60, "F70: added, cordierite"));
    let older = record_at(&studio, &first.older.unwrap());
    assert_eq!(older.said, "61 to 71 of 71 entries, newest first");
    assert_eq!((older.lines[0].said.as_str(), older.older), ("F10: added, cordierite", None));
    assert!(matches!(studio.get("/record?before=7").data, PageData::NotFound(_)));
    assert!(matches!(studio.get("/entry/7").data, PageData::NotFound(_)));
}
