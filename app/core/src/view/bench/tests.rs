//! The bench's pages: what is open, several at once, the next piece, the last ten.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{Flaw, GrindMethod, HoldReason, Mask, Material, Piece, Use};
use crate::event::{Body, FindingNoted, PieceHeld, ShelfGraded, ShelfWashed};
use crate::ids::ShelfId;
use crate::testing::{Studio, said};
use crate::view::shelf::ShelfPage;
use crate::view::shelf::card::{Card, Usual};

/// Three shelves graded by eye, a drip on two of them.
fn dripped() -> (Studio, Vec<ShelfId>) {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelves: Vec<ShelfId> = ["F01", "F02", "F03"].map(|code| studio.shelf(code, kiln)).to_vec();
    for shelf in &shelves {
        studio.record(ShelfGraded { shelf: *shelf, fit_for: Use::General });
    }
    for shelf in &shelves[..2] {
        let piece = Piece::Shelf(*shelf);
        studio.record(FindingNoted { piece, flaw: Flaw::Drip, firing: None, note: String::new() });
    }
    (studio, shelves)
}

fn list(studio: &Studio, address: &str) -> List {
    match studio.get(address).data {
        PageData::Bench(BenchPage::List(list)) => list,
        other => panic!("{address}: {other:?}"),
    }
}

fn card(studio: &Studio, address: &str) -> Card {
    match studio.get(address).data {
        PageData::Shelf(ShelfPage::Card(card)) => *card,
        other => panic!("{address}: {other:?}"),
    }
}

fn hrefs(card: &Card) -> Vec<&str> {
    let mut all = Vec::new();
    for one in &card.usual {
        all.push(match one {
            Usual::GroundFine => "ground_fine",
            Usual::Form(link) => link.href.as_str(),
        });
    }
    all
}

#[test]
fn what_is_open_is_counted_by_job_and_leads_to_the_cards_in_bench_mode() {
    let (mut studio, shelves) = dripped();
    let piece = Piece::Shelf(shelves[2]);
    studio.record(PieceHeld { piece, reason: HoldReason::Wet, note: String::new() });
    let all = list(&studio, "/bench");
    assert_eq!(all.said, "Dry out 1, chisel and grind 2.");
    assert!(all.is_dusty);
    let headings: Vec<&str> = all.groups.iter().map(|group| group.heading.as_str()).collect();
    assert_eq!(headings, ["Dry out: 1", "Chisel and grind: 2"]);
    assert_eq!(all.groups[1].closed, "Closed when it is logged ground.");
    let row = &all.groups[1].rows[0];
    assert_eq!((row.href.as_str(), row.said.as_str()), ("/shelf/F01?bench=yes", "Drip or run seen"));
    let one = list(&studio, "/bench?job=dry_out");
    assert_eq!(one.groups.len(), 1);
    assert!(!one.is_dusty, "drying makes no dust");
    assert!(one.filters[0].is_here && one.filters[0].href == "/bench");
    assert!(matches!(studio.get("/bench?job=sweep").data, PageData::NotFound(_)));
}

#[test]
fn nothing_open_is_said() {
    let (studio, _) = Studio::with_kiln();
    let said = list(&studio, "/bench").said;
    assert_eq!(said, "Nothing on record is open at the bench. Look at the pieces all the same.");
}

#[test]
fn open_jobs_come_first_and_ground_fine_stays_one_tap() {
    let (mut studio, shelves) = dripped();
    let card = card(&studio, "/shelf/F01");
    assert_eq!(card.jobs[0].said, "Chisel and grind");
    assert_eq!(hrefs(&card), ["ground_fine", "/shelf/F01/ground", "/shelf/F01/found", "/shelf/F01/measure"]);
    assert!(card.actions.iter().all(|link| !hrefs(&card).contains(&link.href.as_str())));
    let piece = Piece::Shelf(shelves[2]);
    for flaw in [Flaw::NewCrack, Flaw::Flaking, Flaw::Sag] {
        studio.record(FindingNoted { piece, flaw, firing: None, note: String::new() });
    }
    let much = self::card(&studio, "/shelf/F03?bench=yes");
    let expected = [
        "/shelf/F03/crack?bench=yes",
        "/shelf/F03/tapped?bench=yes",
        "/shelf/F03/washed?bench=yes",
        "ground_fine",
    ];
    assert_eq!(hrefs(&much), expected);
}

#[test]
fn in_bench_mode_an_entry_leads_to_the_next_piece() {
    let (mut studio, _) = dripped();
    let mut next = |address: &str, fields: &[(&str, &str)]| {
        studio.submit(address, fields).unwrap_or_else(|p| panic!("{p:?}")).next
    };
    assert_eq!(next("/shelf/F01", &[("do", "ground_fine")]), "/shelf/F01");
    assert_eq!(next("/shelf/F01?bench=yes", &[("do", "ground_fine")]), NEXT);
    let tapped = [("do", "record"), ("ring", "rings")];
    assert_eq!(next("/shelf/F01/tapped?bench=yes", &tapped), NEXT);
    let noted = [("do", "found"), ("seen", "chipped")];
    assert_eq!(next("/shelf/F01/found?bench=yes", &noted), NEXT);
    // The code typed next keeps the mode.
    assert!(studio.get("/find?bench=yes&code=F02").bench);
    let found = card(&studio, "/find?bench=yes&code=F02");
    assert!(hrefs(&found).contains(&"/shelf/F02/ground?bench=yes"), "{:?}", found.usual);
}

#[test]
fn the_mask_and_the_minutes_of_the_last_grinding_come_back() {
    let (mut studio, _) = dripped();
    let said =
        |studio: &Studio| card(studio, "/shelf/F02").ground_fine.map(|fine| fine.said).unwrap_or_default();
    assert!(said(&studio).starts_with("Records: face A ground dry, fit by eye"), "{}", said(&studio));
    let fields = [
        ("do", "record"),
        ("face", "a"),
        ("method", "wet"),
        ("mask", "fitted"),
        ("minutes", "9"),
        ("removed", ""),
    ];
    let read = studio.submit("/shelf/F01/ground", &fields).unwrap_or_else(|p| panic!("{p:?}"));
    studio.take(read);
    match studio.get("/shelf/F03/ground").data {
        PageData::Shelf(ShelfPage::Ground(ground)) => {
            let like = ground.like.unwrap();
            assert_eq!((like.mask, like.minutes), (Mask::Fitted, Some(9)));
        }
        other => panic!("{other:?}"),
    }
    assert!(said(&studio).contains("9 min, mask half mask"), "{}", said(&studio));
    let read = studio.submit("/shelf/F02", &[("do", "ground_fine")]).unwrap_or_else(|p| panic!("{p:?}"));
    assert!(matches!(&read.bodies[0], Body::ShelfGround(b)
        if b.minutes == Some(9) && b.mask == Mask::Fitted && b.method == GrindMethod::Dry));
    // Tomorrow nobody's minutes are guessed by one tap; a form still offers them.
    let tomorrow = crate::view::Request {
        path: "/shelf/F02".to_owned(),
        query: std::collections::BTreeMap::new(),
        today: crate::testing::TODAY.tomorrow().unwrap(),
        notices: Vec::new(),
    };
    match crate::view::page(&studio.world(), &tomorrow).data {
        PageData::Shelf(ShelfPage::Card(card)) => {
            assert!(
                card.ground_fine.is_some_and(|fine| fine.minutes.is_none() && fine.mask == Mask::NotNoted)
            );
        }
        other => panic!("{other:?}"),
    }
}

fn batch(studio: &Studio, address: &str) -> batch::Batch {
    match studio.get(address).data {
        PageData::Bench(BenchPage::Batch(batch)) => batch,
        other => panic!("{address}: {other:?}"),
    }
}

fn ticked(batch: &batch::Batch) -> Vec<&str> {
    let picks = batch.groups.iter().flat_map(|group| &group.pieces);
    picks.filter(|pick| pick.ticked).map(|pick| pick.code.as_str()).collect()
}

#[test]
fn several_are_ticked_by_their_job_or_by_the_last_firing() {
    let (mut studio, shelves) = dripped();
    let kiln = *studio.world().kilns.keys().next().unwrap();
    studio.fire(kiln, &[Piece::Shelf(shelves[1]), Piece::Shelf(shelves[2])]);
    assert_eq!(ticked(&batch(&studio, "/bench/batch/ground?job=chisel")), ["F01", "F02"]);
    assert_eq!(ticked(&batch(&studio, "/bench/batch/ground?firing=last")), ["F02", "F03"]);
    assert!(ticked(&batch(&studio, "/bench/batch/ground")).is_empty());
    assert_eq!(batch(&studio, "/bench/batch").choices.len(), 7);
    assert!(matches!(studio.get("/bench/batch/retire").data, PageData::NotFound(_)));
}

#[test]
fn one_action_for_several_is_an_event_each_or_none() {
    let (mut studio, shelves) = dripped();
    let wash =
        |shelf| ShelfWashed { shelf, face: crate::event::values::Face::A, recipe: "x".to_owned(), coats: 1 };
    studio.record(wash(shelves[1]));
    let both = [("do", "batch"), ("in", "F01"), ("in", "F02")];
    let with = |more: &[(&'static str, &'static str)]| [&both, more].concat();
    let mut check = |address: &str, fields: &[(&str, &str)], expected: Result<&[&str], &[&str]>| match (
        studio.submit(address, fields),
        expected,
    ) {
        (Ok(read), Ok(kinds)) => {
            assert_eq!(read.bodies.iter().map(Body::kind).collect::<Vec<_>>(), kinds, "{address}");
            assert_eq!(read.next, "/bench");
        }
        (Err(problems), Err(expected)) => assert_eq!(said(&problems), expected, "{address}"),
        (got, _) => panic!("{address}: {got:?}"),
    };
    let ground = with(&[("method", "wet"), ("mask", "fitted"), ("minutes", "5")]);
    check("/bench/batch/ground", &ground, Ok(&["shelf_ground", "shelf_ground"]));
    let washed = with(&[("recipe", "halves"), ("coats", "2")]);
    check("/bench/batch/washed", &washed, Ok(&["shelf_washed", "shelf_washed"]));
    check("/bench/batch/tapped", &with(&[("ring", "rings")]), Ok(&["shelf_tapped", "shelf_tapped"]));
    check("/bench/batch/held", &with(&[("reason", "bench")]), Ok(&["piece_held", "piece_held"]));
    check("/bench/batch/flipped", &both, Err(&["in: F02: there is wash on face A: strip it first"]));
    check("/bench/batch/flipped", &both[..2], Ok(&["shelf_flipped"]));
    check("/bench/batch/ground", &both, Err(&["method: choose one", "mask: choose one"]));
    check(
        "/bench/batch/tapped",
        &[("do", "batch")],
        Err(&["in: tick at least one piece", "ring: choose one"]),
    );
    let strange = [("do", "batch"), ("in", "P99")];
    check("/bench/batch/flipped", &strange, Err(&["in: P99 is not in service; open the page again"]));
}

#[test]
fn wet_grinding_of_several_says_beforehand_which_go_on_hold() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    studio.shelf_of("F02", kiln, Material::DenseThinSic);
    match batch(&studio, "/bench/batch/ground").act {
        Some(batch::Act::Ground { wet_holds, .. }) => assert_eq!(wet_holds, ["F02"]),
        other => panic!("{other:?}"),
    }
    let fields = [("do", "batch"), ("in", "F02"), ("method", "wet"), ("mask", "fitted")];
    let read = studio.submit("/bench/batch/ground", &fields).unwrap_or_else(|p| panic!("{p:?}"));
    studio.take(read);
    assert_eq!(list(&studio, "/bench?job=dry_out").groups[0].rows[0].code, "F02");
}

#[test]
fn the_last_ten_are_taken_back_by_what_one_tap_recorded() {
    let (mut studio, _) = dripped();
    let read = studio.submit("/shelf/F01", &[("do", "ground_fine")]).unwrap_or_else(|p| panic!("{p:?}"));
    let events = studio.take(read);
    assert_eq!(events.len(), 2, "ground and graded");
    let undo = |studio: &Studio, address: &str| match studio.get(address).data {
        PageData::Bench(BenchPage::Undo(undo)) => undo,
        other => panic!("{other:?}"),
    };
    let page = undo(&studio, "/bench/undo");
    assert_eq!(page.taps[0].undo, events, "one tap, one undo");
    let fields: Vec<(&str, String)> = events.iter().map(|id| ("event", id.to_string())).collect();
    let mut fields: Vec<(&str, &str)> = fields.iter().map(|(name, id)| (*name, id.as_str())).collect();
    fields.push(("do", "undo"));
    let device = studio.world().log[0].event.device;
    let address = format!("/bench/undo?device={device}");
    let read = studio.submit(&address, &fields).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(read.next, address);
    studio.take(read);
    let page = undo(&studio, &address);
    assert!(page.taps[0].undo.is_empty(), "taken back: {:?}", page.taps[0]);
    assert_eq!(page.taps[0].said.len(), 2);
    for _ in 0..12 {
        let read = studio.submit("/shelf/F01/tapped", &[("do", "record"), ("ring", "rings")]);
        studio.take(read.unwrap_or_else(|p| panic!("{p:?}")));
    }
    assert_eq!(undo(&studio, &address).taps.len(), undo::MOST);
    let stranger = "/bench/undo?device=00000000-0000-0000-0000-000000000009";
    assert!(undo(&studio, stranger).taps.is_empty(), "another device's entries are not offered");
}
