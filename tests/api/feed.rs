//! `GET /api/v1/events`: the feed that other devices follow.
use crate::harness::{Device, Done, Server, id, run_on};
use serde_json::json;
use std::collections::BTreeSet;

#[test]
fn pages_are_dense_and_end() -> Done {
    let server = Server::start()?;
    let events = Device::new(1).events(450);
    for chunk in events.chunks(200) {
        server.post(&json!(chunk))?;
    }
    let first = server.get("/api/v1/events")?;
    assert_eq!(first.ids(0).len(), 200);
    assert_eq!((&first.body["next"], &first.body["more"]), (&json!(200), &json!(true)));
    let last = server.get("/api/v1/events?since=400&limit=100")?;
    assert_eq!(last.ids(400).len(), 50);
    assert_eq!((&last.body["next"], &last.body["more"]), (&json!(450), &json!(false)));
    let none = server.get("/api/v1/events?since=450")?;
    assert_eq!((none.ids(450).len(), &none.body["next"]), (0, &json!(450)));
    let few = server.get("/api/v1/events?since=3&limit=2")?;
    assert_eq!(few.ids(3), [id(&events[3]), id(&events[4])]);
    assert_eq!(server.all_ids()?, events.iter().map(id).collect::<Vec<_>>());
    Ok(())
}

#[test]
fn another_epoch_or_a_number_beyond_the_end_starts_from_nothing() -> Done {
    let server = Server::start()?;
    let events = Device::new(1).events(3);
    server.post(&json!(events))?;
    let epoch = server.get("/api/v1/events")?.body["epoch"].as_str().map(str::to_owned).ok_or("no epoch")?;
    let other = "00000000-0000-4000-8000-000000000000";
    let (second, third) = (id(&events[1]), id(&events[2]));
    for (query, reset, n_events) in [
        (format!("since=2&epoch={epoch}"), false, 1),
        (format!("since=2&epoch={other}"), true, 3),
        (format!("since=0&epoch={other}"), true, 3),
        (format!("since=4&epoch={epoch}"), true, 3),
        ("since=18446744073709551615".to_owned(), true, 3),
        (format!("since=2&last={second}"), false, 1),
        (format!("since=2&last={third}"), true, 3),
        (format!("since=0&last={third}"), false, 3),
    ] {
        let feed = server.get(&format!("/api/v1/events?{query}"))?;
        let seen = (feed.body["reset"] == true, feed.body["events"].as_array().map_or(0, Vec::len));
        assert_eq!(seen, (reset, n_events), "{query}");
        assert_eq!(feed.body["epoch"], epoch);
    }
    Ok(())
}

#[test]
fn a_query_that_is_not_understood_is_told_why_and_the_epoch() -> Done {
    let server = Server::start()?;
    for query in ["since=-1", "since=two", "epoch=mine", "limit=x", "since=1&since=2"] {
        let answer = server.get(&format!("/api/v1/events?{query}"))?;
        assert_eq!(answer.status, 400, "{query}");
        assert!(answer.body["epoch"].is_string(), "{query}: {answer:?}");
        assert!(answer.body["error"].to_string().contains("since=NUMBER"), "{query}: {answer:?}");
    }
    assert_eq!(server.get("/api/v1/events?limit=0")?.status, 200);
    Ok(())
}

#[test]
fn two_devices_that_take_turns_end_up_with_the_same() -> Done {
    let server = Server::start()?;
    let (mut one, mut two) = (Device::new(1), Device::new(2));
    let (mut of_one, mut of_two) = (BTreeSet::new(), BTreeSet::new());
    let (mut seen_one, mut seen_two) = (0, 0);
    for round in 1..6_usize {
        server.post(&json!(one.events(round)))?;
        follow(&server, &mut seen_two, &mut of_two)?;
        server.post(&json!(two.events(7 - round)))?;
        follow(&server, &mut seen_one, &mut of_one)?;
    }
    follow(&server, &mut seen_two, &mut of_two)?;
    assert_eq!(of_one, of_two);
    assert_eq!(of_one.len(), 15 + 20);
    Ok(())
}

fn follow(server: &Server, seen: &mut u64, known: &mut BTreeSet<String>) -> Done {
    let feed = server.get(&format!("/api/v1/events?since={seen}"))?;
    for id in feed.ids(*seen) {
        assert!(known.insert(id), "an event came twice");
    }
    *seen = feed.body["next"].as_u64().ok_or("no next")?;
    Ok(())
}

#[test]
fn a_rebuilt_store_has_a_new_epoch_and_keeps_its_events() -> Done {
    let folder = tempfile::tempdir()?;
    let mut server = Server::start_on(folder.path())?;
    let events = Device::new(1).events(5);
    let before = server.post(&json!(events))?.body["epoch"].clone();
    server.signal("TERM")?;
    assert!(run_on(folder.path(), &["rebuild"])?.status.success());
    let server = Server::start_on(folder.path())?;
    let feed = server.get(&format!("/api/v1/events?since=5&epoch={}", before.as_str().unwrap_or("")))?;
    assert_ne!(feed.body["epoch"], before);
    assert_eq!(feed.body["reset"], true);
    assert_eq!(feed.ids(0), events.iter().map(id).collect::<Vec<_>>());
    Ok(())
}
