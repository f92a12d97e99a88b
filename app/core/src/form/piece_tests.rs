//! Holds, releases, moves, retirements, returns and notes as people type them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use crate::event::values::{Fuel, HoldReason, Material};
use crate::testing::{Studio, said};
use crate::view::PageData;
use crate::view::piece::{Act, PiecePage};

/// A studio with a dense thin shelf F01 and a post P01.
fn studio() -> Studio {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf_of("F01", kiln, Material::DenseThinSic);
    studio.post("P01", 150.0, kiln);
    studio
}

/// Posts the form of `/PIECE/VERB`, records it, and says what the piece's history then begins with.
fn log(studio: &mut Studio, address: &str, fields: &[(&str, &str)]) -> Result<String, Vec<String>> {
    let verb = address.rsplit('/').next().unwrap().split('?').next().unwrap();
    let fields: Vec<_> = [("do", verb)].into_iter().chain(fields.iter().copied()).collect();
    match studio.submit(address, &fields) {
        Ok(read) => {
            assert_eq!(read.next, address.rsplit_once('/').unwrap().0);
            studio.take(read);
            let world = studio.world();
            Ok(crate::view::history::said(&world, &world.log.last().unwrap().event))
        }
        Err(problems) => Err(said(&problems)),
    }
}

fn check(address: &str, fields: &[(&str, &str)], expected: Result<&str, &[&str]>) {
    let got = log(&mut studio(), address, fields);
    match (&got, expected) {
        (Ok(line), Ok(wanted)) => assert_eq!(line, wanted, "{address} {fields:?}"),
        (Err(problems), Err(wanted)) => assert_eq!(problems, wanted, "{address} {fields:?}"),
        _ => panic!("{address} {fields:?}: {got:?}, expected {expected:?}"),
    }
}

fn data(studio: &Studio, address: &str) -> PiecePage {
    match studio.get(address).data {
        PageData::Piece(data) => data,
        other => panic!("{address}: {other:?}"),
    }
}

#[test]
fn one_entry_each() {
    check(
        "/shelf/F01/hold",
        &[("reason", "drip"), ("note", " big run ")],
        Ok("F01: on hold, drip or stuck pot (big run)"),
    );
    check("/post/P01/hold", &[("reason", "bench")], Ok("P01: on hold, on the bench"));
    check("/shelf/F01/note", &[("text", "from the old studio")], Ok("F01: from the old studio"));
    check("/post/P01/retire", &[("reason", "short"), ("note", "")], Ok("P01: retired, too short"));
    check("/post/P01/return", &[("because", "ends dressed")], Ok("P01: back in use, ends dressed"));
    check(
        "/shelf/F01/release",
        &[("because", "24 h at 95 C"), ("mass", "")],
        Ok("F01: off hold, 24 h at 95 C"),
    );
    check(
        "/shelf/F01/release",
        &[("because", "24 h at 95 C"), ("mass", "4210 g")],
        Ok("F01: off hold, 24 h at 95 C; dry mass 4210 g"),
    );
}

#[test]
fn reasons_are_asked_for() {
    check("/shelf/F01/hold", &[("reason", "other")], Err(&["note: say the reason in a few words"]));
    check("/shelf/F01/hold", &[("reason", "")], Err(&["reason: choose one"]));
    check(
        "/post/P01/retire",
        &[("reason", "other"), ("note", "  ")],
        Err(&["note: say the reason in a few words"]),
    );
    check("/shelf/F01/return", &[], Err(&["because: say what changed, such as cut down and ground"]));
    check(
        "/shelf/F01/release",
        &[("mass", "heavy")],
        Err(&[
            "because: say what it rests on, such as 24 h at 95 C",
            "mass: \"heavy\" is not a count here; type a whole number up to 100000",
        ]),
    );
    check("/shelf/F01/note", &[("text", " ")], Err(&["text: write the note"]));
    let long = "x".repeat(501);
    check(
        "/shelf/F01/note",
        &[("text", &long)],
        Err(&["text: 501 characters are too many; use at most 500"]),
    );
    check("/shelf/F01/move", &[("kiln", "moon")], Err(&["kiln: choose the kiln whose racks they belong to"]));
}

#[test]
fn a_move_begins_where_the_piece_is() {
    let mut studio = studio();
    let little = studio.kiln("little one", Fuel::Electric, "6").to_string();
    let page = studio.get("/shelf/F01/move");
    assert_eq!(page.form.values["place"], ["rack B"]);
    let line = log(&mut studio, "/shelf/F01/move", &[("kiln", &little), ("place", "door")]).unwrap();
    assert_eq!(line, "F01: moved to little one, door");
}

#[test]
fn a_wet_shelf_is_released_by_what_somebody_says_and_weighs() {
    let mut studio = studio();
    let release = |mass: &'static str| [("because", "dried out"), ("mass", mass)];
    log(&mut studio, "/shelf/F01/hold", &[("reason", "wet")]).unwrap();
    let act = data(&studio, "/shelf/F01/release").act;
    assert_eq!(act, Act::Release { wet_silicon_carbide: true, dense_thin: true, last_dry_g: None });
    log(&mut studio, "/shelf/F01/release", &release("4000")).unwrap();
    log(&mut studio, "/shelf/F01/hold", &[("reason", "wet")]).unwrap();
    let asked = log(&mut studio, "/shelf/F01/release", &release("4005")).unwrap_err();
    assert_eq!(asked, ["?mass: 5 g heavier than the 4000 g when it was last dry: that may be water"]);
    let held = studio.world().shelves.values().next().unwrap().hold.clone();
    assert_eq!(held.map(|hold| hold.reason), Some(HoldReason::Wet));
    log(&mut studio, "/shelf/F01/release", &release("4004")).unwrap();
    assert!(studio.world().shelves.values().next().unwrap().hold.is_none());
}

#[test]
fn retiring_says_what_it_cost_and_which_set_it_leaves() {
    let mut studio = studio();
    let retire = data(&studio, "/shelf/F01/retire").act;
    let cost = "it cost 84 over 20 firings: 4.20 a firing".to_owned();
    assert_eq!(retire, Act::Retire { cost, set: String::new() });
    let none = Act::Retire { cost: String::new(), set: String::new() };
    assert_eq!(data(&studio, "/post/P01/retire").act, none);
    log(&mut studio, "/shelf/F01/retire", &[("reason", "broken"), ("note", "dropped")]).unwrap();
    assert_eq!(data(&studio, "/shelf/F01/return").standing, "retired on 2026-03-15: broken (dropped)");
}

#[test]
fn a_correction_begins_with_what_was_typed_and_keeps_to_its_piece() {
    let mut studio = studio();
    log(&mut studio, "/shelf/F01/release", &[("because", "dried"), ("mass", "4210")]).unwrap();
    let entry = studio.world().log.last().unwrap().event.id;
    let address = format!("/shelf/F01/release?corrects={entry}");
    let page = studio.get(&address);
    assert_eq!(
        (&page.form.values["because"][0], &page.form.values["mass"][0]),
        (&"dried".to_owned(), &"4210".to_owned())
    );
    let fields = [("do", "release"), ("because", "dried twice"), ("mass", "4198")];
    let read = studio.submit(&address, &fields).unwrap();
    assert_eq!(read.corrects, Some(entry));
    assert!(studio.submit(&format!("/post/P01/release?corrects={entry}"), &fields).is_err());
    assert!(
        studio
            .submit(&format!("/shelf/F01/note?corrects={entry}"), &[("do", "note"), ("text", "x")])
            .is_err()
    );
}

#[test]
fn unknown_pieces_and_pages_are_said() {
    let studio = studio();
    let said = |address: &str| match studio.get(address).data {
        PageData::NotFound(nothing) => nothing.said,
        other => panic!("{address}: {other:?}"),
    };
    assert_eq!(said("/shelf/F99/hold"), "no shelf has the code F99");
    assert_eq!(said("/post/F01/hold"), "no post has the code F01");
}
