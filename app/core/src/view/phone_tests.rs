//! `/phone`, the badge, and what the server did not take.
use super::*;
use crate::event::values::Piece;
use crate::event::{Body, NoteAdded, PhotoTaken, SettingChanged};
use crate::ids::ShelfId;
use crate::photo::PhotoKind;
use crate::settings::SettingKey;
use crate::sync::wire::{Answered, Status, Taken};
use crate::sync::{Draft, Phone, PhotoAnswer, PhotoOffer};
use crate::testing::{Studio, TODAY};
use crate::world::check::Problem;
use uuid::Uuid;

const NOW_MS: i64 = 1_773_576_000_000;

fn request() -> Request {
    Request { path: "/phone".to_owned(), query: Default::default(), today: TODAY, notices: Vec::new() }
}

fn data(held: &Held, world: &World) -> PhonePage {
    match of(held, world, &Dealings::default(), &request()).data {
        PageData::Phone(data) => data,
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_waits_and_what_was_not_taken_is_told_with_its_reason() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let world = studio.world();
    let mut held = Held::new(Phone::new(crate::ids::DeviceId(Uuid::from_u128(99))));
    let setting = SettingChanged {
        key: SettingKey::SpreadGood,
        value: 600_000,
        text: "0.6".to_owned(),
        reason: "new calipers".to_owned(),
    };
    let note = NoteAdded { piece: crate::event::values::Piece::Shelf(shelf), text: "chipped".to_owned() };
    for (number, body) in [(901, Body::from(note)), (902, Body::from(setting))] {
        let drafts = vec![Draft { id: EventId(Uuid::from_u128(number)), body, corrects: None }];
        let (_, write) = held.record(drafts, 1_773_576_000_000).unwrap_or_else(|cause| panic!("{cause}"));
        held.apply(&write);
    }
    let both = data(&held, &world);
    assert_eq!((both.waiting.len(), both.not_taken.len()), (2, 0));
    assert!(both.waiting[0].said.starts_with("F01"), "{:?}", both.waiting[0]);
    let push = held.next_push().unwrap_or_else(|| panic!("two wait"));
    let problems = vec![Problem::new("reason", "say why it is changed")];
    let (id, hlc, seq) = (serde_json::json!(push.records[1].id), None, None);
    let refused = Answered { id, status: Status::Refused, seq, problems, hlc };
    let taken = Taken { epoch: Uuid::from_u128(7), last_seq: 0, answers: vec![refused] };
    held.apply(&held.take_push(&push, &taken));
    let one = data(&held, &world);
    assert_eq!((one.waiting.len(), one.not_taken.len()), (1, 1));
    assert_eq!(one.not_taken[0].why, ["say why it is changed"]);
}

/// A phone with this many notes, the first of which are taken by the server, and so many photos of F01.
fn phone_with(shelf: ShelfId, n_notes: u128, n_photos: u8) -> Held {
    let piece = Piece::Shelf(shelf);
    let mut held = Held::new(Phone::new(crate::ids::DeviceId(Uuid::from_u128(99))));
    let notes = (0..n_notes).map(|n| Body::from(NoteAdded { piece, text: format!("note {n}") }));
    let photos = (0..n_photos).map(|n| {
        let (sha256, media, note) = (PhotoHash::of_digest([n; 32]), PhotoKind::Jpeg, "crack".to_owned());
        PhotoTaken { piece, sha256, media, width: 1_600, height: 1_200, bytes: 412_345, note }.into()
    });
    for (body, number) in notes.chain(photos).zip(901..) {
        if let Body::PhotoTaken(photo) = &body {
            held.apply(&held.keep_photo(&photo.sha256, photo.media, photo.bytes, NOW_MS));
        }
        let drafts = vec![Draft { id: EventId(Uuid::from_u128(number)), body, corrects: None }];
        let (_, write) = held.record(drafts, NOW_MS).unwrap_or_else(|cause| panic!("{cause}"));
        held.apply(&write);
    }
    held
}

/// The server has taken every entry.
fn take_entries(held: &mut Held) {
    while let Some(push) = held.next_push() {
        let (status, problems, hlc) = (Status::Stored, Vec::new(), None);
        let answers = push.records.iter().zip(1..).map(|(record, seq)| {
            let (id, problems) = (serde_json::json!(record.id), problems.clone());
            Answered { id, status, seq: Some(seq), problems, hlc }
        });
        let taken = Taken { epoch: Uuid::from_u128(7), last_seq: 0, answers: answers.collect() };
        held.apply(&held.take_push(&push, &taken));
    }
}

/// The server has said so to the photo of this number.
fn answer_photo(held: &mut Held, number: u8, answer: &PhotoAnswer) {
    let (generation, sha256) = (held.phone.generation, PhotoHash::of_digest([number; 32]));
    held.apply(&held.take_photo(&PhotoOffer { generation, sha256 }, answer, NOW_MS));
}

#[test]
fn the_badge_counts_entries_and_photos() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let check = |held: &Held, paired: bool, expected: &str| assert_eq!(badge(held, paired), expected);
    check(&phone_with(shelf, 0, 0), true, "On the server");
    check(&phone_with(shelf, 7, 0), true, "On this phone: 7 waiting");
    check(&phone_with(shelf, 3, 0), false, "Not paired; on this phone: 3 waiting");
    check(&phone_with(shelf, 6, 1), true, "On this phone: 7 waiting, 1 photo");
    let mut held = phone_with(shelf, 0, 2);
    take_entries(&mut held);
    check(&held, true, "On this phone: 2 photos waiting");
    answer_photo(&mut held, 0, &PhotoAnswer::Kept);
    check(&held, true, "On this phone: 1 photo waiting");
    answer_photo(&mut held, 1, &PhotoAnswer::Refused("this is no photo".to_owned()));
    check(&held, true, "On the server; 1 not taken");
    check(&held, false, "Not paired; 1 not taken");
}

#[test]
fn a_photo_s_entry_has_reached_the_server_when_the_photo_has() {
    let (mut studio, kiln) = Studio::with_kiln();
    let mut held = phone_with(studio.shelf("F01", kiln), 1, 1);
    let (note, photo) = (EventId(Uuid::from_u128(901)), EventId(Uuid::from_u128(902)));
    assert!(!has_reached_the_server(&held, &[note]));
    take_entries(&mut held);
    assert!(has_reached_the_server(&held, &[note]));
    assert!(!has_reached_the_server(&held, &[note, photo]));
    answer_photo(&mut held, 0, &PhotoAnswer::Kept);
    assert!(has_reached_the_server(&held, &[note, photo]));
}

#[test]
fn photos_that_wait_or_were_refused_are_listed_with_their_piece() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let mut held = phone_with(shelf, 1, 2);
    let world = World::fold(studio.records().iter().chain(held.records())).0;
    let shown = data(&held, &world);
    assert_eq!(
        shown.said,
        "3 entries and 2 photos are on this phone and go to the server as soon as it can be reached."
    );
    let said: Vec<&str> = shown.photos.iter().map(|line| line.said.as_str()).collect();
    assert_eq!(said, ["F01: photo (crack), 413 kB", "F01: photo (crack), 413 kB"]);
    take_entries(&mut held);
    answer_photo(&mut held, 0, &PhotoAnswer::Refused("this is no photo".to_owned()));
    let shown = data(&held, &world);
    assert_eq!(shown.said, "1 photo is on this phone and goes to the server as soon as it can be reached.");
    let refused: Vec<(&str, &str)> =
        shown.photos_not_taken.iter().map(|line| (line.said.as_str(), line.why.as_str())).collect();
    assert_eq!(refused, [("F01: photo (crack), 413 kB", "this is no photo")]);
    answer_photo(&mut held, 1, &PhotoAnswer::Kept);
    assert_eq!(data(&held, &world).said, "Nothing waits: the server has all that was recorded here.");
}

#[test]
fn a_contradiction_stands_in_the_history_of_its_piece_and_counts_nowhere() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    studio.shelf("F02", kiln);
    let mut held = Held::new(Phone::new(crate::ids::DeviceId(Uuid::from_u128(99))));
    let note = |shelf, text: &str| NoteAdded {
        piece: crate::event::values::Piece::Shelf(shelf),
        text: text.to_owned(),
    };
    let theirs = studio.record(note(shelf, "chipped at the front"));
    let drafts = vec![Draft { id: theirs, body: note(shelf, "chipped at the back").into(), corrects: None }];
    let (_, write) = held.record(drafts, 1_773_576_000_000).unwrap_or_else(|cause| panic!("{cause}"));
    held.apply(&write);
    let push = held.next_push().unwrap_or_else(|| panic!("one waits"));
    let id = serde_json::json!(theirs);
    let answer = Answered { id, status: Status::Conflict, seq: None, problems: Vec::new(), hlc: None };
    held.apply(
        &held.take_push(&push, &Taken { epoch: Uuid::from_u128(7), last_seq: 0, answers: vec![answer] }),
    );
    let world = studio.world();
    let histories = |path: &str| {
        let page = super::super::page(&world, &Request { path: path.to_owned(), ..request() });
        match with_not_taken(&held, &world, page).data {
            PageData::Shelf(ShelfPage::Card(card)) => card.history,
            other => panic!("{other:?}"),
        }
    };
    let both: Vec<HistoryLine> =
        histories("/shelf/F01").into_iter().filter(|line| line.said.contains("chipped")).collect();
    assert_eq!(both.len(), 2);
    assert!(both[0].said.ends_with("at the back") && !both[0].counts, "{both:?}");
    assert!(both[0].standing.contains("another entry under this one's id"), "{both:?}");
    assert!(both[1].said.ends_with("at the front") && both[1].counts, "{both:?}");
    assert!(!histories("/shelf/F02").iter().any(|line| line.said.contains("chipped")));
}

#[test]
fn storage_is_told_in_all_and_for_each_thousand_entries() {
    let dealings = Dealings {
        used_bytes: Some(4_230_000),
        used_by_entries_bytes: Some(1_000_000),
        ..Dealings::default()
    };
    assert_eq!(
        used(&dealings, 2_000, 0),
        "All of it takes 4.2 MB of this phone's storage, of it 500 kB for each 1,000 entries."
    );
    assert_eq!(used(&dealings, 0, 0), "All of it takes 4.2 MB of this phone's storage.");
    assert_eq!(
        used(&dealings, 1_000, 600_000),
        "All of it takes 4.2 MB of this phone's storage, of it 600 kB for photos and 400 kB for each 1,000 entries."
    );
    assert_eq!(used(&Dealings::default(), 2_000, 0), "");
}
