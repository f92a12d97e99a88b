//! Photos on the phone: sent once an entry names them, again to a restored server, and let go of in time.
use super::*;
use crate::event::PhotoTaken;
use crate::event::values::Piece;
use crate::ids::{DeviceId, ShelfId};
use crate::sync::wire::{Answered, Feed, Taken};
use crate::sync::{Phone, Pull};
use uuid::Uuid;

const NOW_MS: i64 = 1_773_576_000_000;
const EPOCH: Uuid = Uuid::from_u128(7);

fn phone() -> Held {
    Held::new(Phone::new(DeviceId(Uuid::from_u128(1))))
}

fn hash(number: u8) -> PhotoHash {
    PhotoHash::of_digest([number; 32])
}

fn draft(number: u8) -> Draft {
    let photo = PhotoTaken {
        piece: Piece::Shelf(ShelfId(Uuid::from_u128(2))),
        sha256: hash(number),
        media: PhotoKind::Jpeg,
        width: 1_600,
        height: 1_200,
        bytes: 400_000,
        note: String::new(),
    };
    Draft { id: EventId(Uuid::from_u128(u128::from(number))), body: photo.into(), corrects: None }
}

/// Takes a photo of half a megabyte, and records it where `named`.
fn take(held: &mut Held, number: u8, at_ms: i64, named: bool) {
    held.apply(&held.keep_photo(&hash(number), PhotoKind::Jpeg, 500_000, at_ms));
    if named {
        let (_, write) = held.record(vec![draft(number)], at_ms).unwrap_or_else(|cause| panic!("{cause}"));
        held.apply(&write);
    }
}

fn answer(held: &mut Held, number: u8, answer: &PhotoAnswer, at_ms: i64) {
    let offer = PhotoOffer { generation: held.phone.generation, sha256: hash(number) };
    held.apply(&held.take_photo(&offer, answer, at_ms));
}

fn offered(held: &Held) -> Vec<PhotoHash> {
    let mut round = PhotoRound::default();
    std::iter::from_fn(|| round.next(held)).map(|offer| offer.sha256).collect()
}

#[test]
fn a_photo_waits_from_the_entry_that_names_it_until_the_server_has_it() {
    let mut held = phone();
    take(&mut held, 1, NOW_MS, false);
    assert_eq!((held.n_photos_waiting(), offered(&held)), (0, vec![]), "nobody recorded it yet");
    take(&mut held, 3, NOW_MS + 1, true);
    take(&mut held, 2, NOW_MS + 2, true);
    assert_eq!(offered(&held), [hash(3), hash(2)], "oldest first, each once");
    assert_eq!(held.n_photos_waiting(), 2);
    answer(&mut held, 3, &PhotoAnswer::Kept, NOW_MS + 3);
    assert_eq!((held.n_photos_waiting(), offered(&held)), (1, vec![hash(2)]));
    // Chosen and recorded once more: the server has it already.
    take(&mut held, 3, NOW_MS + 4, true);
    assert_eq!(held.n_photos_waiting(), 1);
}

#[test]
fn an_entry_names_no_photo_that_is_not_here() {
    let mut held = phone();
    assert!(held.has_photos_of(&[draft(1)]).is_err());
    take(&mut held, 1, NOW_MS, false);
    assert_eq!(held.has_photos_of(&[draft(1)]), Ok(()));
    assert!(held.has_photos_of(&[draft(1), draft(2)]).is_err());
}

#[test]
fn a_refused_photo_is_kept_told_and_offered_when_the_feed_moves() {
    let mut held = phone();
    take(&mut held, 1, NOW_MS, true);
    answer(&mut held, 1, &PhotoAnswer::Refused("no such picture".to_owned()), NOW_MS);
    let told: Vec<&str> = held.photos_not_taken().into_iter().map(|(_, why)| why).collect();
    assert_eq!((told, held.n_photos_waiting(), offered(&held)), (vec!["no such picture"], 0, vec![]));
    held.phone.cursor += 1;
    assert_eq!(offered(&held), [hash(1)]);
    let years_later = NOW_MS + 900 * DAY_MS;
    assert!(held.tidy_photos(years_later).is_empty() && held.make_room().is_empty(), "nobody else has it");
    held.apply(&held.put_photos_away(&[hash(1)]));
    assert!(held.photos.is_empty());
    take(&mut held, 2, NOW_MS, true);
    assert!(held.put_photos_away(&[hash(2)]).is_empty(), "what waits cannot be put away");
}

#[test]
fn a_server_of_another_numbering_is_sent_every_photo_again() {
    let check = |told: &str, turn: &dyn Fn(&Held) -> Write| {
        let mut held = phone();
        held.phone.epoch = Some(EPOCH);
        take(&mut held, 1, NOW_MS, true);
        let offer = PhotoOffer { generation: held.phone.generation, sha256: hash(1) };
        answer(&mut held, 1, &PhotoAnswer::Kept, NOW_MS);
        assert!(offered(&held).is_empty());
        held.apply(&turn(&held));
        assert_eq!(offered(&held), [hash(1)], "{told}");
        // What the store before the restore said is of no account.
        assert!(held.take_photo(&offer, &PhotoAnswer::Kept, NOW_MS).is_empty(), "{told}");
    };
    let other = Uuid::from_u128(8);
    check("after a push", &|held| {
        let push = held.next_push().unwrap_or_else(|| panic!("the entry waits"));
        let answers = Vec::<Answered>::new();
        held.take_push(&push, &Taken { epoch: other, last_seq: 0, answers })
    });
    check("after a pull", &|held| {
        let pull: Pull = held.phone.next_pull();
        let feed = Feed { epoch: other, reset: true, events: vec![], next: 0, more: false, last_seq: 0 };
        held.take_pull(&pull, &feed)
    });
}

#[test]
fn copies_go_when_they_are_old_or_too_many_and_what_waits_stays() {
    let mut held = phone();
    take(&mut held, 1, NOW_MS, false);
    take(&mut held, 2, NOW_MS, true);
    take(&mut held, 3, NOW_MS, true);
    answer(&mut held, 3, &PhotoAnswer::Kept, NOW_MS);
    let check = |held: &Held, after_ms: i64, expected: &[PhotoHash]| {
        assert_eq!(held.tidy_photos(NOW_MS + after_ms).drop_photos, expected, "after {after_ms} ms");
    };
    check(&held, DAY_MS, &[]);
    check(&held, DAY_MS + 1, &[hash(1)]);
    check(&held, 30 * DAY_MS + 1, &[hash(1), hash(3)]);
    check(&held, -DAY_MS, &[]);
    assert_eq!(held.make_room().drop_photos, [hash(3)]);
    // 100 copies of half a megabyte fit, and the oldest goes for the next one.
    for number in 4..=103 {
        take(&mut held, number, NOW_MS, true);
        answer(&mut held, number, &PhotoAnswer::Kept, NOW_MS + i64::from(number));
    }
    check(&held, 200, &[hash(3)]);
    held.apply(&held.tidy_photos(NOW_MS + 200));
    assert_eq!((held.photos.len(), held.n_photos_waiting()), (102, 1));
}

#[test]
fn answers_are_told_apart() {
    let kept = |of: u8, status: &str| {
        format!(r#"{{"sha256":"{}","media":"image/jpeg","bytes":5,"status":"{status}"}}"#, hash(of))
    };
    let check = |status: u16, text: &str, expected: Option<PhotoAnswer>| {
        assert_eq!(PhotoAnswer::read(status, text, &hash(1)), expected, "{status} {text}");
    };
    check(201, &kept(1, "stored"), Some(PhotoAnswer::Kept));
    check(200, &kept(1, "already_had"), Some(PhotoAnswer::Kept));
    check(200, &kept(2, "stored"), None);
    check(200, &kept(1, "lost"), None);
    check(200, "<html>Sign in to the network</html>", None);
    let refused = |why: &str| Some(PhotoAnswer::Refused(why.to_owned()));
    check(415, r#"{"error":"this is no photo"}"#, refused("this is no photo"));
    check(413, "Request Entity Too Large", refused("the server did not keep this photo"));
    for status in [400, 401, 403, 404, 500, 503] {
        check(status, r#"{"error":"no"}"#, None);
    }
}

#[test]
fn rows_are_read_as_they_were_written() -> Result<(), serde_json::Error> {
    let mut held = phone();
    take(&mut held, 1, NOW_MS, false);
    take(&mut held, 2, NOW_MS, true);
    answer(&mut held, 2, &PhotoAnswer::Kept, NOW_MS);
    take(&mut held, 3, NOW_MS, true);
    answer(&mut held, 3, &PhotoAnswer::Refused("no".to_owned()), NOW_MS);
    for row in held.photos.values() {
        assert_eq!(&serde_json::from_str::<PhotoRow>(&serde_json::to_string(row)?)?, row);
    }
    Ok(())
}
