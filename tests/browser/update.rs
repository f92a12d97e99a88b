//! A newer build while entries wait: it is fetched whole or not at all, takes over when a person says so or
//! at the next start, never mixes its files with the old ones, and loses no entry.
use super::journeys::submit_only;
use super::newer::{Front, Now};
use anyhow::{Result, ensure};
use browser_support::{Lens, Look, Phone, Server, Studio};
use serde_json::Value;

const NEWER: Now = Now::Newer { whole: true, exchanges: true };
/// It can be fetched, and takes no entries yet.
const NEWER_AND_BUSY: Now = Now::Newer { whole: true, exchanges: false };

/// The server itself, and a phone that has visited it once through its front.
async fn studio() -> Result<(Server, Front, Phone)> {
    let server = Server::start(Studio::Demo)?;
    let front = Front::before(&server.origin)?;
    let phone = Phone::before(server.seen_at(&front.origin)?, Look::PHONE, &Lens::Absent).await?;
    phone.open("/").await?;
    phone.visited().await?;
    Ok((server, front, phone))
}

/// Records without the server.
async fn record(phone: &Phone, n_entries: usize) -> Result<()> {
    for n in 1..=n_entries {
        phone.open(&format!("/shelf/F0{n}/note")).await?;
        phone.fill("Note", &format!("before the change {n}")).await?;
        submit_only(phone).await?;
        phone.badge(&format!("On this phone: {n} waiting")).await?;
    }
    Ok(())
}

/// The network is back: the phone looks for entries and for a newer build.
async fn network_is_back(phone: &Phone) -> Result<()> {
    phone.client().execute("window.dispatchEvent(new Event('online'))", vec![]).await?;
    Ok(())
}

/// The files of the bundle that the open page has loaded are all of one build.
async fn runs_on(phone: &Phone, newer: bool) -> Result<()> {
    let script = "return performance.getEntriesByType('resource').map(one => new URL(one.name).pathname)
        .filter(path => path.startsWith('/assets/'))";
    let files = phone.client().execute(script, vec![]).await?;
    let files: Vec<&str> = files.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    let mixed = files.iter().any(|path| path.starts_with("/assets/newer-") != newer);
    ensure!(
        files.len() >= 3 && !mixed,
        "a page of the {} build: {files:?}",
        if newer { "newer" } else { "old" }
    );
    Ok(())
}

/// Each cache holds one build's files and a document, nothing of another's.
async fn kept(phone: &Phone, builds: &[bool]) -> Result<()> {
    let kept = phone.kept().await?;
    let caches = kept["kept"].as_object().cloned().unwrap_or_default();
    let mut found = Vec::new();
    for (name, files) in &caches {
        let newer = name.contains("newer-");
        let files: Vec<&str> = files.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        let assets: Vec<&&str> = files.iter().filter(|path| path.starts_with("/assets/")).collect();
        ensure!(assets.len() == 4 && files.contains(&"/shell"), "{name} is not whole: {files:?}");
        ensure!(
            assets.iter().all(|path| path.starts_with("/assets/newer-") == newer),
            "{name} is mixed: {files:?}"
        );
        found.push(newer);
    }
    found.sort_unstable();
    ensure!(found == builds, "kept are {:?}", caches.keys());
    Ok(())
}

#[tokio::test]
async fn a_newer_version_waits_for_a_tap_and_loses_no_entry() -> Result<()> {
    let (_server, front, phone) = studio().await?;
    let before = phone.feed().await?.len();
    front.is(Now::Gone);
    record(&phone, 3).await?;
    phone.was_alone().await?;
    front.is(NEWER_AND_BUSY);
    network_is_back(&phone).await?;
    phone.sees("A newer Tripoise is ready.").await?;
    phone.badge("On this phone: 3 waiting").await?;
    runs_on(&phone, false).await?;
    kept(&phone, &[false, true]).await?;
    phone.was_alone().await?;
    phone.journey_end().await?;
    // Not tapped, and the server gone again: the old build, whole.
    front.is(Now::Gone);
    phone.open("/shelf/F02").await?;
    phone.sees("before the change 2").await?;
    runs_on(&phone, false).await?;
    phone.was_alone().await?;
    front.is(NEWER);
    phone.sees("A newer Tripoise is ready.").await?;
    phone.submit("Use it").await?;
    runs_on(&phone, true).await?;
    kept(&phone, &[true]).await?;
    phone.badge("On the server").await?;
    let feed = phone.feed().await?;
    let noted =
        |n: usize| feed.iter().filter(|one| one["body"]["text"] == format!("before the change {n}")).count();
    ensure!(feed.len() == before + 3 && (1..=3).all(|n| noted(n) == 1), "{} became {}", before, feed.len());
    front.is(Now::Gone);
    phone.open("/shelf/F03").await?;
    phone.sees("before the change 3").await?;
    runs_on(&phone, true).await?;
    phone.was_alone().await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_newer_version_takes_over_at_the_next_start() -> Result<()> {
    let (_server, front, mut phone) = studio().await?;
    front.is(Now::Gone);
    record(&phone, 2).await?;
    front.is(NEWER_AND_BUSY);
    network_is_back(&phone).await?;
    phone.sees("A newer Tripoise is ready.").await?;
    front.is(Now::Gone);
    phone.pull_the_battery().await?;
    // The old build may still show the first page; the change comes when no page is open.
    phone.open("/shelf/F01").await?;
    phone.sees("before the change 1").await?;
    phone
        .until("the newer build has taken over", async || {
            phone.open("/shelf/F01").await?;
            Ok(kept(&phone, &[true]).await.is_ok())
        })
        .await?;
    runs_on(&phone, true).await?;
    phone.badge("On this phone: 2 waiting").await?;
    phone.was_alone().await?;
    phone.journey_end().await
}

#[tokio::test]
async fn half_of_a_newer_version_is_not_kept() -> Result<()> {
    let (_server, front, phone) = studio().await?;
    front.is(Now::Gone);
    record(&phone, 1).await?;
    front.is(Now::Newer { whole: false, exchanges: false });
    let script = "const done = arguments[arguments.length - 1];
        (async () => {
            const found = await navigator.serviceWorker.getRegistration();
            const next = new Promise(seen => found.addEventListener('updatefound', () => seen(found.installing)));
            await found.update().catch(() => {});
            const worker = await next;
            while (worker.state !== 'redundant' && worker.state !== 'installed')
                await new Promise(changed => worker.addEventListener('statechange', changed, { once: true }));
            return worker.state;
        })().then(done, problem => done(String(problem)))";
    let state = phone.client().execute_async(script, vec![]).await?;
    ensure!(state == "redundant", "half a build was {state}");
    kept(&phone, &[false]).await?;
    front.is(Now::Gone);
    phone.open("/shelf/F01").await?;
    phone.sees("before the change 1").await?;
    runs_on(&phone, false).await?;
    phone.take_console_errors().await?;
    phone.journey_end().await
}
