//! Tests of the shelf pages' form part, on small worlds of events.
use super::values_of;
use crate::event::Body;
use crate::event::values::{Face, Instrument, Material};
use crate::event::{Against, CrackFound, ShelfMeasured, SurfaceReading};
use crate::form::quantity::Feelers;
use crate::form::{self, FormValues};
use crate::ids::EventId;
use crate::judge::shelf::bench::{Bench, Outcome, mm, slab};
use crate::outline::{LineName, Outline};
use crate::view::{Correcting, Page, Request};
use std::collections::BTreeMap;
use uuid::Uuid;

fn request(address: &str) -> Request {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
    Request {
        path: path.to_owned(),
        query: pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).collect(),
        today: jiff::civil::Date::constant(2026, 3, 1),
        notices: Vec::new(),
    }
}

/// The page at an address of a small world: slabs F07 and F09, a round F10.
fn page(address: &str) -> Result<Page, String> {
    let mut bench = Bench::new("10")?;
    bench.shelf("F07", Material::Cordierite, slab())?;
    bench.shelf("F09", Material::DenseThinSic, slab())?;
    bench.shelf("F10", Material::Cordierite, Outline::Round { diameter_nm: mm(420.0) })?;
    Ok(crate::view::page(&bench.world, &request(address)))
}

fn form(fields: &[(&str, &str)]) -> FormValues {
    FormValues::from_pairs(fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())))
}

/// What a form gives: bodies as they are, or each problem as `field: cause`, a question with a `?` before it.
fn submit(page: &Page, fields: &[(&str, &str)]) -> Result<Vec<Body>, Vec<String>> {
    let mut next = 0;
    let mut new_id = || {
        next += 1;
        Uuid::from_u128(next)
    };
    form::submit(page, &form(fields), &mut new_id).map(|read| read.bodies).map_err(|problems| {
        let said = |p: form::Problem| format!("{}{}: {}", if p.ask { "?" } else { "" }, p.field, p.cause);
        problems.into_iter().map(said).collect()
    })
}

/// Fills the form at `address` with what is usual and `fields`; checks every problem by its beginning.
fn refused(address: &str, fields: &[(&str, &str)], expected: &[&str]) -> Outcome {
    let all: Vec<(&str, &str)> = usual(address).into_iter().chain(fields.iter().copied()).collect();
    let problems = submit(&page(address)?, &all).err().ok_or("it was taken")?;
    let as_expected =
        problems.len() == expected.len() && problems.iter().zip(expected).all(|(p, e)| p.starts_with(e));
    assert!(as_expected, "{problems:#?}");
    Ok(())
}

fn taken(address: &str, fields: &[(&str, &str)]) -> Result<Body, String> {
    let all: Vec<(&str, &str)> = usual(address).into_iter().chain(fields.iter().copied()).collect();
    let bodies = submit(&page(address)?, &all).map_err(|problems| problems.join("; "))?;
    bodies.into_iter().next().ok_or_else(|| "nothing was recorded".to_owned())
}

/// Fields first in the list win, so that a test may come before these.
fn usual(address: &str) -> Vec<(&'static str, &'static str)> {
    let mut fields = vec![("do", "record"), ("face", "a")];
    match address.rsplit('/').next() {
        Some(last) if last.starts_with("measure") => {
            fields.extend([("bare", "yes"), ("instrument", "feeler"), ("edge", "straight")]);
        }
        Some("ground") => fields.extend([("method", "dry"), ("mask", "fitted")]),
        Some("washed") => fields.push(("coats", "2")),
        Some("crack") => fields.push(("ring", "rings")),
        _ => {}
    }
    fields
}

fn measured(address: &str, fields: &[(&str, &str)]) -> Result<ShelfMeasured, String> {
    match taken(address, fields)? {
        Body::ShelfMeasured(body) => Ok(body),
        other => Err(format!("{other:?}")),
    }
}

/// The dips of each line in nanometres, by what was typed into the middle fields of the quick lines.
fn check_dips(fields: &[(&str, &str)], expected: &[(LineName, &[i64])]) -> Outcome {
    let body = measured("/shelf/F07/measure", fields)?;
    let SurfaceReading::Lines { lines, .. } = body.reading else { return Err("no lines".to_owned()) };
    let got: Vec<(LineName, Vec<i64>)> =
        lines.iter().map(|line| (line.line, line.dips.iter().map(|dip| dip.dip_nm.0).collect())).collect();
    let expected: Vec<(LineName, Vec<i64>)> =
        expected.iter().map(|(name, dips)| (*name, dips.to_vec())).collect();
    assert_eq!(got, expected);
    Ok(())
}

#[test]
fn gaps_as_people_type_them() -> Outcome {
    use LineName::{DiagonalDown, DiagonalUp, LongCentre};
    check_dips(
        &[("diagonal_up_500", " 0,8 "), ("diagonal_down_500", "1/32 in"), ("long_centre_500", "2 cards")],
        &[(DiagonalUp, &[800_000]), (DiagonalDown, &[793_750]), (LongCentre, &[1_520_000])],
    )?;
    // A hump by its choice, by a typed minus, and by both.
    check_dips(
        &[
            ("diagonal_up_500", "0.8"),
            ("diagonal_up_bend", "hump"),
            ("diagonal_down_500", "\u{2212}0.5 mm"),
            ("long_centre_500", "-0.3"),
            ("long_centre_bend", "hump"),
        ],
        &[(DiagonalUp, &[-800_000]), (DiagonalDown, &[-500_000]), (LongCentre, &[-300_000])],
    )?;
    // A line may be left out.
    check_dips(&[("diagonal_up_500", "0.8")], &[(DiagonalUp, &[800_000])])
}

#[test]
fn on_spacers_the_feeler_brings_its_sign() -> Outcome {
    let page = page("/shelf/F07/measure")?;
    let fields = [
        ("do", "record"),
        ("face", "b"),
        ("bare", "no"),
        ("instrument", "caliper"),
        ("edge", "spacers"),
        ("spacer", "6 mm"),
        ("diagonal_up_500", "6.8"),
        ("diagonal_down_500", "5.5"),
    ];
    let bodies = submit(&page, &fields).map_err(|problems| problems.join("; "))?;
    let Some(Body::ShelfMeasured(body)) = bodies.first() else { return Err("no reading".to_owned()) };
    assert_eq!((body.face, body.bare, body.instrument), (Face::B, false, Instrument::Caliper));
    let SurfaceReading::Lines { against: Against::Spacers { spacer }, lines } = &body.reading else {
        return Err("no spacers".to_owned());
    };
    assert_eq!(spacer.nm, mm(6.0));
    let dips: Vec<i64> = lines.iter().flat_map(|line| line.dips.iter().map(|dip| dip.dip_nm.0)).collect();
    assert_eq!(dips, [800_000, -500_000]);
    Ok(())
}

#[test]
fn a_reading_that_cannot_be_is_refused_and_an_odd_one_asked_about() -> Outcome {
    let at = "/shelf/F07/measure";
    refused(at, &[], &["diagonal_up_500: read at least one line"])?;
    refused(at, &[("diagonal_up_500", "60")], &["diagonal_up_500: 60 mm cannot be"])?;
    refused(at, &[("diagonal_up_500", "wide")], &["diagonal_up_500: \"wide\" is not a unit"])?;
    refused(at, &[("diagonal_up_500", "12")], &["?diagonal_up_500: 12 mm is unusual"])?;
    taken(at, &[("diagonal_up_500", "12"), ("confirm_diagonal_up_500", "12")])?;
    let thin = [("edge", "spacers"), ("spacer", "x"), ("diagonal_up_500", "wide")];
    let said = ["spacer: \"x\" is not a unit", "diagonal_up_500: \"wide\" is not a unit"];
    let fields: Vec<_> = [("do", "record"), ("face", "a"), ("bare", "yes"), ("instrument", "feeler")]
        .into_iter()
        .chain(thin)
        .collect();
    let both = page(at).map(|page| submit(&page, &fields))?.err().unwrap_or_default();
    assert!(both.len() == 2 && both.iter().zip(said).all(|(p, e)| p.starts_with(e)), "{both:?}");
    let missing = page(at).map(|page| submit(&page, &[("do", "record"), ("diagonal_up_500", "1")]))?;
    let said = missing.err().unwrap_or_default();
    assert_eq!(said, ["face: choose one", "edge: choose one", "instrument: choose one", "bare: choose one"]);
    Ok(())
}

#[test]
fn against_another_shelf_by_its_code() -> Outcome {
    let at = "/shelf/F07/measure?how=against";
    let body = measured(at, &[("other", " f09 "), ("diagonal_up_500", "0.4")])?;
    assert!(matches!(body.reading, SurfaceReading::Lines { against: Against::Shelf { .. }, .. }));
    refused(
        at,
        &[("other", "F99"), ("diagonal_up_500", "0.4")],
        &["other: no other shelf in service has the code F99"],
    )?;
    refused(at, &[("other", "F07"), ("diagonal_up_500", "0.4")], &["other: no other shelf in service"])
}

#[test]
fn a_round_shelf_has_lines_of_its_own() -> Outcome {
    let fields = [
        ("diagonal_up_500", "0.4"),
        ("long_centre_500", "0.4"),
        ("short_centre_250", "0.1"),
        ("diagonal_down_750", "0.2"),
    ];
    let body = measured("/shelf/F10/measure?how=full", &fields)?;
    let SurfaceReading::Lines { lines, .. } = body.reading else { return Err("no lines".to_owned()) };
    let read: Vec<_> =
        lines.iter().map(|line| (line.line.key(), line.dips.first().map(|dip| dip.at_permille))).collect();
    assert_eq!(
        read,
        [
            ("long_centre", Some(500)),
            ("short_centre", Some(250)),
            ("diagonal_up", Some(500)),
            ("diagonal_down", Some(750))
        ]
    );
    Ok(())
}

#[test]
fn rows_of_numbers_make_a_grid() -> Outcome {
    let at = "/shelf/F07/measure?how=grid";
    let grid = |heights: &str| {
        let body = measured(at, &[("inset", "20"), ("heights", heights)])?;
        let SurfaceReading::Grid { columns, rows, heights, .. } = body.reading else {
            return Err("no grid".to_owned());
        };
        let heights: Vec<Option<i64>> =
            heights.iter().map(|height| height.as_ref().map(|typed| typed.nm.0)).collect();
        Ok::<_, String>((columns, rows, heights))
    };
    let nm = |mm: f64| Some(crate::units::Length::from_mm(mm).0);
    // Decimal commas between tabs, as a spreadsheet pastes them; a gap; a blank line at the end.
    let pasted = grid("0,1\t0,2\t-\r\n0.3\t-0.4\t5/64 in\r\n\r\n")?;
    assert_eq!(pasted, (3, 2, vec![nm(0.1), nm(0.2), None, nm(0.3), nm(-0.4), nm(1.984_375)]));
    assert_eq!(grid("0 1 2\n3 4 5\n6 7 -")?.2.len(), 9);
    // Between semicolons an inch fraction may hold a space.
    assert_eq!(grid("1 1/2 in; 1.5 in\n1.5 in; 38.1")?.2, vec![nm(38.1); 4]);
    let short = [("inset", "20"), ("heights", "1 2 3\n4 5")];
    refused(at, &short, &["heights: row 2 has 2 numbers, the first has 3"])?;
    let few = [("inset", "20"), ("heights", "1 - -\n4 - 5")];
    refused(at, &few, &["heights: give at least four heights"])?;
    let words = [("inset", "20"), ("heights", "1 x\n4 5")];
    refused(at, &words, &["heights: row 1, number 2: \"x\" is not a unit"])?;
    let counted = [("inset", "20"), ("heights", "1 2\n4 5"), ("columns", "3")];
    refused(at, &counted, &["columns: 3 is not what the numbers below have: 2"])?;
    let far = [("inset", "20"), ("heights", "1 2\n4 90")];
    refused(at, &far, &["heights: the heights lie 89 mm apart"])?;
    let odd = [("inset", "20"), ("heights", "1 2\n4 15")];
    refused(at, &odd, &["?heights: the heights lie 14 mm apart"])?;
    // Confirmed, though the browser changed the line break.
    taken(at, &[("inset", "20"), ("heights", "1 2\n4 15"), ("confirm_heights", "1 2\r\n4 15")])?;
    let round = "/shelf/F10/measure?how=grid";
    let corner = [("inset", "20"), ("heights", "- 1 -\n2 3 4\n- 5 6")];
    refused(round, &corner, &["heights: row 3, number 3: there is no shelf at this place"])?;
    taken(round, &[("inset", "20"), ("heights", "- 1 -\n2 3 4\n- 5 -")])?;
    refused(at, &[("inset", "200"), ("heights", "1 2\n4 5")], &["inset: 200 mm cannot be"])
}

#[test]
fn ground_washed_tapped_turned_and_graded() -> Outcome {
    let body = taken("/shelf/F07/ground", &[("removed", "0,5 mm"), ("minutes", "20")])?;
    let Body::ShelfGround(ground) = body else { return Err(format!("{body:?}")) };
    assert_eq!((ground.removed_nm, ground.minutes), (Some(mm(0.5)), Some(20)));
    refused("/shelf/F07/ground", &[("removed", "-1")], &["removed: \u{2212}1 mm cannot be"])?;
    refused("/shelf/F07/ground", &[("removed", "19")], &["removed: 19 mm cannot be; give 0 mm to 18 mm"])?;
    refused(
        "/shelf/F07/ground",
        &[("removed", "4"), ("minutes", "x")],
        &["?removed: 4 mm is unusual", "minutes: "],
    )?;
    let body = taken("/shelf/F07/washed", &[("recipe", "halves")])?;
    let Body::ShelfWashed(washed) = body else { return Err(format!("{body:?}")) };
    assert_eq!(washed.recipe, "alumina hydrate and kaolin, equal parts by volume");
    taken("/shelf/F07/washed", &[("recipe", "own"), ("own", "the yellow bucket")])?;
    refused(
        "/shelf/F07/washed",
        &[("recipe", "own"), ("own", "  ")],
        &["own: say what the wash was made of"],
    )?;
    refused("/shelf/F07/washed", &[], &["recipe: choose one"])?;
    taken("/shelf/F07/tapped", &[("ring", "dull")])?;
    refused("/shelf/F07/tapped", &[("ring", "not_tapped")], &["ring: tap it first"])?;
    taken("/shelf/F07/flipped", &[])?;
    taken("/shelf/F07/graded", &[("fit_for", "bisque")])?;
    refused("/shelf/F07/graded", &[("fit_for", "soup")], &["fit_for: choose one"])
}

#[test]
fn a_crack_lies_on_the_shelf_and_keeps_its_id_when_read_again() -> Outcome {
    let at = "/shelf/F07/crack";
    let ends = |x: &'static str| [("from_x", x), ("from_y", "0"), ("to_x", "200"), ("to_y", "7,5 cm")];
    let body = taken(at, &ends("200"))?;
    let Body::CrackFound(crack) = &body else { return Err(format!("{body:?}")) };
    assert_eq!((crack.from.x_nm, crack.to.y_nm), (mm(200.0), mm(75.0)));
    // A finger a little over the edge is put on it; far off is refused.
    let body = taken(at, &ends("-4"))?;
    assert!(matches!(body, Body::CrackFound(CrackFound { from, .. }) if from.x_nm == mm(0.0)), "{body:?}");
    refused(at, &ends("700"), &["from_x: 700 mm cannot be"])?;
    let same = [("from_x", "5"), ("from_y", "0"), ("to_x", "5"), ("to_y", "0")];
    refused(at, &same, &["to_x: a crack needs two different ends"])?;
    let corner = [("from_x", "2"), ("from_y", "2"), ("to_x", "210"), ("to_y", "210")];
    refused("/shelf/F10/crack", &corner, &["from_x: this place is not on the shelf"])?;
    let stranger = [("crack", "00000000-0000-0000-0000-000000000099")];
    refused(at, &[&ends("200")[..], &stranger[..]].concat(), &["crack: this crack is not on record"])
}

/// Reading, writing the fields from the body and reading them again gives the same body.
fn round_trip(address: &str, fields: &[(&str, &str)]) -> Outcome {
    let body = taken(address, fields)?;
    let mut page = page(address)?;
    let mut values: BTreeMap<String, Vec<String>> = values_of(&body, page.unit, &feelers(0.76));
    if address.ends_with("against") {
        values.insert("other".to_owned(), vec!["F09".to_owned()]);
    }
    values.insert("do".to_owned(), vec!["record".to_owned()]);
    page.correcting = Some(Correcting { event: EventId(Uuid::from_u128(9)), body: body.clone() });
    // The correction's own ids are not new ones: this counter never gives the first one again.
    let mut next = 500;
    let mut new_id = || {
        next += 1;
        Uuid::from_u128(next)
    };
    let mut again = match form::submit(&page, &FormValues(values), &mut new_id) {
        Ok(read) => read,
        Err(problems) => return Err(format!("{problems:?}")),
    };
    assert_eq!(again.corrects, Some(EventId(Uuid::from_u128(9))));
    assert_eq!(again.bodies.pop(), Some(body));
    Ok(())
}

#[test]
fn a_correction_begins_with_what_was_recorded() -> Outcome {
    let quick = "/shelf/F07/measure";
    round_trip(
        quick,
        &[
            ("diagonal_up_500", "0.8"),
            ("diagonal_up_bend", "hump"),
            ("long_centre_500", "-0,25"),
            ("note", "cold"),
        ],
    )?;
    round_trip(
        "/shelf/F07/measure?how=full",
        &[("front_edge_250", "0.4"), ("front_edge_500", "-0.2"), ("front_edge_750", "1/64 in")],
    )?;
    round_trip("/shelf/F07/measure?how=against", &[("other", "F09"), ("diagonal_up_500", "0.8")])?;
    round_trip("/shelf/F07/measure?how=grid", &[("inset", "20"), ("heights", "1 2 -\n4 5 1/64in")])?;
    round_trip("/shelf/F07/ground", &[("removed", "1/64 in"), ("minutes", "5")])?;
    round_trip("/shelf/F07/washed", &[("recipe", "calcined")])?;
    round_trip("/shelf/F07/washed", &[("recipe", "own"), ("own", "yellow bucket")])?;
    round_trip(
        "/shelf/F07/crack",
        &[("from_x", "1/3 in"), ("from_y", "0"), ("to_x", "200"), ("to_y", "75")],
    )?;
    round_trip("/shelf/F07/tapped", &[("ring", "rings")])?;
    round_trip("/shelf/F07/flipped", &[])?;
    round_trip("/shelf/F07/graded", &[("fit_for", "general")])
}

fn feelers(card_mm: f64) -> Feelers {
    Feelers { card_nm: mm(card_mm), ..Feelers::default() }
}

#[test]
fn a_bank_card_that_was_measured_since_does_not_change_an_old_reading() -> Outcome {
    // "card" stands for another thickness later: the correction then begins with the length, else with the word.
    let body = taken("/shelf/F07/measure", &[("diagonal_up_500", "card")])?;
    for (card_mm, shown) in [(0.76, "card"), (0.8, "0.76")] {
        let values = values_of(&body, crate::view::LengthUnit::Mm, &feelers(card_mm));
        assert_eq!(values.get("diagonal_up_500").map(Vec::as_slice), Some(&[shown.to_owned()][..]));
    }
    Ok(())
}
