//! Decisions that the simulation of schedules does not single out: sizes, holes, words of newer servers.
use super::wire::{Answered, Feed, MAX_RECORDS, Numbered, Status, Taken};
use super::*;
use crate::event::{Body, SettingChanged};
use crate::settings::SettingKey;
use serde_json::json;
use std::collections::BTreeMap;

const NOW_MS: i64 = 1_773_576_000_000;
const EPOCH: Uuid = Uuid::from_u128(7);

fn phone() -> Held {
    Held::new(Phone::new(DeviceId(Uuid::from_u128(1))))
}

fn draft(number: u128) -> Draft {
    let reason = format!("mark {number}");
    let body = SettingChanged { key: SettingKey::SpreadGood, value: 600_000, text: String::new(), reason };
    Draft { id: EventId(Uuid::from_u128(number)), body: Body::from(body), corrects: None }
}

/// Records one form of these numbers.
fn record(held: &mut Held, numbers: std::ops::Range<u128>) -> Vec<Record> {
    let (records, write) =
        held.record(numbers.map(draft).collect(), NOW_MS).unwrap_or_else(|cause| panic!("{cause}"));
    held.apply(&write);
    records
}

fn answered(record: &Record, status: Status, seq: u64) -> Answered {
    Answered { id: json!(record.id), status, seq: Some(seq), problems: Vec::new(), hlc: None }
}

fn taken(answers: Vec<Answered>) -> Taken {
    Taken { epoch: EPOCH, last_seq: 0, answers }
}

/// The feed of these records after `since`, as one page.
fn feed(records: &[Record], since: usize, limit: usize) -> Feed {
    let numbered = records.iter().zip(1..).map(|(event, seq)| Numbered { seq, event: event.clone() });
    let events: Vec<Numbered> = numbered.skip(since).take(limit).collect();
    let last_seq = records.len() as u64;
    let next = events.last().map_or(since as u64, |last| last.seq);
    Feed { epoch: EPOCH, reset: false, events, next, more: next < last_seq, last_seq }
}

fn pull(held: &mut Held, records: &[Record], limit: usize) -> Write {
    let question = held.phone.next_pull();
    let since = usize::try_from(question.asked.since).unwrap_or(usize::MAX);
    let write = held.take_pull(&question, &feed(records, since, limit));
    held.apply(&write);
    write
}

fn others(n: u128) -> Vec<Record> {
    let mut other = Held::new(Phone::new(DeviceId(Uuid::from_u128(2))));
    (1..=n).flat_map(|number| record(&mut other, 1_000 + number..1_001 + number)).collect()
}

#[test]
fn a_request_carries_200_and_a_form_goes_alone() {
    let mut held = phone();
    for number in 0..250 {
        record(&mut held, number..number + 1);
    }
    record(&mut held, 300..303);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    assert_eq!((push.records.len(), push.all_or_none), (MAX_RECORDS, false));
    let numbers: Vec<u64> = push.records.iter().map(|record| record.device_seq).collect();
    assert_eq!(numbers, (1..=200).collect::<Vec<u64>>());
    let answers = push.records.iter().zip(1..).map(|(r, seq)| answered(r, Status::Stored, seq)).collect();
    held.apply(&held.take_push(&push, &taken(answers)));
    assert_eq!(held.n_waiting(), 53);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    assert_eq!((push.records.len(), push.all_or_none), (50, false), "the form does not go with the others");
    let answers = push.records.iter().zip(201..).map(|(r, seq)| answered(r, Status::Stored, seq)).collect();
    held.apply(&held.take_push(&push, &taken(answers)));
    let push = held.next_push().unwrap_or_else(|| panic!("the form is left"));
    assert_eq!((push.records.len(), push.all_or_none), (3, true));
}

#[test]
fn the_feed_is_kept_in_chunks_whatever_the_pages() {
    let records = others(450);
    for limit in [1, 7, 200, 450] {
        let mut held = phone();
        while held.phone.cursor < 450 {
            pull(&mut held, &records, limit);
        }
        let lengths: Vec<usize> = held.chunks.values().map(Vec::len).collect();
        assert_eq!(lengths, [200, 200, 50], "pages of {limit}");
        assert!(held.records().eq(&records), "pages of {limit}");
        assert_eq!(held.phone.last, records.last().map(|record| record.id));
    }
}

#[test]
fn one_more_event_rewrites_one_chunk() {
    let records = others(401);
    let mut held = phone();
    while held.phone.cursor < 400 {
        pull(&mut held, &records[..400], 200);
    }
    let write = pull(&mut held, &records, 200);
    let sizes: Vec<usize> = write.put_chunks.iter().map(|chunk| chunk.records.len()).collect();
    assert_eq!(sizes, [1]);
}

#[test]
fn a_hole_in_the_copy_is_noticed_and_the_feed_is_followed_anew() {
    let records = others(30);
    let mut held = phone();
    pull(&mut held, &records, 20);
    held.chunks.clear();
    pull(&mut held, &records, 20);
    assert_eq!((held.phone.cursor, held.phone.generation), (0, 1));
    while held.phone.cursor < 30 {
        pull(&mut held, &records, 20);
    }
    assert!(held.records().eq(&records));
}

#[test]
fn an_acknowledgement_that_the_feed_belies_is_not_believed() {
    let mut held = phone();
    let own = record(&mut held, 1..2);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    held.apply(&held.take_push(&push, &taken(vec![answered(&own[0], Status::Stored, 1)])));
    assert_eq!(held.n_waiting(), 0);
    pull(&mut held, &others(3), 200);
    assert_eq!(held.n_waiting(), 1, "number 1 is another event: the entry waits again");
}

#[test]
fn a_word_of_a_newer_server_changes_nothing() {
    let mut held = phone();
    record(&mut held, 1..2);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    let answer = json!({ "epoch": EPOCH, "last_seq": 0, "answers": [
        { "id": push.records[0].id, "status": "taken_to_the_moon" }, { "id": 5, "status": "stored" },
        { "id": Uuid::nil(), "status": "stored", "seq": 1 },
    ] });
    let answer: Taken = serde_json::from_value(answer).unwrap_or_else(|cause| panic!("{cause}"));
    held.apply(&held.take_push(&push, &answer));
    assert_eq!(held.n_waiting(), 1);
    let mut round = Round::default();
    round.pushed(false);
    assert!(matches!(round.next(&held), Some(Question::Pull(_))), "the round does not push for ever");
}

#[test]
fn a_refused_entry_is_kept_shown_and_offered_when_the_feed_moves() {
    let mut held = phone();
    let own = record(&mut held, 1..2);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    let mut refused = answered(&own[0], Status::Refused, 0);
    refused.problems = vec![Problem::new("kiln", "this kiln is not on record")];
    held.apply(&held.take_push(&push, &taken(vec![refused])));
    assert_eq!((held.n_waiting(), held.not_taken().len(), held.records().count()), (0, 1, 0));
    assert_eq!(held.next_push(), None);
    pull(&mut held, &others(1), 200);
    assert!(held.next_push().is_some(), "what it needed may have come");
    let write = held.put_away(&[own[0].id]);
    held.apply(&write);
    assert!(held.waiting.is_empty());
}

#[test]
fn what_still_counts_cannot_be_put_away() {
    let mut held = phone();
    let own = record(&mut held, 1..2);
    assert!(held.put_away(&[own[0].id]).is_empty());
}

#[test]
fn a_clock_that_was_set_back_lets_the_phone_go_on_from_there() {
    const DAY_MS: i64 = 24 * 60 * 60 * 1000;
    let mut held = phone();
    let (far, write) =
        held.record(vec![draft(1)], NOW_MS + 2 * DAY_MS).unwrap_or_else(|cause| panic!("{cause}"));
    held.apply(&write);
    let push = held.next_push().unwrap_or_else(|| panic!("there is something to push"));
    let kept = Some(Hlc::at_ms(NOW_MS));
    let one = Answered { hlc: kept, ..answered(&far[0], Status::Stored, 1) };
    held.apply(&held.take_push(&push, &taken(vec![one])));
    let entry = &held.waiting[&far[0].id];
    assert_eq!((Some(entry.record.hlc), entry.record.hlc_claimed), (kept, Some(far[0].hlc)));
    // The clock was put right: the next entry stands after the first, and not two days ahead.
    let next = record(&mut held, 2..3);
    assert!(next[0].hlc > Hlc::at_ms(NOW_MS) && next[0].hlc < Hlc::at_ms(NOW_MS + 1_000));
}

#[test]
fn rows_are_read_as_they_were_written() -> Result<(), serde_json::Error> {
    let mut held = phone();
    record(&mut held, 1..3);
    pull(&mut held, &others(2), 200);
    for waiting in held.waiting.values() {
        let text = serde_json::to_string(waiting)?;
        assert_eq!(&serde_json::from_str::<Waiting>(&text)?, waiting);
    }
    let text = serde_json::to_string(&held.phone)?;
    assert_eq!(serde_json::from_str::<Phone>(&text)?, held.phone);
    let kept: BTreeMap<ChunkKey, Vec<Record>> = held.chunks.clone();
    for (key, records) in kept {
        let chunk = Chunk { key, records };
        assert_eq!(serde_json::from_str::<Chunk>(&serde_json::to_string(&chunk)?)?, chunk);
    }
    Ok(())
}
