//! The rack of a small studio.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{Face, Fuel, HoldReason, Instrument, Material, Piece, RetireReason};
use crate::event::{
    Against, Dip, LineReading, PieceHeld, PieceRetired, SetMade, ShelfMeasured, SurfaceReading,
};
use crate::ids::{SetId, ShelfId};
use crate::testing::Studio;

fn rack_at(studio: &Studio, address: &str) -> Rack {
    match studio.get(address).data {
        PageData::Rack(rack) => rack,
        other => panic!("not the rack: {other:?}"),
    }
}

/// A quick reading whose middles all dip by so much.
fn dished(studio: &mut Studio, shelf: ShelfId, mm: f64) {
    let outline = studio.world().shelves[&shelf].outline;
    let line = |line: crate::outline::Line| LineReading {
        line: line.name,
        from: line.from,
        to: line.to,
        dips: vec![Dip { at_permille: 500, dip_nm: Length::from_mm(mm), text: mm.to_string() }],
    };
    studio.record(ShelfMeasured {
        shelf,
        face: Face::A,
        bare: true,
        instrument: Instrument::Feeler,
        reading: SurfaceReading::Lines {
            against: Against::Straightedge,
            lines: outline.quick_lines().into_iter().map(line).collect(),
        },
        note: String::new(),
    });
}

fn lines(rows: &[Row]) -> Vec<String> {
    rows.iter().map(|row| format!("{} | {} | {}", row.code, row.said, row.mark.word)).collect()
}

#[test]
fn everything_stands_under_its_kiln() {
    let (mut studio, gas) = Studio::with_kiln();
    let electric = studio.kiln("little one", Fuel::Electric, "6");
    studio.shelf("F02", gas);
    studio.shelf("F01", gas);
    let posts: Vec<_> = ["P01", "P02", "P03"].into_iter().map(|code| studio.post(code, 150.0, gas)).collect();
    studio.post("P04", 25.0, electric);
    for post in &posts {
        studio.height(*post, 150.0);
    }
    studio.record(SetMade {
        set: SetId(uuid::Uuid::from_u128(9_001)),
        code: crate::code::Code::read("K01").unwrap(),
        posts,
        shelf: None,
        inset_nm: Length::from_mm(40.0),
    });
    let rack = rack_at(&studio, "/rack");
    let names: Vec<&str> = rack.racks.iter().map(|rack| rack.name.as_str()).collect();
    assert_eq!(names, ["big gas", "little one"]);
    let big = &rack.racks[0];
    assert_eq!(big.shelves[0].rows.iter().map(|s| s.row.code.as_str()).collect::<Vec<_>>(), ["F01", "F02"]);
    assert_eq!(big.shelves[0].said, "cordierite, 600 \u{d7} 300 mm: 2 shelves");
    assert_eq!((big.sets[0].code.as_str(), big.sets[0].href.as_str()), ("K01", "/set/K01"));
    assert_eq!(big.posts[0].said, "150 mm, 3 posts");
    assert_eq!(
        (big.posts[0].rows[0].said.as_str(), big.posts[0].rows[0].mark.word.as_str()),
        ("150 mm", "fits")
    );
    assert!(big.posts[0].rows[0].more.contains("in set K01"), "{}", big.posts[0].rows[0].more);
    assert_eq!(lines(&rack.racks[1].posts[0].rows), ["P04 | sold as 25 mm | not known"]);
    let texts: Vec<&str> = rack.shows.iter().map(|link| link.text.as_str()).collect();
    assert_eq!(texts, ["everything", "2 shelves", "4 posts", "1 set", "0 retired"]);
}

#[test]
fn filters_leave_out_what_was_not_asked_for() {
    let (mut studio, gas) = Studio::with_kiln();
    let electric = studio.kiln("little one", Fuel::Electric, "6");
    studio.shelf("F01", gas);
    studio.post("P01", 150.0, electric);
    let rack = rack_at(&studio, &format!("/rack?kiln={electric}&show=posts"));
    assert_eq!(rack.racks.len(), 1);
    assert_eq!(rack.racks[0].posts.len(), 1);
    assert_eq!(rack.kilns[1].href, format!("/rack?kiln={gas}&show=posts"));
    assert_eq!((rack.kilns[2].href.as_str(), rack.shows[2].href.as_str()), ("", ""));
    assert!(rack_at(&studio, &format!("/rack?kiln={electric}&show=shelves")).racks.is_empty());
    assert!(matches!(studio.get("/rack?show=cups").data, PageData::NotFound(_)));
    assert!(matches!(studio.get("/rack?kiln=moon").data, PageData::NotFound(_)));
}

#[test]
fn what_was_set_aside_keeps_its_reason() {
    let (mut studio, gas) = Studio::with_kiln();
    let (shelf, post) = (studio.shelf("F01", gas), studio.post("P01", 150.0, gas));
    let note = "split from the front".to_owned();
    studio.record(PieceRetired {
        piece: Piece::Post(post),
        reason: RetireReason::Short,
        note: String::new(),
    });
    studio.record(PieceRetired { piece: Piece::Shelf(shelf), reason: RetireReason::Cracked, note });
    assert!(rack_at(&studio, "/rack").racks.is_empty());
    let rack = rack_at(&studio, "/rack?show=retired");
    let retired = &rack.racks[0].retired;
    assert_eq!(
        lines(retired),
        ["F01 | cracked: split from the front | retired", "P01 | too short | retired"]
    );
    assert_eq!(retired[0].more, "a shelf, retired on 2026-03-15 after 20 firings");
}

#[test]
fn a_held_shelf_says_so_first() {
    let (mut studio, gas) = Studio::with_kiln();
    let shelf = studio.shelf_of("F01", gas, Material::DenseThinSic);
    let note = "left in the rain".to_owned();
    studio.record(PieceHeld { piece: Piece::Shelf(shelf), reason: HoldReason::Wet, note });
    let rack = rack_at(&studio, "/rack");
    let row = &rack.racks[0].shelves[0].rows[0].row;
    assert!(row.said.contains("wet"), "{}", row.said);
    assert_eq!(row.mark.shape, crate::view::Shape::Stop);
}

#[test]
fn bows_share_one_factor_and_what_was_not_read_is_dashed() {
    let (mut studio, gas) = Studio::with_kiln();
    let (deep, shallow) = (studio.shelf("F01", gas), studio.shelf("F02", gas));
    studio.shelf("F03", gas);
    dished(&mut studio, deep, 3.0);
    dished(&mut studio, shallow, 0.6);
    let rack = rack_at(&studio, "/rack");
    let slabs: Vec<&Slab> = rack.racks[0].shelves[0].rows.iter().map(|row| &row.slab).collect();
    assert_eq!(slabs.iter().map(|slab| slab.dashed).collect::<Vec<_>>(), [false, false, true]);
    let sag = |slab: &Slab| -> f64 {
        let numbers: Vec<f64> =
            slab.path.split(['M', 'Q', ' ']).filter_map(|part| part.parse().ok()).collect();
        (numbers[3] - numbers[1]) / 2.0
    };
    // 600 mm are 320 units wide, so 0.533 units a millimetre; 34 units over 3 mm allow 20 times.
    assert_eq!(rack.bow_times, Some(20));
    assert!(sag(slabs[0]) > 24.0 && sag(slabs[0]) < 34.1, "{}", slabs[0].path);
    assert!((sag(slabs[0]) / sag(slabs[1]) - 5.0).abs() < 0.2, "{} {}", slabs[0].path, slabs[1].path);
    assert_eq!(slabs[2].path, "M0 22Q160 22 320 22");
}

#[test]
fn shelves_alike_stand_together_and_short_ones_are_drawn_short() {
    let (mut studio, gas) = Studio::with_kiln();
    studio.shelf("F01", gas);
    studio.shelf_of("F02", gas, Material::HighAlumina);
    studio.shelf("F03", gas);
    let fields = |kiln: &str| {
        let pairs = [("do", "shelves"), ("count", "1"), ("material", "cordierite"), ("shape", "round")];
        let more = [("diameter", "300"), ("thickness", "8"), ("kiln", kiln)];
        pairs.into_iter().chain(more).map(|(a, b)| (a.to_owned(), b.to_owned())).collect::<Vec<_>>()
    };
    let fields = fields(&gas.to_string());
    let fields: Vec<(&str, &str)> = fields.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    let read = studio.submit("/add/shelves", &fields).unwrap();
    studio.take(read);
    let rack = rack_at(&studio, "/rack");
    let said: Vec<&str> = rack.racks[0].shelves.iter().map(|alike| alike.said.as_str()).collect();
    assert_eq!(
        said,
        [
            "cordierite, 600 \u{d7} 300 mm: 2 shelves",
            "high alumina, 600 \u{d7} 300 mm: 1 shelf",
            "cordierite, 300 mm, round: 1 shelf"
        ]
    );
    let slab = &rack.racks[0].shelves[2].rows[0].slab;
    assert_eq!((slab.path.as_str(), slab.thick), ("M80 22Q160 22 240 22", 2.9));
    assert_eq!(rack.bow_times, None);
}
