//! Tests of the shelf pages' view part, on small worlds of events.
use super::ShelfPage;
use super::card::{Card, Usual};
use crate::event::values::{Face, GrindMethod, HoldReason, Mask, Material, Piece, RetireReason, Ring, Use};
use crate::event::{Body, CrackFound, PieceHeld, PieceRetired, SettingChanged, ShelfGraded, ShelfGround};
use crate::form::{self, FormValues};
use crate::ids::{CrackId, ShelfId};
use crate::judge::shelf::bench::{Bench, Outcome, mm, slab};
use crate::outline::{Outline, Spot};
use crate::settings::SettingKey;
use crate::view::{Link, Page, PageData, Request};

fn page(bench: &Bench, path: &str) -> Page {
    let today = jiff::civil::Date::constant(2026, 3, 1);
    let request = Request { path: path.to_owned(), query: Default::default(), today, notices: Vec::new() };
    crate::view::page(&bench.world, &request)
}

fn card(bench: &Bench, path: &str) -> Result<Card, String> {
    match page(bench, path).data {
        PageData::Shelf(ShelfPage::Card(card)) => Ok(*card),
        other => Err(format!("{other:?}")),
    }
}

/// The card of F07 after `happened`.
fn after(happened: impl FnOnce(&mut Bench, ShelfId) -> Outcome) -> Result<(Bench, Card), String> {
    let mut bench = Bench::new("10")?;
    let shelf = bench.shelf("F07", Material::Cordierite, slab())?;
    happened(&mut bench, shelf)?;
    let card = card(&bench, "/shelf/F07")?;
    Ok((bench, card))
}

#[test]
fn a_card_is_found_by_code_in_any_case_and_by_id() -> Outcome {
    let (bench, by_code) = after(|bench, shelf| bench.quick(shelf, Face::A, &[2.4, 2.4, 2.0]).map(|_| ()))?;
    assert_eq!(card(&bench, "/shelf/f07")?.shelf, by_code.shelf);
    assert_eq!(card(&bench, &format!("/shelf/{}", by_code.shelf))?.shelf, by_code.shelf);
    let PageData::NotFound(lost) = page(&bench, "/shelf/F99").data else { return Err("found".to_owned()) };
    assert_eq!(lost.said, "no shelf has the code F99");
    Ok(())
}

#[test]
fn a_card_says_how_flat_what_for_and_draws_the_bow() -> Outcome {
    let (bench, card) = after(|bench, shelf| bench.quick(shelf, Face::A, &[2.4, 2.4, 2.0]).map(|_| ()))?;
    assert_eq!(
        page(&bench, "/shelf/F07").subtitle,
        "cordierite 600 \u{d7} 300 \u{d7} 18 mm, Gas, rack B slot 4"
    );
    insta::assert_debug_snapshot!(card.numerals, @r#"
    [
        Numeral {
            value: "2.4",
            unit: "mm",
            below: "flatness, dish on face A, feelers, no firing since",
        },
        Numeral {
            value: "20",
            unit: "",
            below: "firings, of 60 to 120 at cone 10 (common practice and memory, unchecked; a band, not a date)",
        },
    ]
    "#);
    assert_eq!(card.fit, "fit for mugs, bowls and jars");
    assert_eq!(card.usual[0], Usual::GroundFine, "a dish could win plates back by grinding");
    let grades: Vec<&str> = card.verdicts.iter().map(|line| line.grade.as_str()).collect();
    assert_eq!(grades, ["not for this use", "watch", "good", "good"]);
    insta::assert_debug_snapshot!(card.side, @r#"
    SideView {
        path: "M9 0Q179 45.4 349 0",
        top: -12.0,
        height: 46.7,
        dashed: false,
        caption: "From the side, face A up: a dish of 2 mm along this line. Bow drawn 20 times.",
    }
    "#);
    assert_eq!(card.map.points.len(), 7);
    assert!(card.map.points.iter().any(|point| point.text == "\u{2212}2.4"), "{:?}", card.map.points);
    assert!(
        card.map.caption.starts_with("Face A from above, front at the bottom: 0.5 mm a line"),
        "{}",
        card.map.caption
    );
    assert_eq!(card.map.table.len(), 7);
    assert_eq!(card.map.posts.len(), 3);
    Ok(())
}

#[test]
fn an_unread_shelf_is_drawn_dashed_and_measuring_comes_first() -> Outcome {
    let (_, card) = after(|_, _| Ok(()))?;
    assert!(card.side.dashed);
    assert!(card.map.lines.is_empty() && card.map.points.is_empty());
    assert_eq!(card.fit, "not known what it is fit for");
    let measure = Link { href: "/shelf/F07/measure".to_owned(), text: "Measure".to_owned() };
    assert_eq!(card.usual.first(), Some(&Usual::Form(measure)));
    Ok(())
}

#[test]
fn why_it_was_set_aside_stands_first_and_once() -> Outcome {
    let (_, card) = after(|bench, shelf| {
        let (piece, reason) = (Piece::Shelf(shelf), RetireReason::Warped);
        bench.did(PieceRetired { piece, reason, note: "over 7 mm".to_owned() }).map(|_| ())
    })?;
    let aside = card.aside.ok_or("nothing says why")?;
    assert!(aside.said.ends_with("warped: over 7 mm"), "{}", aside.said);
    assert!(card.findings.is_empty(), "{:?}", card.findings);
    assert!(card.ground_fine.is_none());
    let back = Link { href: "/shelf/F07/return".to_owned(), text: "Back in use".to_owned() };
    assert_eq!(card.usual.first(), Some(&Usual::Form(back)));
    Ok(())
}

#[test]
fn one_tap_after_a_drip_grinds_grades_and_releases() -> Outcome {
    let (bench, card) = after(|bench, shelf| {
        bench.did(ShelfGraded { shelf, fit_for: Use::General })?;
        let (piece, reason) = (Piece::Shelf(shelf), HoldReason::Drip);
        bench.did(PieceHeld { piece, reason, note: String::new() }).map(|_| ())
    })?;
    assert_eq!(card.usual[0], Usual::GroundFine);
    let values = FormValues::from_pairs([("do".to_owned(), "ground_fine".to_owned())]);
    let page = page(&bench, "/shelf/F07");
    let read = form::submit(&page, &values, &mut || uuid::Uuid::nil())
        .map_err(|problems| format!("{problems:?}"))?;
    let kinds: Vec<&str> = read.bodies.iter().map(Body::kind).collect();
    assert_eq!(kinds, ["shelf_ground", "shelf_graded", "piece_released"]);
    assert_eq!(read.next, "/shelf/F07");
    Ok(())
}

#[test]
fn readings_stand_beside_one_another() -> Outcome {
    let (_, card) = after(|bench, shelf| {
        bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4])?;
        let (method, mask) = (GrindMethod::Dry, Mask::Fitted);
        bench.did(ShelfGround { shelf, face: Face::A, removed_nm: None, minutes: None, method, mask })?;
        bench.fire(shelf, 3)?;
        bench.quick(shelf, Face::A, &[1.5, 1.5, 1.2]).map(|_| ())
    })?;
    let lines: Vec<[&str; 3]> = card
        .readings
        .iter()
        .map(|line| [line.flatness.as_str(), line.bow.as_str(), line.remark.as_str()])
        .collect();
    assert_eq!(
        lines,
        [["1.5 mm", "dish 1.5 mm", "1 mm more dish than before"], ["0.5 mm", "dish 0.5 mm", "ground since"]]
    );
    Ok(())
}

#[test]
fn cracks_are_drawn_listed_and_offered_to_be_read_again() -> Outcome {
    let (bench, card) = after(|bench, shelf| {
        let crack = CrackId(bench.id());
        let spot = |x: f64, y: f64| Spot { x_nm: mm(x), y_nm: mm(y) };
        let (from, to) = (spot(200.0, 0.0), spot(200.0, 75.0));
        bench.did(CrackFound { shelf, crack, from, to, ring: Ring::Rings, note: String::new() }).map(|_| ())
    })?;
    assert_ne!(card.usual[0], Usual::GroundFine, "grinding mends no crack");
    assert_eq!(card.map.cracks, ["M122.3 179L122.3 136.5"]);
    assert_eq!(
        card.cracks.first().map(|line| line.said.as_str()),
        Some("75 mm long, 25 % of the way across, rings")
    );
    let PageData::Shelf(ShelfPage::Crack(data)) = page(&bench, "/shelf/F07/crack").data else {
        return Err("no crack page".to_owned());
    };
    assert_eq!(data.known.len(), 1);
    Ok(())
}

#[test]
fn a_studio_in_inches_sees_inches() -> Outcome {
    let (_, card) = after(|bench, shelf| {
        let (key, reason) = (SettingKey::ShownUnit, "American calipers".to_owned());
        bench.did(SettingChanged { key, value: 1, text: "1".to_owned(), reason })?;
        bench.quick(shelf, Face::A, &[2.54, 2.54, 2.0]).map(|_| ())
    })?;
    assert_eq!(card.numerals.first().map(|n| (n.value.as_str(), n.unit.as_str())), Some(("0.1", "in")));
    assert!(card.map.caption.contains("0.02 in a line"), "{}", card.map.caption);
    Ok(())
}

#[test]
fn every_shape_is_drawn_within_its_box_and_a_tap_finds_its_place() {
    use super::drawing::{Scale, WIDTH};
    for outline in
        [slab(), Outline::Round { diameter_nm: mm(420.0) }, Outline::HalfRound { diameter_nm: mm(530.0) }]
    {
        let scale = Scale::of(&outline);
        for line in outline.full_lines() {
            for spot in [line.from, line.to] {
                let (x, y) = scale.spot(spot);
                assert!((0.0..=WIDTH).contains(&x) && (0.0..=scale.height()).contains(&y), "{outline:?}");
                let back = scale.back(x / WIDTH, y / scale.height());
                let off = (back.x_nm - spot.x_nm).abs().max((back.y_nm - spot.y_nm).abs());
                // The drawing keeps tenths of its units, the tap whole millimetres.
                assert!(off <= mm(0.7), "{outline:?} {spot:?} {back:?}");
            }
        }
    }
}

/// A dish of 0.5 mm grows by 0.025 mm a firing; then the face is ground, and nothing is left to tell from.
#[test]
fn a_warping_shelf_says_when_it_leaves_its_use() -> Outcome {
    let (mut bench, card) = after(|bench, shelf| {
        for dish in [0.5, 0.7, 0.9, 1.1, 1.3] {
            bench.quick(shelf, Face::A, &[dish, dish, dish])?;
            bench.fire(shelf, 8)?;
        }
        Ok(())
    })?;
    let [line] = card.wear.lines.as_slice() else { return Err(format!("{:?}", card.wear.lines)) };
    assert!(
        line.starts_with("At this rate F07 leaves the limit for plates, tiles and lidded sets in about"),
        "{line}"
    );
    assert!(card.wear.rests_on.contains("5 readings over 32 firings of face A"), "{}", card.wear.rests_on);
    let chart = card.wear_chart.ok_or("no chart")?;
    assert!(chart.fit.is_some() && chart.dots.len() == 5);
    // Worse is higher.
    assert!(chart.dots[0].y > chart.dots[4].y && chart.levels[0].y < chart.levels[1].y);
    let (method, mask) = (GrindMethod::Dry, Mask::Fitted);
    bench.did(ShelfGround {
        shelf: card.shelf,
        face: Face::A,
        removed_nm: None,
        minutes: None,
        method,
        mask,
    })?;
    bench.quick(card.shelf, Face::A, &[0.3, 0.3, 0.3])?;
    let card = self::card(&bench, "/shelf/F07")?;
    assert_eq!(
        card.wear.lines,
        [
            "Cannot tell yet how fast it warps: 1 reading since face A was last ground, and a line with limits takes 3."
        ]
    );
    Ok(())
}
