//! Phones and a server under a hostile network, on many seeded schedules.
//!
//! The phones run `tripoise_core::sync`; the server runs the real writer, ledger and feed on a store in
//! memory. Messages are lost, doubled and reordered; tabs and phones stop at any point, keeping only what
//! their stores hold; clocks are days off; the server is set back to older backups. At the end everything is
//! delivered until nothing changes, and then every side must hold the same and nothing may be missing.
//!
//! A failure prints its seed; `TRIPOISE_SYNC_SEED=17 cargo test -p tripoise_tests --test sync` replays it
//! with its story.
//!
//! What this does not do: touch a browser, a disk or a socket. Start reading at [`studio::Studio`].
mod chance;
mod check;
mod phone;
mod server;
mod studio;

use studio::Studio;

/// How many schedules each shard runs; four shards make 10,000.
const PER_SHARD: u64 = 2_500;

/// Runs one schedule; on a failure says its seed, and when replaying tells the story.
fn run(seed: u64, tell: bool) -> Result<(), String> {
    let mut studio = Studio::new(seed, tell);
    let outcome = studio.live().and_then(|()| studio.settle()).and_then(|()| check::all(&studio));
    outcome.map_err(|what| format!("seed {seed}: {what}; replay it with TRIPOISE_SYNC_SEED={seed}"))
}

fn shard(number: u64) {
    if let Ok(seed) = std::env::var("TRIPOISE_SYNC_SEED") {
        let seed: u64 = seed.parse().unwrap_or_else(|_| panic!("TRIPOISE_SYNC_SEED is a whole number"));
        if number == 0 {
            run(seed, true).unwrap_or_else(|what| panic!("{what}"));
        }
        return;
    }
    let seeds = (number * PER_SHARD + 1)..=((number + 1) * PER_SHARD);
    let failures: Vec<String> = seeds.filter_map(|seed| run(seed, false).err()).collect();
    let shown: Vec<&str> = failures.iter().take(5).map(String::as_str).collect();
    assert!(failures.is_empty(), "{} of {PER_SHARD} schedules failed:\n{}", failures.len(), shown.join("\n"));
}

#[test]
fn nothing_is_lost_or_doubled_and_all_sides_are_equal_1() {
    shard(0);
}

#[test]
fn nothing_is_lost_or_doubled_and_all_sides_are_equal_2() {
    shard(1);
}

#[test]
fn nothing_is_lost_or_doubled_and_all_sides_are_equal_3() {
    shard(2);
}

#[test]
fn nothing_is_lost_or_doubled_and_all_sides_are_equal_4() {
    shard(3);
}

#[test]
fn the_schedules_reach_what_they_are_meant_to_reach() {
    let mut seen = studio::Tally::default();
    for seed in 1..=200 {
        let mut studio = Studio::new(seed, false);
        let lived = studio.live().and_then(|()| studio.settle());
        lived.unwrap_or_else(|what| panic!("seed {seed}: {what}"));
        seen.add(&studio.tally);
    }
    println!("{seen:?}");
    let studio::Tally {
        lost,
        doubled,
        overtaken,
        restores,
        crashes,
        refused,
        set_back,
        stale,
        mended,
        forms,
    } = seen;
    for (what, count) in [
        ("messages lost", lost),
        ("messages doubled", doubled),
        ("messages overtaken", overtaken),
        ("restores", restores),
        ("crashes", crashes),
        ("entries refused", refused),
        ("clocks set back", set_back),
        ("answers of an earlier numbering", stale),
        ("others' entries offered again", mended),
        ("forms of several entries", forms),
    ] {
        // House choice: 25 in 200 are 1,250 in 10,000.
        assert!(count >= 25, "only {count} {what} in 200 schedules");
    }
}
