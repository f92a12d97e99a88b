//! A label before the camera: Chromium's own stand-in for one, fed with a film that each journey draws.
//!
//! What this does not do: try a real lens. `app/scan` reads pictures that are turned, blurred and grainy.
use super::film::{film, picture};
use anyhow::{Context as _, Result, ensure};
use browser_support::{Lens, Look, Phone, Server, Studio};
use fantoccini::Locator;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tripoise_core::ids::{LabelId, StudioId};
use tripoise_core::label::Token;
use tripoise_scan::Grey;
use tripoise_scan::scene::Scene;
use uuid::Uuid;

const STUDIO: StudioId = StudioId(Uuid::from_u128(0x28));
const ADDRESS: &str = "https://tripoise.local:7443";
/// The label that is on record, on shelf F01.
const KNOWN: u128 = 0x2a;

/// What a label of the studio says.
fn label(id: u128) -> String {
    Token::new(LabelId(Uuid::from_u128(id)), STUDIO).address(ADDRESS)
}

/// A picture of an empty bench.
fn nothing() -> Grey {
    Scene { grain: 12, ..Scene::new(640, 480) }.picture()
}

/// A photo as a bitmap of 24 bits a pixel: lower row first, each padded to four bytes (the width here is even).
fn photo(folder: &TempDir, picture: &Grey) -> Result<PathBuf> {
    let (width, height) = picture.size();
    ensure!(width % 4 == 0, "rows would want padding");
    let n_bytes = u32::try_from(54 + width * height * 3)?;
    let mut bitmap = b"BM".to_vec();
    let sides = [u32::try_from(width)?, u32::try_from(height)?];
    for number in [n_bytes, 0, 54, 40, sides[0], sides[1], 1 | 24 << 16, 0, 0, 2835, 2835, 0, 0] {
        bitmap.extend_from_slice(&number.to_le_bytes());
    }
    for row in picture.shades().chunks(width).rev() {
        bitmap.extend(row.iter().flat_map(|shade| [*shade; 3]));
    }
    let file = folder.path().join("photo.bmp");
    fs::write(&file, bitmap)?;
    Ok(file)
}

/// A server whose studio has one shelf, F01, with one label.
fn studio() -> Result<Server> {
    let server = Server::start(Studio::Empty)?;
    let id = |n: u32| format!("00000000-0000-0000-0000-{n:012x}");
    let length = 600_000_000_i64;
    let bodies = [
        ("kiln_added", json!({ "kiln": id(1), "name": "Heron", "fuel": "gas", "usual_cone": "10" })),
        (
            "shelf_added",
            json!({
                "shelf": id(2), "code": "F01", "material": "cordierite", "kiln": id(1),
                "outline": { "shape": "rectangle", "length_nm": length, "width_nm": length / 2 },
                "thickness_nm": 19_000_000,
            }),
        ),
        ("studio_named", json!({ "studio": STUDIO, "name": "Kestrel Yard", "address": ADDRESS })),
        (
            "labels_made",
            json!({
                "sheet": id(3), "skip": 0, "grid": tripoise_core::label::common().first(),
                "labels": [{ "label": Uuid::from_u128(KNOWN), "on": { "shelf": id(2) } }],
            }),
        ),
    ];
    let events: Vec<Value> = (1..)
        .zip(bodies)
        .map(|(n, (kind, body))| {
            json!({
                "id": id(100 + n), "device": id(9), "device_seq": n, "hlc": format!("018bcfe5d17{n:05x}"),
                "observed_at": "2023-11-14T22:13:47Z", "kind": kind, "schema": 1, "body": body,
            })
        })
        .collect();
    let answer: Value =
        ureq::post(format!("{}/api/v1/events", server.origin)).send_json(&events)?.body_mut().read_json()?;
    let stored = answer["answers"].as_array().into_iter().flatten().filter(|one| one["status"] == "stored");
    ensure!(stored.count() == events.len(), "{answer}");
    Ok(server)
}

async fn with(lens: Lens) -> Result<Phone> {
    Phone::before(studio()?, Look::PHONE, &lens).await
}

/// Waits for the card of F01, reached by its label.
async fn card_opens(phone: &Phone) -> Result<()> {
    phone.until("the card opens", async || Ok(phone.path().await?.starts_with("/L/"))).await?;
    phone.ready().await?;
    phone.role("heading", "F01").await?;
    phone.journey_end().await
}

/// Whether the page has loaded the decoder.
async fn decoder_is_here(phone: &Phone) -> Result<bool> {
    let script =
        "return performance.getEntriesByType('resource').some(e => e.name.includes('/assets/decoder-'))";
    Ok(phone.client().execute(script, vec![]).await? == json!(true))
}

/// Types F01 on the keypad.
async fn by_keypad(phone: &Phone) -> Result<()> {
    for key in ["F", "0", "1"] {
        phone.press(key).await?;
    }
    phone.submit("Open its card").await?;
    phone.role("heading", "F01").await?;
    phone.journey_end().await
}

async fn give(phone: &Phone, file: &Path) -> Result<()> {
    let field = phone.client().find(Locator::Css("input[type=file]")).await?;
    Ok(field.send_keys(file.to_str().context("the file has no plain name")?).await?)
}

#[tokio::test]
async fn a_label_before_the_camera_opens_its_card() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let phone = with(Lens::Shows(film(&folder, &picture(&label(KNOWN))?)?)).await?;
    phone.open("/find").await?;
    ensure!(!decoder_is_here(&phone).await?, "the decoder came before it was wanted");
    let scan = phone.role("link", "Scan").await?;
    scan.click().await?;
    card_opens(&phone).await
}

/// Whether the button with this text stands above the bar without scrolling.
async fn is_in_reach(phone: &Phone, text: &str) -> Result<bool> {
    let script = "const button = [...document.querySelectorAll('button')].find(one => one.textContent.trim() === arguments[0]);
        const bar = document.querySelector('nav.bar').getBoundingClientRect();
        return scrollY === 0 && button.getBoundingClientRect().bottom <= bar.top";
    Ok(phone.client().execute(script, vec![json!(text)]).await? == json!(true))
}

#[tokio::test]
async fn a_fine_shelf_costs_one_scan_and_one_tap_and_its_label_opens_no_second_time() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let lens = Lens::Shows(film(&folder, &picture(&label(KNOWN))?)?);
    let phone = Phone::before(studio()?, Look::SMALL, &lens).await?;
    phone.open("/scan?bench=yes").await?;
    card_opens(&phone).await?;
    ensure!(phone.path().await?.ends_with("?bench=yes"), "{}", phone.path().await?);
    ensure!(is_in_reach(&phone, "Ground dry, fine").await?, "the tap wants a scroll first");
    phone.submit("Ground dry, fine").await?;
    phone.sees("Recorded on the server.").await?;
    phone.sees("F01: ground dry on face A").await?;
    // The same label is before the camera still.
    phone.sees("still the label of the last piece").await?;
    phone.role("button", "Close the camera").await?;
    ensure!(phone.path().await?.starts_with("/scan?bench=yes"), "{}", phone.path().await?);
    phone.journey_end().await
}

#[tokio::test]
async fn a_camera_that_was_allowed_opens_at_once_and_a_foreign_symbol_leads_nowhere() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let phone = with(Lens::Shows(film(&folder, &picture("https://shop.example/kiln")?)?)).await?;
    phone.open("/scan").await?;
    phone.sees("this is a web address at shop.example, not a label of this tool").await?;
    phone.role("button", "Close the camera").await?;
    ensure!(phone.path().await? == "/scan" && decoder_is_here(&phone).await?);
    phone.journey_end().await
}

#[tokio::test]
async fn an_unknown_label_and_another_studio_s_are_told_apart() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let other = Token::new(LabelId(Uuid::from_u128(7)), StudioId(Uuid::from_u128(7))).address(ADDRESS);
    for (text, said) in
        [(label(0x99), "this label is of this studio, but not on record here"), (other, "of another studio")]
    {
        let phone = with(Lens::Shows(film(&folder, &picture(&text)?)?)).await?;
        phone.open("/scan").await?;
        phone.sees(said).await?;
        ensure!(phone.path().await? == "/scan");
        phone.journey_end().await?;
    }
    Ok(())
}

#[tokio::test]
async fn a_camera_that_sees_nothing_gives_a_hint_and_closes_when_told_or_out_of_sight() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let phone = with(Lens::Shows(film(&folder, &nothing())?)).await?;
    phone.open("/scan").await?;
    phone.sees("nothing read yet").await?;
    track_is(&phone, "live").await?;
    phone.journey_end().await?;
    phone.press("Close the camera").await?;
    phone.role("button", "Open the camera").await?;
    track_is(&phone, "ended").await?;
    phone.journey_end().await?;
    phone.press("Open the camera").await?;
    phone.role("button", "Close the camera").await?;
    track_is(&phone, "live").await?;
    // Another page before it: this one is out of sight, and the camera off until it comes back.
    let here = phone.client().window().await?;
    let other = phone.client().new_window(true).await?.handle;
    phone.client().switch_to_window(other).await?;
    phone.client().close_window().await?;
    phone.client().switch_to_window(here).await?;
    phone.role("button", "Close the camera").await?;
    ensure!(n_tracks(&phone).await? == 3, "out of sight the camera ran on");
    phone.journey_end().await
}

/// Waits until the newest track that the page was given is in this state. Tracks are kept to be counted.
async fn track_is(phone: &Phone, state: &str) -> Result<()> {
    phone
        .until(&format!("the camera is {state}"), async || {
            n_tracks(phone).await?;
            let script = "return window.tracks.at(-1)?.readyState === arguments[0]";
            Ok(phone.client().execute(script, vec![json!(state)]).await? == json!(true))
        })
        .await
}

/// How many tracks the page was given so far.
async fn n_tracks(phone: &Phone) -> Result<u64> {
    let script = "const track = document.getElementById('scan-view').srcObject?.getVideoTracks()[0];
        window.tracks = window.tracks || [];
        if (track && !window.tracks.includes(track)) window.tracks.push(track);
        return window.tracks.length";
    phone.client().execute(script, vec![]).await?.as_u64().context("tracks are counted")
}

#[tokio::test]
async fn a_refused_camera_is_said_and_the_keypad_serves() -> Result<()> {
    let phone = with(Lens::Refused).await?;
    phone.open("/scan").await?;
    phone.press("Open the camera").await?;
    phone.sees("the camera was refused").await?;
    phone.journey_end().await?;
    by_keypad(&phone).await
}

#[tokio::test]
async fn a_device_without_a_camera_says_so_and_switches_are_remembered() -> Result<()> {
    let phone = with(Lens::Absent).await?;
    phone.open("/scan").await?;
    phone.sees("this device has no camera").await?;
    phone.tick("Sound").await?;
    phone.open("/scan").await?;
    phone
        .until("the switch is off", async || {
            Ok(!phone.role("checkbox", "Sound").await?.is_selected().await?)
        })
        .await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_photo_of_a_label_opens_its_card_and_any_other_file_is_told() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let phone = with(Lens::Absent).await?;
    phone.open("/scan").await?;
    phone.sees("this device has no camera").await?;
    let text = folder.path().join("notes.txt");
    fs::write(&text, "a shelf, three posts")?;
    give(&phone, &text).await?;
    phone.sees("this file is no picture").await?;
    give(&phone, &photo(&folder, &nothing())?).await?;
    phone.sees("no symbol could be read on this photo").await?;
    phone.journey_end().await?;
    give(&phone, &photo(&folder, &picture(&label(KNOWN))?)?).await?;
    card_opens(&phone).await
}

#[tokio::test]
async fn without_javascript_the_code_is_typed() -> Result<()> {
    let phone = Phone::before(studio()?, Look::PLAIN, &Lens::Absent).await?;
    phone.open("/scan").await?;
    phone.sees("With scripts on, the camera or a photo reads labels here").await?;
    phone.journey_end().await?;
    phone.fill("Code", "f01").await?;
    phone.submit("Open its card").await?;
    phone.role("heading", "F01").await?;
    phone.journey_end().await
}
