//! `kill -9` while writing and while opening: everything acknowledged is there afterwards, once.
//!
//! `TRIPOISE_CRASH_ROUNDS` sets how many kills of each kind; 5 unless set.
use crate::harness::{Done, Server, run_on, serve_command};
use crate::stopping::write_until_refused;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Stdio;
use std::thread;
use std::time::Duration;

fn n_rounds() -> u32 {
    std::env::var("TRIPOISE_CRASH_ROUNDS").ok().and_then(|text| text.parse().ok()).unwrap_or(5)
}

/// Spreads the kills: steps of the golden ratio visit a range evenly in any number of rounds.
fn spread(round: u32, from_ms: u64, to_ms: u64) -> Duration {
    let share = (f64::from(round) * 0.618_033_988_749_895).fract();
    let range_us = u32::try_from((to_ms - from_ms) * 1_000).unwrap_or(u32::MAX);
    Duration::from_millis(from_ms) + Duration::from_micros((f64::from(range_us) * share) as u64)
}

/// Lets four devices write for a while, kills the server, and returns what was acknowledged.
fn write_and_kill(folder: &Path, round: u32) -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let mut server = Server::start_on(folder)?;
    let writers: Vec<_> = (0..4)
        .map(|number| {
            let url = server.url.clone();
            thread::spawn(move || write_until_refused(&url, round * 10 + number + 1))
        })
        .collect();
    thread::sleep(spread(round, 20, 400));
    server.kill()?;
    let mut acknowledged = Vec::new();
    for writer in writers {
        acknowledged.extend(writer.join().map_err(|_| "a writer panicked")?);
    }
    Ok(acknowledged)
}

/// Everything acknowledged is there, nothing twice, and the store checks out.
fn check_all_there(folder: &Path, acknowledged: &BTreeSet<String>, when: &str) -> Done {
    let mut server = Server::start_on(folder)?;
    let ids = server.all_ids()?;
    let there: BTreeSet<String> = ids.iter().cloned().collect();
    assert_eq!(there.len(), ids.len(), "{when}: an event is there twice");
    let lost = acknowledged.difference(&there).count();
    assert_eq!(lost, 0, "{when}: {lost} of {} acknowledged events are gone", acknowledged.len());
    assert!(server.signal("TERM")?.success());
    let verified = run_on(folder, &["verify"])?;
    assert!(verified.status.success(), "{when}: {}", String::from_utf8_lossy(&verified.stdout));
    Ok(())
}

#[test]
fn killed_while_writing_nothing_acknowledged_is_lost() -> Done {
    let folder = tempfile::tempdir()?;
    let mut acknowledged = BTreeSet::new();
    for round in 1..=n_rounds() {
        acknowledged.extend(write_and_kill(folder.path(), round)?);
        check_all_there(folder.path(), &acknowledged, &format!("round {round}"))?;
    }
    assert!(!acknowledged.is_empty(), "no round got to write anything");
    println!("{} rounds, {} events acknowledged, none lost", n_rounds(), acknowledged.len());
    Ok(())
}

#[test]
fn killed_while_opening_it_opens_the_next_time() -> Done {
    let folder = tempfile::tempdir()?;
    let mut acknowledged = BTreeSet::new();
    for round in 1..=n_rounds() {
        // Killed while writing first, so that opening has something to catch up on.
        acknowledged.extend(write_and_kill(folder.path(), 1_000 + round)?);
        for attempt in 0..6 {
            let mut child =
                serve_command(folder.path()).stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
            thread::sleep(spread(round * 6 + attempt, 0, 60));
            child.kill()?;
            child.wait()?;
        }
        check_all_there(folder.path(), &acknowledged, &format!("round {round}"))?;
    }
    Ok(())
}
