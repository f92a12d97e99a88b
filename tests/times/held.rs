//! A phone that holds 50,000 events, out of the server's reach: from a label read to its card, and from a tap to "on this
//! phone"; and what they take of its storage.
use super::film::{film, picture};
use super::studio::{N_EVENTS, events, shelf_code, shelf_label};
use super::{SLOWER, number, slow_down, told};
use anyhow::{Context as _, Result, ensure};
use browser_support::{Lens, Look, Phone, Server};
use serde_json::{Map, Value, json};
use std::time::{Duration, Instant};

/// House choice: runs of each, odd, so that there is a middle one.
const RUNS: usize = 21;
/// The shelf whose label is before the camera.
const SCANNED: usize = 6;
/// House choice: how long a phone may take over its first exchange of everything.
const FIRST_EXCHANGE: Duration = Duration::from_secs(300);

/// Notes when the decoder hands over the text of a label: at its last export that is called for it. The page's own
/// program is not changed for that.
const WATCH_DECODER: &str = "(() => {
    const real = WebAssembly.instantiateStreaming;
    WebAssembly.instantiateStreaming = async (...given) => {
        const made = await real.apply(WebAssembly, given), exports = made.instance.exports;
        if (!exports.read_rgba) return made;
        const text_length = nth => {
            const length = exports.text_length(nth);
            window.labelRead = performance.now();
            return length;
        };
        return { module: made.module, instance: { exports: { ...exports, text_length } } };
    };
})()";

/// Opens the camera's page as a tap on the bar does, and waits until the card is there and painted: the second frame
/// after that is called for begins when the first has been given to the screen.
const SCAN: &str = "const [code, done] = arguments;
    window.labelRead = undefined;
    const look = () => {
        if (!location.pathname.startsWith('/L/') || document.querySelector('h1')?.textContent !== code) return;
        watching.disconnect();
        clearTimeout(late);
        const there = performance.now(), read = window.labelRead;
        requestAnimationFrame(() => requestAnimationFrame(() =>
            done({ there_ms: there - read, painted_ms: performance.now() - read })));
    };
    const watching = new MutationObserver(look);
    const late = setTimeout(() => done({ error: `no card: ${location} ${document.body.innerText}` }), 25000);
    watching.observe(document, { subtree: true, childList: true, characterData: true });
    document.querySelector('nav.bar a.find').click();";

/// Goes to an address as a tap on a link does, and waits for its heading.
const GO: &str = "const [path, done] = arguments;
    const link = document.createElement('a');
    link.href = path;
    document.querySelector('main').append(link);
    link.click();
    done({ at: location.pathname });";

/// Types a note and taps the button; waits until the badge says that the note is on this phone and that is painted, then
/// until the next page is there.
const TAP: &str = "const [text, done] = arguments;
    const badge = () => document.getElementById('saved')?.textContent ?? '';
    const before = badge();
    const button = [...document.querySelectorAll('main form button')].find(one => one.textContent.trim() === 'Keep the note');
    if (!button) return done({ error: `no form: ${document.body.innerText}` });
    button.form.querySelector('textarea, input[type=text]').value = text;
    let asked = 0, said = 0, painted = 0;
    const look = () => {
        if (!said && badge() !== before && badge().startsWith('On this phone')) {
            said = performance.now();
            requestAnimationFrame(() => requestAnimationFrame(() => { painted = performance.now(); }));
        }
        if (!document.body.textContent.includes('Recorded on this phone.')) return;
        watching.disconnect();
        clearTimeout(late);
        const there = performance.now();
        const wait = () => painted
            ? done({ said_ms: said - asked, page_ms: there - asked, painted_ms: painted - asked })
            : requestAnimationFrame(wait);
        wait();
    };
    const watching = new MutationObserver(look);
    const late = setTimeout(() => done({ error: `not said: ${badge()} ${document.body.innerText}` }), 25000);
    watching.observe(document, { subtree: true, childList: true, characterData: true });
    asked = performance.now();
    button.click();";

/// What the browser says that this site's entries take.
const USED: &str = "const done = arguments[arguments.length - 1];
    navigator.storage.estimate().then(
        found => done({ bytes: (found.usageDetails ?? {}).indexedDB ?? found.usage }),
        problem => done({ error: String(problem) }))";

/// How many entries the phone's row says are here, and whether that is all of them.
const ROW: &str = "const done = arguments[arguments.length - 1];
    const opening = indexedDB.open('tripoise');
    opening.onerror = () => done({ error: String(opening.error) });
    opening.onsuccess = () => {
        const database = opening.result;
        const asked = database.transaction('meta').objectStore('meta').get('phone');
        asked.onsuccess = () => { database.close(); done(JSON.parse(asked.result ?? '{}')); };
        asked.onerror = () => { database.close(); done({ error: String(asked.error) }); };
    };";

/// Measures all of it.
pub async fn measure(figures: &mut Map<String, Value>) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let server = Server::holding(&events()?)?;
    let lens = Lens::Shows(film(&folder, &picture(&shelf_label(SCANNED))?)?);
    let mut phone = Phone::before(server, Look::PHONE, &lens).await?;
    let watch = json!({ "source": WATCH_DECODER });
    phone.devtools("Page.addScriptToEvaluateOnNewDocument", watch).await?;
    let took = all_of_it(&phone).await?;
    figures.insert("first_exchange_ms".into(), json!([took.as_secs_f64() * 1e3]));
    let used = number(&told(&phone, USED, vec![]).await?, "bytes")?;
    figures.insert("n_events".into(), json!(N_EVENTS));
    figures.insert("used_bytes".into(), json!(used));
    phone.server.stop()?;
    let start = Instant::now();
    phone.open(&format!("/shelf/{}", shelf_code(0))).await?;
    figures.insert("opened_offline_ms".into(), json!([start.elapsed().as_secs_f64() * 1e3]));
    taps(&phone, figures).await?;
    scans(&phone, figures).await?;
    phone.was_alone().await
}

/// Waits until the phone holds the whole studio. Returns how long that took.
async fn all_of_it(phone: &Phone) -> Result<Duration> {
    let start = Instant::now();
    phone.client().goto(&format!("{}/about", phone.server.origin)).await?;
    // The store is not looked at before: whoever opens it first has to make it.
    let ended = "const { program, busy } = document.documentElement.dataset;
        return program === 'ready' && busy === 'no'";
    while phone.client().execute(ended, vec![]).await? != json!(true) {
        ensure!(start.elapsed() < FIRST_EXCHANGE, "the first exchange has not ended");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let took = start.elapsed();
    let row = told(phone, ROW, vec![]).await?;
    let has_all = row["whole"] == json!(true) && row["cursor"] == json!(N_EVENTS);
    ensure!(has_all, "the phone has {} of {N_EVENTS}", row["cursor"]);
    phone
        .until("a worker stands before the pages", async || {
            Ok(phone.kept().await?["controlled"] == json!(true))
        })
        .await?;
    Ok(took)
}

async fn taps(phone: &Phone, figures: &mut Map<String, Value>) -> Result<()> {
    let [mut said, mut painted, mut page] = [vec![], vec![], vec![]];
    for run in 0..RUNS {
        let path = format!("/shelf/{}/note", shelf_code(run));
        told(phone, GO, vec![json!(path)]).await?;
        phone.role("button", "Keep the note").await?;
        let found = told(phone, TAP, vec![json!(format!("no signal {run}"))]).await?;
        said.push(number(&found, "said_ms")?);
        painted.push(number(&found, "painted_ms")?);
        page.push(number(&found, "page_ms")?);
        phone.ready().await?;
    }
    figures.insert("tap_said_ms".into(), json!(said));
    figures.insert("tap_painted_ms".into(), json!(painted));
    figures.insert("tap_page_ms".into(), json!(page));
    Ok(())
}

async fn scans(phone: &Phone, figures: &mut Map<String, Value>) -> Result<()> {
    slow_down(phone, SLOWER).await?;
    let [mut there, mut painted] = [vec![], vec![]];
    for _ in 0..RUNS {
        let found = told(phone, SCAN, vec![json!(shelf_code(SCANNED))]).await?;
        there.push(number(&found, "there_ms").context("the decoder was not seen to hand over a text")?);
        painted.push(number(&found, "painted_ms")?);
        phone.ready().await?;
    }
    slow_down(phone, 1).await?;
    figures.insert("scan_there_ms".into(), json!(there));
    figures.insert("scan_painted_ms".into(), json!(painted));
    Ok(())
}
