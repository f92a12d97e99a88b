//! Every kind of entry leads to a form that is there, begins with its values and takes them again unchanged.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{HoldReason, RetireReason, Ware};
use crate::event::{
    KilnFired, NoteAdded, PieceHeld, PieceMoved, PieceReleased, PieceRetired, PieceReturned, SettingChanged,
};
use crate::settings::SettingKey;
use crate::testing::Studio;
use crate::view::PageData;

#[test]
fn a_correction_that_changes_nothing_gives_the_same_entry() {
    let (mut studio, kiln) = Studio::with_kiln();
    let (shelf, post) = (studio.shelf("F01", kiln), studio.post("P01", 150.0, kiln));
    let pieces = vec![Piece::Shelf(shelf), Piece::Post(post)];
    let (piece, note) = (pieces[0], "a note".to_owned());
    studio.record(PieceHeld { piece, reason: HoldReason::Other, note: note.clone() });
    studio.record(PieceReleased { piece, because: "24 h at 95 C; dry mass 4210 g".to_owned() });
    studio.record(PieceMoved { piece: pieces[1], kiln, place: "bin 3".to_owned() });
    studio.record(PieceRetired { piece, reason: RetireReason::Other, note: note.clone() });
    studio.record(PieceReturned { piece, because: "ground".to_owned() });
    studio.record(NoteAdded { piece, text: note.clone() });
    studio.record(KilnFired {
        firing: crate::ids::FiringId(uuid::Uuid::from_u128(77)),
        kiln,
        ware: Ware::Glaze,
        cone: "9".to_owned().try_into().unwrap(),
        fired_on: crate::testing::TODAY,
        pieces,
        note,
    });
    let reason = "our ware is small".to_owned();
    let change = |key: SettingKey, value: i64, text: &str| SettingChanged {
        key,
        value,
        text: text.to_owned(),
        reason: reason.clone(),
    };
    studio.record(change(SettingKey::SpreadGood, 400_000, "0.4"));
    studio.record(change(SettingKey::CrackWatch, 200_000, "20 %"));
    studio.record(change(SettingKey::RecoatHigh, 25, "25"));

    let world = studio.world();
    assert_eq!(world.log.len(), 13);
    for entry in &world.log {
        let body = &entry.event.body;
        let address = format!("{}?corrects={}", address_of(body, &world).unwrap(), entry.event.id);
        let page = studio.get(&address);
        let action = page.form.action.clone();
        let flat = page.form.values.iter().flat_map(|(name, values)| values.iter().map(move |v| (name, v)));
        let mut fields: Vec<(&str, &str)> =
            flat.map(|(name, value)| (name.as_str(), value.as_str())).collect();
        fields.push(("do", &action));
        let read = studio.submit(&address, &fields);
        let read = read.unwrap_or_else(|problems| panic!("{address}: {problems:?}"));
        assert_eq!((read.bodies, read.corrects), (vec![body.clone()], Some(entry.event.id)), "{address}");
    }
}

#[test]
fn what_is_not_corrected_leads_nowhere() {
    let (studio, _) = Studio::with_kiln();
    let nothing = crate::event::EventsWithdrawn { events: Vec::new(), reason: String::new() };
    assert_eq!(address_of(&nothing.into(), &studio.world()), None);
    assert!(matches!(studio.get("/shelf/F01/hold").data, PageData::NotFound(_)));
}
