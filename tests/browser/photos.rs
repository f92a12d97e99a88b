//! A photo of a crack: without a signal, on a phone that is full, over plain http, and without JavaScript.
use super::journeys::enter_stock;
use super::phones::pair;
use anyhow::{Context as _, Result, ensure};
use browser_support::{Lens, Look, Phone, Server, Studio};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

const FILE: &str = "Take a photo, or choose one";

/// A picture with a longer side of more than 1,600 pixels.
fn picture() -> Result<PathBuf> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("browser/pictures/set-phone-light.png");
    file.canonicalize().with_context(|| format!("{}", file.display()))
}

async fn choose(phone: &Phone) -> Result<()> {
    let field = phone.field(FILE).await?;
    Ok(field.send_keys(&picture()?.to_string_lossy()).await?)
}

/// Takes a photo of F01 and records it.
async fn take(phone: &Phone, note: &str) -> Result<()> {
    phone.open("/shelf/F01/photo").await?;
    choose(phone).await?;
    phone.sees("kB, kept.").await?;
    phone.fill("What it shows", note).await?;
    phone.journey_end().await?;
    phone.submit("Keep the photo").await
}

/// Waits until the card shows the photo with this note, and says where the picture came from.
async fn sees_photo(phone: &Phone, note: &str) -> Result<String> {
    let script = "const photo = [...document.querySelectorAll('.photos img')].find(one => one.alt.endsWith(arguments[0]));
        if (!photo) return null;
        photo.scrollIntoView();
        const longest = Math.max(photo.naturalWidth, photo.naturalHeight);
        return photo.complete && longest > 0 && longest <= 1600 ? photo.src : null";
    let end = json!(format!(": {note}"));
    let look = async || -> Result<Value> { Ok(phone.client().execute(script, vec![end.clone()]).await?) };
    phone.until("the photo is shown", async || Ok(look().await?.is_string())).await?;
    Ok(look().await?.as_str().unwrap_or_default().to_owned())
}

/// The SHA-256 of what is at an address, as the browser sees it.
async fn hash_at(phone: &Phone, address: &str) -> Result<String> {
    let script = "const [address, done] = arguments;
        (async () => {
            const answer = await fetch(address);
            if (!answer.ok) return `answered ${answer.status}`;
            const hash = await crypto.subtle.digest('SHA-256', await answer.arrayBuffer());
            return [...new Uint8Array(hash)].map(byte => byte.toString(16).padStart(2, '0')).join('');
        })().then(done, problem => done(String(problem)))";
    let hash = phone.client().execute_async(script, vec![json!(address)]).await?;
    Ok(hash.as_str().unwrap_or_default().to_owned())
}

#[tokio::test]
async fn without_the_server_a_photo_is_kept_shown_and_sent_when_it_is_back() -> Result<()> {
    let mut phone = Phone::at(Studio::Demo).await?;
    phone.open("/").await?;
    phone.visited().await?;
    phone.server.stop()?;
    take(&phone, "crack by the post").await?;
    phone.badge("On this phone: 1 waiting, 1 photo").await?;
    sees_photo(&phone, "crack by the post").await?;
    phone.was_alone().await?;
    phone.pull_the_battery().await?;
    phone.open("/shelf/F01").await?;
    let src = sees_photo(&phone, "crack by the post").await?;
    let (_, name) = src.split_once("/photos/").with_context(|| format!("it is shown from {src}"))?;
    ensure!(hash_at(&phone, &src).await? == name, "it is not what it is named by");
    phone.badge("On this phone: 1 waiting, 1 photo").await?;
    phone.journey_end().await?;
    phone.open("/phone").await?;
    phone.sees("1 entry and 1 photo are on this phone").await?;
    phone.sees("F01: photo (crack by the post), ").await?;
    phone.was_alone().await?;
    phone.journey_end().await?;
    phone.server.restart()?;
    phone.press("Exchange now").await?;
    phone.badge("On the server").await?;
    phone.sees("Nothing waits").await?;
    phone.sees("for photos").await?;
    phone.journey_end().await?;
    // A phone that has nothing of its own has it from the server, and after that once more without it.
    let other = phone.beside().await?;
    other.open("/shelf/F01").await?;
    other.visited().await?;
    let address = format!("/photos/{name}");
    ensure!(hash_at(&other, &address).await? == name, "the server has it not");
    phone.server.stop()?;
    other.open("/shelf/F01").await?;
    sees_photo(&other, "crack by the post").await?;
    ensure!(other.store().await?["photos"] == json!([]), "it was not this phone's own");
    other.was_alone().await?;
    let said = phone.server.verify()?;
    ensure!(said.contains("all 1 photos are there"), "{said}");
    Ok(())
}

#[tokio::test]
async fn a_photo_that_nobody_records_is_not_sent() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/photo").await?;
    choose(&phone).await?;
    phone.sees("kB, kept.").await?;
    phone.open("/phone").await?;
    phone.press("Exchange now").await?;
    phone.badge("On the server").await?;
    let row = phone.store().await?["photos"][0].clone();
    ensure!(row["entry"] == Value::Null && row["state"] == "to_send", "{row}");
    let address = format!("/photos/{}", row["sha256"].as_str().context("it has no name")?);
    // Asked of the server itself: this phone would show its own.
    let other = phone.beside().await?;
    other.open("/about").await?;
    ensure!(hash_at(&other, &address).await? == "answered 404", "it was sent");
    other.take_console_errors().await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_full_phone_says_so_beside_the_photo_and_keeps_the_note() -> Result<()> {
    let mut phone = Phone::at(Studio::Demo).await?;
    phone.open("/").await?;
    phone.visited().await?;
    // A browser that has just looked how much room there is does not look again for a while.
    phone.pull_the_battery().await?;
    phone.limit_storage(Some(1)).await?;
    phone.open("/shelf/F01/photo").await?;
    phone.fill("What it shows", "crack by the post").await?;
    choose(&phone).await?;
    phone.sees("this phone's storage is full").await?;
    ensure!(!phone.shown().await?.contains("kB, kept."), "it says that it is kept");
    phone.journey_end().await?;
    let note = phone.field("What it shows").await?.prop("value").await?;
    ensure!(note.as_deref() == Some("crack by the post"), "what was typed is gone: {note:?}");
    phone.limit_storage(None).await?;
    // Here too: only one that is started afresh looks again.
    phone.pull_the_battery().await?;
    take(&phone, "crack by the post").await?;
    phone.badge("On the server").await?;
    sees_photo(&phone, "crack by the post").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn over_plain_http_the_phone_shows_its_own_photo_too() -> Result<()> {
    let mut phone =
        Phone::before(Server::start_on_network(Studio::Demo)?, Look::PHONE, &Lens::Absent).await?;
    pair(&phone, "/shelf/F01/photo").await?;
    phone
        .until("the phone holds the studio", async || {
            Ok(phone.store().await?["meta"][0]["whole"] == json!(true))
        })
        .await?;
    phone.ready().await?;
    phone.server.stop()?;
    choose(&phone).await?;
    phone.sees("kB, kept.").await?;
    phone.fill("What it shows", "drip at the edge").await?;
    phone.submit("Keep the photo").await?;
    phone.badge("On this phone: 1 waiting, 1 photo").await?;
    let src = sees_photo(&phone, "drip at the edge").await?;
    ensure!(src.starts_with("blob:"), "it is shown from {src}");
    phone.was_alone().await?;
    phone.journey_end().await
}

/// Puts a file into the form's field: without scripts the driver's own way waits for a promise.
async fn choose_plainly(phone: &Phone, file: &Path) -> Result<()> {
    let document = phone.devtools("DOM.getDocument", json!({})).await?;
    let asked = json!({ "nodeId": document["root"]["nodeId"], "selector": "#photo-file" });
    let field = phone.devtools("DOM.querySelector", asked).await?;
    let files = json!({ "nodeId": field["nodeId"], "files": [file.to_string_lossy()] });
    phone.devtools("DOM.setFileInputFiles", files).await?;
    Ok(())
}

#[tokio::test]
async fn without_javascript_the_server_scales_the_photo_down() -> Result<()> {
    let mut phone = Phone::with(Studio::Empty, Look::PLAIN).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/photo").await?;
    phone.journey_end().await?;
    let text = Path::new(env!("CARGO_MANIFEST_DIR")).join("browser/photos.rs").canonicalize()?;
    choose_plainly(&phone, &text).await?;
    phone.fill("What it shows", "crack by the post").await?;
    phone.submit("Keep the photo").await?;
    phone.sees("this is no picture that can be read here").await?;
    let note = phone.field("What it shows").await?.prop("value").await?;
    ensure!(note.as_deref() == Some("crack by the post"), "what was typed is gone: {note:?}");
    // The console tells of the answer 422.
    phone.take_console_errors().await?;
    phone.journey_end().await?;
    choose_plainly(&phone, &picture()?).await?;
    phone.submit("Keep the photo").await?;
    phone.sees("Recorded on the server.").await?;
    sees_photo(&phone, "crack by the post").await?;
    phone.journey_end().await?;
    let said = phone.server.verify()?;
    ensure!(said.contains("all 1 photos are there"), "{said}");
    Ok(())
}
