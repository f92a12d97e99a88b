//! Every kind of entry leads to a form that is there, begins with its values and takes them again unchanged.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{
    Face, GrindMethod, HoldReason, Instrument, Mask, RetireReason, Ring, Typed, Use, Ware,
};
use crate::event::{
    Against, CrackFound, Dip, KilnFired, LineReading, NoteAdded, PieceHeld, PieceMoved, PieceReleased,
    PieceRetired, PieceReturned, PostDressed, PostMeasured, SetMade, SettingChanged, ShelfFlipped,
    ShelfGraded, ShelfGround, ShelfMeasured, ShelfTapped, ShelfWashed, SurfaceReading,
};
use crate::form::{self, FormValues};
use crate::ids::{CrackId, FiringId, SetId};
use crate::outline::Spot;
use crate::settings::SettingKey;
use crate::testing::Studio;
use crate::units::Length;
use crate::view::PageData;
use uuid::Uuid;

#[test]
fn a_correction_that_changes_nothing_gives_the_same_entry() {
    let (mut studio, kiln) = Studio::with_kiln();
    let (shelf, post) = (studio.shelf("F01", kiln), studio.post("P01", 149.225, kiln));
    let pieces = vec![Piece::Shelf(shelf), Piece::Post(post)];
    let (piece, note) = (pieces[0], "a note".to_owned());
    studio.record(PieceHeld { piece, reason: HoldReason::Other, note: note.clone() });
    studio.record(PieceReleased { piece, because: "24 h at 95 C; dry mass 4210 g".to_owned() });
    studio.record(PieceMoved { piece: pieces[1], kiln, place: "bin 3".to_owned() });
    studio.record(PieceRetired { piece, reason: RetireReason::Other, note: note.clone() });
    studio.record(PieceReturned { piece, because: "ground".to_owned() });
    studio.record(NoteAdded { piece, text: note.clone() });
    studio.record(KilnFired {
        firing: FiringId(Uuid::from_u128(77)),
        kiln,
        ware: Ware::Glaze,
        cone: "9".to_owned().try_into().unwrap(),
        fired_on: crate::testing::TODAY,
        pieces,
        note,
        plan: None,
    });
    let reason = "our ware is small".to_owned();
    let change = |key: SettingKey, value: i64, text: &str| SettingChanged {
        key,
        value,
        text: text.to_owned(),
        reason: reason.clone(),
    };
    studio.record(change(SettingKey::SpreadGood, 400_000, "0.4"));
    studio.record(change(SettingKey::SpreadLimit, 396_875, "0.396875 mm"));
    studio.record(change(SettingKey::CrackWatch, 200_000, "20 %"));
    studio.record(change(SettingKey::RecoatHigh, 25, "25"));

    assert_eq!(studio.world().log.len(), 14);
    unchanged(&studio);
}

/// Posts every entry's correction as its form begins, and wants the same entry back.
fn unchanged(studio: &Studio) {
    let world = studio.world();
    for entry in &world.log {
        let body = &entry.event.body;
        let address = format!("{}?corrects={}", address_of(body, &world).unwrap(), entry.event.id);
        let page = studio.get(&address);
        let action = page.form.action.clone();
        let flat = page.form.values.iter().flat_map(|(name, values)| values.iter().map(move |v| (name, v)));
        let fields = flat.map(|(name, value)| (name.clone(), value.clone()));
        let fields = fields.chain([("do".to_owned(), action)]);
        let read = form::submit(&page, &FormValues::from_pairs(fields), &mut Uuid::nil);
        let read = read.unwrap_or_else(|problems| panic!("{address}: {problems:?}"));
        assert_eq!((read.bodies, read.corrects), (vec![body.clone()], Some(entry.event.id)), "{address}");
    }
}

fn typed(text: &str, mm: f64) -> Typed {
    Typed { nm: Length::from_mm(mm), text: text.to_owned() }
}

#[test]
fn so_do_the_forms_of_shelves_posts_and_sets() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let other = studio.shelf("F02", kiln);
    let posts: Vec<_> =
        ["P01", "P02", "P03"].into_iter().map(|code| studio.post(code, 150.0, kiln)).collect();
    let outline = studio.world().shelves[&shelf].outline;
    let line = |line: crate::outline::Line| LineReading {
        line: line.name,
        from: line.from,
        to: line.to,
        dips: vec![Dip { at_permille: 500, dip_nm: Length::from_mm(0.76), text: "0.76".to_owned() }],
    };
    let quick: Vec<LineReading> = outline.quick_lines().into_iter().map(line).collect();
    let measured = |against: Against, lines: Vec<LineReading>| ShelfMeasured {
        shelf,
        face: Face::B,
        bare: true,
        instrument: Instrument::Feeler,
        reading: SurfaceReading::Lines { against, lines },
        note: "after the glaze".to_owned(),
    };
    let spot = |x: f64, y: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
    studio.record(ShelfGraded { shelf, fit_for: Use::Wadded });
    studio.record(measured(Against::Straightedge, quick.clone()));
    studio.record(measured(Against::Shelf { other }, quick));
    studio.record(ShelfGround {
        shelf,
        face: Face::A,
        removed_nm: Some(Length::from_mm(0.3)),
        minutes: Some(20),
        method: GrindMethod::Dry,
        mask: Mask::Fitted,
    });
    studio.record(ShelfWashed { shelf, face: Face::A, recipe: "half and half".to_owned(), coats: 2 });
    studio.record(CrackFound {
        shelf,
        crack: CrackId(Uuid::from_u128(501)),
        from: spot(200.0, 0.0),
        to: spot(210.0, 60.0),
        ring: Ring::Rings,
        note: "hairline".to_owned(),
    });
    studio.record(ShelfTapped { shelf, ring: Ring::Dull });
    studio.record(ShelfFlipped { shelf, up: Face::B });
    studio.record(PostMeasured {
        post: posts[0],
        height: typed("150.4", 150.4),
        instrument: Instrument::Caliper,
        out_of_square: Some(typed("0.5", 0.5)),
    });
    studio.record(PostDressed {
        post: posts[0],
        removed_nm: Some(Length::from_mm(0.4)),
        minutes: Some(5),
        method: GrindMethod::Wet,
        mask: Mask::Disposable,
    });
    studio.record(SetMade {
        set: SetId(Uuid::from_u128(502)),
        code: crate::code::nth('K', 1),
        posts,
        shelf: Some(shelf),
        inset_nm: Length::from_mm(45.0),
    });
    unchanged(&studio);
}

#[test]
fn what_is_not_corrected_leads_nowhere() {
    let (studio, _) = Studio::with_kiln();
    let nothing = crate::event::EventsWithdrawn { events: Vec::new(), reason: String::new() };
    assert_eq!(address_of(&nothing.into(), &studio.world()), None);
    assert!(matches!(studio.get("/shelf/F01/hold").data, PageData::NotFound(_)));
}
