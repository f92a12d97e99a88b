//! No signal: one visit is enough, everything opens and is recorded, nothing is lost, and all of it reaches
//! the server once.
use super::journeys::submit_only;
use anyhow::{Context as _, Result, ensure};
use browser_support::{Phone, Studio};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::time::Instant;

/// What the page shows below its top bar.
async fn main_text(phone: &Phone) -> Result<String> {
    let text = phone.client().execute("return document.querySelector('main').innerText", vec![]).await?;
    Ok(text.as_str().unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" "))
}

/// A phone that has seen the home page of the demo once, and nothing else of it.
async fn visited_once() -> Result<Phone> {
    let phone = Phone::at(Studio::Demo).await?;
    phone.open("/").await?;
    phone.visited().await?;
    Ok(phone)
}

#[tokio::test]
async fn it_can_be_installed() -> Result<()> {
    let phone = visited_once().await?;
    let found = phone.devtools("Page.getInstallabilityErrors", json!({})).await?;
    ensure!(found["installabilityErrors"] == json!([]), "it cannot be installed: {found}");
    let found = phone.devtools("Page.getAppManifest", json!({})).await?;
    ensure!(found["errors"] == json!([]), "the manifest has faults: {found}");
    let manifest: Value = serde_json::from_str(found["data"].as_str().context("there is no manifest")?)?;
    let icons = manifest["icons"].as_array().context("there are no icons")?;
    for purpose in ["any", "maskable"] {
        for size in ["192x192", "512x512"] {
            let there = icons.iter().any(|icon| icon["purpose"] == purpose && icon["sizes"] == size);
            ensure!(there, "no icon {size} for {purpose}: {icons:?}");
        }
    }
    // The bitmaps show what the drawing shows: else the drawing was changed and they were not made anew.
    let script = "const [size, done] = arguments;
        const pixels = async path => {
            const image = new Image(); image.src = path; await image.decode();
            if (!path.endsWith('.svg') && image.naturalWidth !== size) return [];
            const canvas = document.createElement('canvas'); canvas.width = canvas.height = size;
            const pen = canvas.getContext('2d'); pen.drawImage(image, 0, 0, size, size);
            return [...pen.getImageData(0, 0, size, size).data];
        };
        Promise.all([pixels('/icon.svg'), pixels(`/icon-${size}.png`)]).then(([drawn, kept]) =>
            done(drawn.filter((shade, idx) => !(Math.abs(shade - kept[idx]) <= 48)).length), problem => done(String(problem)))";
    for size in [192, 512] {
        let n_differ = phone.client().execute_async(script, vec![json!(size)]).await?;
        // A few edges fall between pixels, and are blended one way or the other.
        ensure!(
            n_differ.as_u64().is_some_and(|n| n < 4 * 4 * size),
            "icon-{size}.png: {n_differ} values differ"
        );
    }
    let shortcuts = manifest["shortcuts"].as_array().context("there are no shortcuts")?;
    let urls: Vec<&str> = shortcuts.iter().filter_map(|one| one["url"].as_str()).collect();
    ensure!(urls == ["/scan", "/bench", "/plans"], "the shortcuts lead to {urls:?}");
    for url in urls {
        phone.open(url).await?;
        ensure!(!phone.shown().await?.contains("Nothing here"), "{url} leads nowhere");
    }
    phone.journey_end().await
}

#[tokio::test]
async fn after_one_visit_the_same_pages_open_without_the_server() -> Result<()> {
    let mut phone = visited_once().await?;
    let paths = [
        "/",
        "/rack",
        "/rack?show=shelves",
        "/shelf/F01",
        "/shelf/F02/measure",
        "/shelf/F03/bend",
        "/post/P01",
        "/post/P02/measure",
        "/posts",
        "/sets",
        "/sets/new",
        "/firings",
        "/firings/new",
        "/record",
        "/settings",
        "/labels",
        "/match",
        "/life",
        "/more",
        "/about",
        "/scan",
        "/find?code=F05",
        "/add/shelves",
    ];
    let other = phone.beside().await?;
    let mut online = Vec::new();
    for path in paths {
        other.open(path).await?;
        online.push(main_text(&other).await?);
    }
    phone.server.stop()?;
    for (path, online) in paths.iter().zip(online) {
        phone.open(path).await.with_context(|| format!("{path} without the server"))?;
        // The camera's own line comes a moment later.
        drop(phone.until("", async || Ok(main_text(&phone).await? == online)).await);
        let offline = main_text(&phone).await?;
        ensure!(offline == online, "{path}\nwith the server: {online}\nwithout: {offline}");
    }
    phone.was_alone().await?;
    phone.journey_end().await
}

/// Every page that some page links to, opened in the program by a tap on a link, the server gone. Addresses stay as
/// they are: after 200 changes in a row Chromium lets no more pass. Single entries are left out: they are many, and alike.
const WALK: &str = "history.pushState = () => {};
    const { seen, next, bad } = (window.walk ??= { seen: new Set(['/']), next: ['/'], bad: [] });
    for (const start = Date.now(); next.length && Date.now() - start < 8000;) {
        const path = next.pop(), link = document.createElement('a');
        link.href = path; document.body.append(link);
        const opened = !link.dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true }));
        const main = document.querySelector('main');
        if (!opened || main.innerText.length < 20 || main.innerText.includes('Nothing here'))
            { bad.push(`${path}: ${opened} ${document.title}`); continue; }
        for (const one of main.querySelectorAll('a[href]')) {
            const to = one.pathname + one.search;
            if (one.origin === location.origin && !one.hash && !seen.has(to) && !/^\\/(devices|set-up|pair|api|entry)/.test(to)
                && !/\\.\\w+$/.test(one.pathname)) { seen.add(to); next.push(to); }
        }
    }
    return { seen: [...seen], bad, left: next.length };";

#[tokio::test]
async fn every_page_of_every_piece_opens_without_the_server() -> Result<()> {
    let mut phone = visited_once().await?;
    phone.server.stop()?;
    phone.open("/").await?;
    let start = Instant::now();
    let found = loop {
        let found = phone.client().execute(WALK, vec![]).await?;
        if found["left"] == json!(0) {
            break found;
        }
    };
    let seen: BTreeSet<&str> =
        found["seen"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    println!(
        "{} pages without the server, {} ms each",
        seen.len(),
        start.elapsed().as_millis() as usize / seen.len()
    );
    ensure!(found["bad"] == json!([]), "of {} pages these did not open: {}", seen.len(), found["bad"]);
    for path in
        ["/shelf/F01", "/shelf/F39", "/shelf/F20/measure", "/post/P01", "/post/P149/measure", "/set/K01"]
    {
        ensure!(seen.contains(path), "nothing leads to {path}: {seen:?}");
    }
    phone.was_alone().await?;
    phone.journey_end().await
}

/// Ten entries on the pages of ten pieces.
async fn record_ten(phone: &Phone) -> Result<()> {
    for n in 1..=3 {
        phone.open(&format!("/shelf/F0{n}/note")).await?;
        phone.fill("Note", &format!("no signal {n}")).await?;
        submit_only(phone).await?;
        phone.sees("Recorded on this phone.").await?;
        phone.badge(&format!("On this phone: {n} waiting")).await?;
    }
    for n in 4..=6 {
        phone.open(&format!("/shelf/F0{n}/flipped")).await?;
        submit_only(phone).await?;
        phone.sees("turned over").await?;
    }
    for n in 1..=3 {
        phone.open(&format!("/post/P0{n}/note")).await?;
        phone.fill("Note", &format!("no signal {}", n + 6)).await?;
        submit_only(phone).await?;
        phone.sees("Recorded on this phone.").await?;
    }
    phone.open("/shelf/F07/tapped").await?;
    phone.tick("dull").await?;
    submit_only(phone).await?;
    phone.badge("On this phone: 10 waiting").await
}

#[tokio::test]
async fn ten_entries_outlive_the_battery_and_reach_the_server_once() -> Result<()> {
    let mut phone = visited_once().await?;
    let before = phone.feed().await?;
    phone.server.stop()?;
    record_ten(&phone).await?;
    phone.was_alone().await?;
    phone.pull_the_battery().await?;
    phone.open("/shelf/F02").await?;
    phone.sees("no signal 2").await?;
    phone.badge("On this phone: 10 waiting").await?;
    phone.open("/phone").await?;
    phone.sees("10 entries are on this phone").await?;
    phone.was_alone().await?;
    phone.journey_end().await?;
    phone.server.restart()?;
    phone.press("Exchange now").await?;
    phone.badge("On the server").await?;
    phone.sees("Nothing waits").await?;
    phone.sees("for each 1,000 entries").await?;
    println!("{}", phone.texts("p.small").await?.join(" "));
    let after = phone.feed().await?;
    ensure!(after.len() == before.len() + 10, "{} entries became {}", before.len(), after.len());
    let ids: BTreeSet<&str> = after.iter().filter_map(|one| one["id"].as_str()).collect();
    ensure!(ids.len() == after.len(), "an entry is there twice");
    let new: Vec<&Value> = after[before.len()..].iter().collect();
    let seqs: Vec<u64> = new.iter().filter_map(|one| one["device_seq"].as_u64()).collect();
    ensure!(seqs == (1..=10).collect::<Vec<u64>>(), "in the order recorded, none missing: {seqs:?}");
    // Another phone and the server's own page have them too.
    let other = phone.beside().await?;
    other.open("/shelf/F02").await?;
    other.sees("no signal 2").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_full_phone_says_so_and_what_was_typed_stays() -> Result<()> {
    let mut phone = visited_once().await?;
    let before = phone.feed().await?.len();
    // A browser that has just looked how much room there is does not look again for a while.
    phone.pull_the_battery().await?;
    // Less than what is there already: not one byte more.
    phone.limit_storage(Some(1)).await?;
    phone.open("/shelf/F01/note").await?;
    phone.fill("Note", "chipped at the back").await?;
    phone.press("Keep the note").await?;
    phone.sees("this phone's storage is full").await?;
    let typed = phone.field("Note").await?.prop("value").await?;
    ensure!(typed.as_deref() == Some("chipped at the back"), "what was typed is gone: {typed:?}");
    ensure!(phone.feed().await?.len() == before, "it was recorded after all");
    phone.journey_end().await?;
    phone.limit_storage(None).await?;
    submit_only(&phone).await?;
    phone.badge("On the server").await?;
    phone.open("/shelf/F01").await?;
    phone.sees("chipped at the back").await?;
    ensure!(phone.feed().await?.len() == before + 1, "it was recorded more than once");
    phone.journey_end().await
}
