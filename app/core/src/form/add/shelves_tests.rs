//! Shelves entered as people type them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use crate::event::{Body, ShelfAdded};
use crate::outline::Outline;
use crate::testing::{Studio, said};
use crate::units::Length;

/// Ten plain shelves; `change` replaces or adds fields.
fn post(studio: &mut Studio, address: &str, change: &[(&str, &str)]) -> Result<Vec<ShelfAdded>, Vec<String>> {
    let kiln = studio.world().kilns.keys().next().unwrap().to_string();
    let plain = [
        ("do", "shelves"),
        ("count", "10"),
        ("marks", ""),
        ("material", "cordierite"),
        ("shape", "rectangle"),
        ("length", "600"),
        ("width", "300"),
        ("thickness", "19"),
        ("price", "84.50"),
        ("bought", "2026-01-31"),
        ("firings", ""),
        ("kiln", kiln.as_str()),
        ("place", " rack B "),
        ("graded", ""),
    ];
    let kept = plain.into_iter().filter(|(name, _)| change.iter().all(|(changed, _)| changed != name));
    let fields: Vec<_> = kept.chain(change.iter().copied()).collect();
    match studio.submit(address, &fields) {
        Ok(read) => {
            let bodies = read.bodies.clone();
            studio.take(read);
            let shelf = |body| match body {
                Body::ShelfAdded(shelf) => shelf,
                other => panic!("not a shelf: {other:?}"),
            };
            Ok(bodies.into_iter().map(shelf).collect())
        }
        Err(problems) => Err(said(&problems)),
    }
}

fn check(change: &[(&str, &str)], expected: &[&str]) {
    let (mut studio, _) = Studio::with_kiln();
    let problems = post(&mut studio, "/add/shelves", change).err().unwrap_or_default();
    assert_eq!(problems, expected, "{change:?}");
}

fn size(change: &[(&str, &str)]) -> (Outline, Length) {
    let (mut studio, _) = Studio::with_kiln();
    let shelves = post(&mut studio, "/add/shelves", change).unwrap();
    (shelves[0].outline, shelves[0].thickness_nm)
}

#[test]
fn ten_shelves_get_ten_codes_and_the_next_batch_begins_where_they_ended() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F04", kiln);
    let shelves = post(&mut studio, "/add/shelves", &[]).unwrap();
    assert_eq!(shelves.len(), 10);
    assert_eq!((shelves[0].code.as_str(), shelves[9].code.as_str()), ("F05", "F14"));
    assert_eq!((shelves[3].price_cents, shelves[3].place.as_str()), (Some(8_450), "rack B"));
    assert_eq!(studio.world().shelves.len(), 11);

    let last = studio.world().log.last().unwrap().event.id;
    let page = studio.get(&format!("/add/shelves?kiln={kiln}&done={last}&n=10"));
    let crate::view::PageData::AddShelves(data) = &page.data else { panic!("not the page") };
    assert_eq!(data.entered.as_ref().unwrap().href, format!("/add/posts?kiln={kiln}"));
    assert_eq!(page.form.values["length"], ["600"]);
    assert_eq!(page.form.values["price"], ["84.50"]);
    assert_eq!(post(&mut studio, "/add/shelves", &[("count", "1")]).unwrap()[0].code.as_str(), "F15");
}

#[test]
fn sizes_in_every_way_they_are_typed() {
    let rectangle =
        |l: f64, w: f64| Outline::Rectangle { length_nm: Length::from_mm(l), width_nm: Length::from_mm(w) };
    let (outline, thickness) =
        size(&[("length", " 30,5 cm\u{a0}"), ("width", "24\""), ("thickness", "5/8 in")]);
    assert_eq!((outline, thickness), (rectangle(609.6, 305.0), Length(15_875_000)));
    let (outline, _) = size(&[("shape", "round"), ("diameter", "15 3/4 in"), ("length", ""), ("width", "")]);
    assert_eq!(outline, Outline::Round { diameter_nm: Length(400_050_000) });
    let (outline, _) = size(&[("shape", "half_round"), ("diameter", "400")]);
    assert_eq!(outline, Outline::HalfRound { diameter_nm: Length::from_mm(400.0) });
}

#[test]
fn absurd_values_are_asked_about_or_refused() {
    check(&[("length", "3000")], &["?length: 3000 mm is unusual; tick the box if it is right"]);
    check(&[("length", "3000"), ("confirm_length", "3000")], &[]);
    check(
        &[("length", "3001"), ("confirm_length", "3000")],
        &["?length: 3001 mm is unusual; tick the box if it is right"],
    );
    check(&[("thickness", "-3")], &["thickness: \u{2212}3 mm cannot be; give 1 mm to 200 mm"]);
    check(&[("thickness", "3")], &["?thickness: 3 mm is unusual; tick the box if it is right"]);
    check(&[("bought", "2026-03-16")], &["?bought: this day is still to come; tick the box if it is right"]);
    check(&[("count", "61")], &["count: \"61\" is not a count here; type a whole number up to 60"]);
    check(&[("count", "0")], &["count: 0 is too few; give 1 to 60"]);
}

#[test]
fn everything_wrong_is_said_at_once() {
    check(
        &[
            ("count", ""),
            ("material", "wood"),
            ("shape", ""),
            ("thickness", ""),
            ("price", "a lot"),
            ("bought", "yesterday"),
            ("firings", "-1"),
            ("kiln", "nowhere"),
            ("graded", "fine"),
        ],
        &[
            "count: \"\" is not a count here; type a whole number up to 60",
            "material: choose one",
            "shape: choose one",
            "thickness: type a length, for example 150.4, or 5 7/8 in",
            "price: \"a lot\" is not a price; type for example 84.50",
            "bought: \"yesterday\" is not a date; type it as 2026-03-31",
            "firings: \"-1\" is not a count here; type a whole number up to 5000",
            "kiln: choose the kiln whose racks they belong to",
            "graded: choose one",
        ],
    );
}

#[test]
fn one_of_ten_is_corrected_alone() {
    let (mut studio, _) = Studio::with_kiln();
    let shelves = post(&mut studio, "/add/shelves", &[]).unwrap();
    let entry = studio.world().log[4].event.id;
    let address = format!("/add/shelves?corrects={entry}");
    let page = studio.get(&address);
    assert_eq!((page.form.values["code"][0].as_str(), page.title.as_str()), ("F04", "Correct F04"));

    let taken = post(&mut studio, &address, &[("code", "F05")]).unwrap_err();
    assert_eq!(taken, ["code: F05 is taken by another piece"]);
    let corrected = post(&mut studio, &address, &[("code", "f04"), ("thickness", "17")]).unwrap();
    assert_eq!((corrected.len(), corrected[0].shelf), (1, shelves[3].shelf));
    let world = studio.world();
    let thick: Vec<f64> = world.shelves.values().map(|shelf| shelf.thickness.mm()).collect();
    assert_eq!(thick, [19.0, 19.0, 19.0, 17.0, 19.0, 19.0, 19.0, 19.0, 19.0, 19.0]);
}
