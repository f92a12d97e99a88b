//! `POST /api/v1/events`: what is taken, what is answered, and that it is there afterwards.
use crate::harness::{Device, Done, Server, id, now_ms};
use serde_json::{Value, json};

#[test]
fn what_is_acknowledged_is_there_after_a_restart() -> Done {
    let folder = tempfile::tempdir()?;
    let mut server = Server::start_on(folder.path())?;
    let events = Device::new(1).events(3);
    let answer = server.post(&json!(events))?;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.statuses(), ["stored"; 3]);
    let seqs: Vec<&Value> = (0..3).map(|at| &answer.body["answers"][at]["seq"]).collect();
    assert_eq!(seqs, [1, 2, 3]);
    assert_eq!(answer.body["last_seq"], 3);
    let epoch = answer.body["epoch"].clone();
    server.signal("TERM")?;
    let server = Server::start_on(folder.path())?;
    let feed = server.get("/api/v1/events")?;
    assert_eq!(feed.body["epoch"], epoch);
    for (at, event) in events.iter().enumerate() {
        assert_eq!(&feed.body["events"][at]["event"], event, "exactly as it was sent");
    }
    Ok(())
}

#[test]
fn sending_again_is_harmless_and_a_contradiction_is_kept_beside() -> Done {
    let server = Server::start()?;
    let event = Device::new(1).event();
    let mut other = event.clone();
    other["body"]["value"] = json!(700_000);
    let answer = server.post(&json!([event, event, other]))?;
    assert_eq!(answer.statuses(), ["stored", "already_had", "conflict"]);
    let answer = server.post(&json!([event, other]))?;
    assert_eq!(answer.statuses(), ["already_had", "conflict"]);
    assert_eq!(answer.body["answers"][1]["seq"], 1, "it names the one that stays");
    let feed = server.get("/api/v1/events")?;
    assert_eq!(feed.body["events"].as_array().map(Vec::len), Some(1));
    assert_eq!(feed.body["events"][0]["event"], event);
    Ok(())
}

#[test]
fn one_bad_event_does_not_hold_up_the_others() -> Done {
    let server = Server::start()?;
    let mut device = Device::new(1);
    let (good, mut bent, mut last) = (device.event(), device.event(), device.event());
    bent["body"]["value"] = json!("wide");
    last["body"]["value"] = json!(650_000);
    let answer = server.post(&json!([good, bent, { "id": "not one" }, 5, last]))?;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.statuses(), ["stored", "refused", "refused", "refused", "stored"]);
    let answers = &answer.body["answers"];
    assert_eq!(answers[1]["id"], bent["id"]);
    assert_eq!(answers[2]["id"], "not one");
    assert_eq!(answers[3]["id"], Value::Null);
    for at in 1..4 {
        let cause = answers[at]["problems"][0]["cause"].as_str().unwrap_or_default();
        assert!(!cause.is_empty(), "{answers}");
    }
    assert_eq!(server.all_ids()?, [id(&good), id(&last)]);
    Ok(())
}

#[test]
fn one_form_of_several_entries_is_stored_whole_or_not_at_all() -> Done {
    let server = Server::start()?;
    let json_body = [("content-type", "application/json")];
    let send =
        |events: &Value| server.post_to("/api/v1/events?all_or_none=true", &events.to_string(), &json_body);
    let mut device = Device::new(1);
    let (first, mut bent, last) = (device.event(), device.event(), device.event());
    let good = bent.clone();
    bent["body"]["value"] = json!("wide");
    // Refused by the look at its body, and refused for not being a record at all.
    for spoiler in [bent, json!(5)] {
        let answer = send(&json!([first, spoiler, last]))?;
        assert_eq!(answer.statuses(), ["refused"; 3]);
        let told = |at: usize| answer.body["answers"][at]["problems"].as_array().map_or(0, Vec::len);
        assert_eq!([told(0), told(1), told(2)], [0, 1, 0], "only the culprit has a problem");
    }
    assert!(server.all_ids()?.is_empty(), "nothing is stored");
    let whole = json!([first, good, last]);
    assert_eq!(send(&whole)?.statuses(), ["stored"; 3]);
    assert_eq!(send(&whole)?.statuses(), ["already_had"; 3], "a lost answer may be asked for again");
    assert_eq!(server.all_ids()?, [id(&first), id(&good), id(&last)]);
    let misspelt = server.post_to("/api/v1/events?all_or_nothing=true", &whole.to_string(), &json_body)?;
    assert_eq!(misspelt.status, 400);
    Ok(())
}

/// Changes one field of a good event and expects a refusal that names it.
fn check_refused(server: &Server, field: &str, value: Value, named: &str) -> Done {
    let mut event = Device::new(9).event();
    event[field] = value.clone();
    let answer = server.post(&json!([event]))?;
    assert_eq!(answer.statuses(), ["refused"], "{field} = {value}");
    let problem = answer.body["answers"][0]["problems"][0].to_string();
    assert!(problem.contains(named), "{field} = {value}: {problem}");
    Ok(())
}

#[test]
fn a_refusal_names_what_is_wrong() -> Done {
    let server = Server::start()?;
    check_refused(&server, "device_seq", json!(0), "device_seq")?;
    check_refused(&server, "device_seq", json!(-1), "-1")?;
    check_refused(&server, "hlc", json!("123"), "16 hexadecimal digits")?;
    check_refused(&server, "hlc", json!(5), "5")?;
    check_refused(&server, "kind", json!(""), "kind")?;
    check_refused(&server, "kind", json!("Shelf Measured"), "kind")?;
    check_refused(&server, "body", json!([]), "body")?;
    check_refused(&server, "body", Value::Null, "body")?;
    check_refused(&server, "body", json!({ "key": "no_such_setting" }), "no_such_setting")?;
    check_refused(&server, "observed_at", json!("yesterday"), "\"field\":\"observed_at\"")?;
    check_refused(&server, "corrects", json!("00000000-0000-7000-8000-000000000000"), "corrects")?;
    check_refused(&server, "id", json!("7"), "\"field\":\"id\"")?;
    check_refused(&server, "schema", json!("one"), "\"field\":\"schema\"")?;
    check_refused(&server, "body", json!({ "text": "x".repeat(31_000) }), "30000")?;
    assert_eq!(server.get("/api/v1/events")?.body["last_seq"], 0);
    Ok(())
}

#[test]
fn a_kind_from_a_newer_build_is_kept() -> Done {
    let server = Server::start()?;
    let mut event = Device::new(1).event();
    event["kind"] = json!("shelf_sung_to");
    event["body"] = json!({ "song": "loud", "share": 0.1, "big": 18_446_744_073_709_551_615_u64 });
    assert_eq!(server.post(&json!([event]))?.statuses(), ["stored"]);
    assert_eq!(server.post(&json!([event]))?.statuses(), ["already_had"]);
    assert_eq!(server.get("/api/v1/events")?.body["events"][0]["event"], event);
    Ok(())
}

#[test]
fn a_request_that_is_not_understood_is_told_why_and_the_epoch() -> Done {
    let server = Server::start()?;
    let epoch = server.get("/api/v1/events")?.body["epoch"].clone();
    let json_type: &[(&str, &str)] = &[("content-type", "application/json; charset=utf-8")];
    let many = json!(Device::new(1).events(201)).to_string();
    let cases = [
        ("", json_type, 400, "not a JSON array"),
        ("{}", json_type, 400, "not a JSON array"),
        ("[1,", json_type, 400, "not a JSON array"),
        ("[]", &[("content-type", "text/plain")], 415, "application/json"),
        ("[]", &[], 415, "application/json"),
        (many.as_str(), json_type, 413, "at most 200"),
    ];
    for (body, headers, status, word) in cases {
        let answer = server.post_with(body, headers)?;
        assert_eq!(answer.status, status, "{answer:?}");
        assert_eq!(answer.body["epoch"], epoch, "{answer:?}");
        assert!(answer.body["error"].to_string().contains(word), "{answer:?}");
    }
    let empty = server.post_with("[]", json_type)?;
    assert_eq!((empty.status, &empty.body["last_seq"]), (200, &json!(0)));
    Ok(())
}

#[test]
fn a_body_without_end_is_cut_off_and_the_server_goes_on() -> Done {
    let server = Server::start()?;
    let huge = format!("[\"{}\"]", "x".repeat(20_000_000));
    // The server answers without reading it all, so the connection may break before the answer is seen.
    if let Ok(answer) = server.post_with(&huge, &[("content-type", "application/json")]) {
        assert_eq!(answer.status, 413, "{answer:?}");
    }
    assert_eq!(server.get("/api/v1/events")?.body["last_seq"], 0);
    Ok(())
}

#[test]
fn two_hundred_of_the_longest_fit_in_one_request() -> Done {
    let server = Server::start()?;
    let mut events = Device::new(1).events(200);
    for event in &mut events {
        event["body"]["reason"] = json!("x".repeat(29_000));
    }
    let answer = server.post(&json!(events))?;
    assert_eq!(answer.statuses(), ["stored"; 200]);
    assert_eq!(server.all_ids()?.len(), 200);
    Ok(())
}

#[test]
fn a_clock_a_day_ahead_is_set_back_and_both_are_kept() -> Done {
    let server = Server::start()?;
    let mut device = Device::new(1);
    let (mut near, mut far) = (device.event(), device.event());
    let in_hours = |hours: u64| format!("{:016x}", (now_ms() + hours * 3_600_000) << 16);
    near["hlc"] = json!(in_hours(23));
    far["hlc"] = json!(in_hours(25));
    let before = now_ms();
    let answer = server.post(&json!([near, far]))?;
    assert_eq!(answer.statuses(), ["stored", "stored"]);
    assert_eq!(answer.body["answers"][0].get("hlc"), None);
    let kept = answer.body["answers"][1]["hlc"].as_str().ok_or("the device is not told")?;
    let kept_ms = u64::from_str_radix(kept, 16)? >> 16;
    assert!((before..=now_ms()).contains(&kept_ms), "{kept_ms}");
    let feed = server.get("/api/v1/events?since=1")?;
    let event = &feed.body["events"][0]["event"];
    assert_eq!((&event["hlc"], &event["hlc_claimed"]), (&json!(kept), &far["hlc"]));
    assert_eq!(server.post(&json!([far, event]))?.statuses(), ["already_had", "already_had"]);
    Ok(())
}

#[test]
fn events_of_one_request_may_build_on_each_other() -> Done {
    let server = Server::start()?;
    let mut device = Device::new(1);
    let (first, mut second) = (device.event(), device.event());
    second["corrects"] = first["id"].clone();
    assert_eq!(server.post(&json!([first, second]))?.statuses(), ["stored", "stored"]);
    Ok(())
}
