//! Ctrl-C and SIGTERM finish what is being written; a full disk refuses and goes on once there is room.
use crate::harness::{Device, Done, Server, binary, id, run_on};
use serde_json::json;
use std::collections::BTreeSet;
use std::process::Command;
use std::thread;
use std::time::Duration;

/// Stops a server by this signal while four devices write, and looks for everything acknowledged.
fn check_stop(signal: &str) -> Done {
    let folder = tempfile::tempdir()?;
    let mut server = Server::start_on(folder.path())?;
    let url = server.url.clone();
    let writers: Vec<_> = (1..=4)
        .map(|number| {
            thread::spawn({
                let url = url.clone();
                move || write_until_refused(&url, number)
            })
        })
        .collect();
    thread::sleep(Duration::from_millis(300));
    let status = server.signal(signal)?;
    assert!(status.success(), "{signal}: {status}: {}", server.log()?);
    let mut acknowledged = BTreeSet::new();
    for writer in writers {
        acknowledged.extend(writer.join().map_err(|_| "a writer panicked")?);
    }
    assert!(acknowledged.len() > 20, "only {} events were written", acknowledged.len());
    let verified = run_on(folder.path(), &["verify"])?;
    assert!(verified.status.success(), "{}", String::from_utf8_lossy(&verified.stdout));
    let server = Server::start_on(folder.path())?;
    let log = server.log()?;
    assert!(!log.contains("cut off") && !log.contains("built again"), "a clean stop heals nothing: {log}");
    let there: BTreeSet<String> = server.all_ids()?.into_iter().collect();
    let lost: Vec<&String> = acknowledged.difference(&there).collect();
    assert!(lost.is_empty(), "{signal}: {} acknowledged events are gone", lost.len());
    Ok(())
}

/// Writes one event after the other; returns the ids that were acknowledged.
pub fn write_until_refused(url: &str, number: u32) -> Vec<String> {
    let agent = ureq::agent();
    let (mut device, mut acknowledged) = (Device::new(number), Vec::new());
    loop {
        let events = device.events(3);
        let sent = agent
            .post(format!("{url}/api/v1/events"))
            .header("content-type", "application/json")
            .send(json!(events).to_string());
        // Only an answer that arrived whole counts.
        match sent.and_then(|mut answer| answer.body_mut().read_to_string()) {
            Ok(answer) if answer.matches("\"stored\"").count() == 3 => {
                acknowledged.extend(events.iter().map(id))
            }
            _ => return acknowledged,
        }
    }
}

#[test]
fn sigterm_finishes_what_is_being_written() -> Done {
    check_stop("TERM")
}

#[test]
fn ctrl_c_finishes_what_is_being_written() -> Done {
    check_stop("INT")
}

#[test]
fn a_full_disk_refuses_cleanly_and_goes_on_once_there_is_room() -> Done {
    let folder = tempfile::tempdir()?;
    // A limit on the size of files stands in for a full disk; its signal is ignored, so that the write
    // fails as it would there. 1,200 blocks of 512 bytes let the index open and the journal begin.
    let mut command = Command::new("sh");
    command
        .args([
            "-c",
            "trap '' XFSZ; ulimit -S -f 1200; exec \"$0\" serve --listen 127.0.0.1:0 --store \"$1\"",
        ])
        .arg(binary())
        .arg(folder.path());
    let mut server = Server::spawn(command)?;
    let mut device = Device::new(1);
    let mut acknowledged = Vec::new();
    let refused = loop {
        let mut events = device.events(20);
        events.iter_mut().for_each(|event| event["body"]["reason"] = json!("x".repeat(2_000)));
        let answer = server.post(&json!(events))?;
        if answer.status != 200 {
            break (answer, events);
        }
        assert_eq!(answer.statuses(), ["stored"; 20]);
        acknowledged.extend(events.iter().map(id));
        assert!(acknowledged.len() < 2_000, "the limit is not in force");
    };
    let (answer, events) = refused;
    // Whichever met the limit first: the journal (507) or the index beside it (503).
    assert!([503, 507].contains(&answer.status), "{answer:?}");
    assert!(answer.body["error"].to_string().contains("make room"), "{answer:?}");
    assert!(answer.body["epoch"].is_string());
    // A full journal refuses again. An index out of use (503) is built again from the journal before the
    // next batch; where that goes well, the batch is taken, whole and once.
    let again = server.post(&json!(events))?;
    let later = match (answer.status, again.status) {
        (503, 200) => {
            assert_eq!(again.statuses(), ["stored"; 20]);
            "already_had"
        }
        (first, second) => {
            assert_eq!(second, first, "again, and still standing");
            "stored"
        }
    };
    assert_eq!(server.get("/")?.status, 200, "pages are still served");
    let process = server.process().to_string();
    let lifted = Command::new("prlimit").args(["--pid", &process, "--fsize=unlimited"]).status()?;
    assert!(lifted.success());
    assert_eq!(server.post(&json!(events))?.statuses(), [later; 20]);
    acknowledged.extend(events.iter().map(id));
    assert_eq!(server.all_ids()?, acknowledged);
    assert!(server.signal("TERM")?.success());
    assert_eq!(Server::start_on(folder.path())?.all_ids()?, acknowledged);
    Ok(())
}
