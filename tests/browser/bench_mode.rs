//! The grinding bench on a phone: one tap and the next piece, several at once, after a firing, taking back, a
//! reading that is asked about, a photo of a crack.
use super::journeys::{enter_stock, submit_only};
use anyhow::{Context as _, Result, ensure};
use browser_support::{Look, Phone, Studio};
use fantoccini::Locator;
use std::path::Path;

/// The code typed, one tap on what was done, and the field for the next code stands there, with the undo.
async fn one_tap(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/bench").await?;
    phone.journey_end().await?;
    phone.follow("Next piece").await?;
    phone.fill("Code", "F01").await?;
    phone.submit("Open its card").await?;
    phone.sees("Something wrong").await?;
    phone.submit("Ground dry, fine").await?;
    phone.sees("Recorded on the server.").await?;
    phone.sees("ground dry on face A").await?;
    ensure!(phone.path().await?.starts_with("/scan?bench=yes"), "{}", phone.path().await?);
    phone.field("Code").await?;
    phone.journey_end().await?;
    phone.submit("Undo").await?;
    ensure!(phone.path().await? == "/scan?bench=yes", "{}", phone.path().await?);
    phone.open("/shelf/F01").await?;
    phone.sees("taken back").await
}

#[tokio::test]
async fn one_tap_logs_a_fine_shelf_and_asks_for_the_next() -> Result<()> {
    one_tap(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_tap_without_javascript() -> Result<()> {
    one_tap(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

/// Opens the fold whose summary begins so.
async fn unfold(phone: &Phone, summary: &str) -> Result<()> {
    let path = format!("//summary[starts-with(normalize-space(.), '{summary}')]");
    let found = phone.client().find(Locator::XPath(&path)).await;
    let found = found.with_context(|| format!("nothing to unfold begins with {summary:?}"))?;
    phone.touch(&found).await
}

/// Everything fine but one shelf: only that one is touched, and its job stands at the bench until it is done.
async fn after_a_firing(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/firings/new").await?;
    phone.tick("glaze").await?;
    submit_only(phone).await?;
    phone.open("/bench").await?;
    let firing = phone.texts("main a.button").await?;
    let look =
        firing.iter().find(|text| text.starts_with("Look over")).context("the firing is not offered")?;
    phone.follow(look).await?;
    phone.journey_end().await?;
    unfold(phone, "F01").await?;
    phone.tick("drip or run").await?;
    phone.fill("F01 in your words", "by the bag wall").await?;
    phone.journey_end().await?;
    phone.submit("The rest is fine").await?;
    phone.sees("Chisel and grind: 1").await?;
    phone.sees("Drip or run seen (by the bag wall)").await?;
    let shown = phone.shown().await?;
    ensure!(!shown.contains("Look over"), "the firing is still to be looked over: {shown}");
    phone.open("/shelf/F01").await?;
    phone.sees("On hold").await?;
    phone.journey_end().await?;
    phone.submit("Ground dry, fine").await?;
    phone.open("/bench").await?;
    let shown = phone.shown().await?;
    ensure!(!shown.contains("Chisel and grind"), "the job is still open: {shown}");
    phone.open("/shelf/F01").await?;
    ensure!(!phone.shown().await?.contains("On hold"), "the hold for the drip did not end");
    Ok(())
}

#[tokio::test]
async fn after_a_firing_only_the_exceptions_are_touched() -> Result<()> {
    after_a_firing(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_look_after_a_firing_without_javascript() -> Result<()> {
    after_a_firing(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

#[tokio::test]
async fn several_are_logged_at_once_and_taken_back_at_once() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/bench/batch").await?;
    phone.journey_end().await?;
    phone.follow("Ground").await?;
    phone.sees("Dust of kiln shelves harms the lungs.").await?;
    phone.tick("F01").await?;
    phone.tick("F02").await?;
    phone.fill("Minutes each", "7").await?;
    phone.journey_end().await?;
    phone.submit("All ground").await?;
    phone.sees("2 entries recorded").await?;
    phone.open("/shelf/F02/ground").await?;
    let minutes = phone.field("Minutes").await?.prop("value").await?;
    ensure!(minutes.as_deref() == Some("7"), "the minutes are not remembered: {minutes:?}");
    phone.open("/bench/undo").await?;
    phone.sees("What this device recorded last.").await?;
    phone.journey_end().await?;
    let what = phone.texts(".taps li").await?;
    ensure!(what.first().is_some_and(|first| first.contains("F01") && first.contains("F02")), "{what:?}");
    let name = phone.texts(".taps li:first-child p").await?.join("; ");
    phone.submit(&format!("Take back: {}", name.trim_end_matches("; "))).await?;
    phone.sees("taken back").await?;
    phone.open("/shelf/F02").await?;
    phone.sees("taken back").await
}

/// Reads the three quick lines with the pad, and goes on by its own key.
async fn read_by_pad(phone: &Phone, keys: &str) -> Result<()> {
    for _ in 0..3 {
        for key in keys.chars() {
            phone.press(&key.to_string()).await?;
        }
        phone.press("next").await?;
    }
    Ok(())
}

#[tokio::test]
async fn a_reading_far_off_the_last_one_is_asked_about_before_it_is_sent() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/measure").await?;
    read_by_pad(&phone, "0.7").await?;
    let typed = phone.field("Gap in the middle, middle, left to right").await?.prop("value").await?;
    ensure!(typed.as_deref() == Some("0.7"), "the pad typed {typed:?}");
    phone.tick("bare").await?;
    phone.journey_end().await?;
    submit_only(&phone).await?;
    phone.open("/shelf/F01/measure").await?;
    // Off until somebody wants it, and remembered then.
    phone.press("Read aloud: off").await?;
    phone.sees("Read aloud: on").await?;
    phone.open("/shelf/F01/measure").await?;
    phone.sees("Read aloud: on").await?;
    let pressed = ["2", ".", "6", "next"];
    for key in pressed {
        phone.press(key).await?;
    }
    phone.sees("1.9 mm off the last reading there").await?;
    ensure!(!phone.shown().await?.contains("Not recorded yet"), "it was sent");
    phone.tick("yes, record it as it is").await?;
    phone.journey_end().await?;
    submit_only(&phone).await?;
    phone.sees("Recorded on the server.").await
}

#[tokio::test]
async fn the_pad_the_field_and_the_line_are_in_sight_on_a_small_phone() -> Result<()> {
    let phone = Phone::with(Studio::Empty, Look::SMALL).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/measure").await?;
    // After the second line's "next" the third is read: its field, the pad and the sketch with its line.
    for key in ["0", ".", "7", "next", "0", ".", "6", "next"] {
        phone.press(key).await?;
    }
    phone.sees("3 of 3.").await?;
    let script = "const box = (one) => one.getBoundingClientRect();
        const pad = box(document.querySelector('.pad')), bar = box(document.querySelector('nav.bar'));
        const field = box(document.activeElement), sketch = box(document.querySelector('.pad .sketch'));
        const line = document.querySelector('.pad .sketch path:nth-of-type(2)').getAttribute('d');
        const keys = [...document.querySelectorAll('.pad .keys button')].map(box);
        return [pad.bottom <= bar.top + 1, pad.top >= 0, field.top >= 0 && field.bottom <= pad.top,
            sketch.height > 30 && line.length > 5, keys.every(key => key.width >= 48 && key.height >= 48)]";
    phone
        .until("pad, field and line are in sight", async || {
            let seen = phone.client().execute(script, vec![]).await?;
            let all = seen.as_array().is_some_and(|all| all.len() == 5 && all.iter().all(|one| one == true));
            Ok(all)
        })
        .await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_photo_is_scaled_kept_shown_and_taken_back() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/photo").await?;
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("browser/pictures/set-phone-light.png");
    let file = file.canonicalize().with_context(|| format!("{}", file.display()))?;
    let field = phone.field("Take a photo, or choose one").await?;
    field.send_keys(&file.to_string_lossy()).await?;
    phone.sees("kB, kept.").await?;
    phone.fill("What it shows", "crack by the post").await?;
    phone.journey_end().await?;
    phone.submit("Keep the photo").await?;
    phone.open("/shelf/F01").await?;
    phone.sees("Photos").await?;
    let script = "const photo = document.querySelector('.photos img'); photo.scrollIntoView();
        return [photo.alt, photo.complete && photo.naturalWidth > 0 && Math.max(photo.naturalWidth, photo.naturalHeight) <= 1600]";
    phone
        .until("the photo is loaded", async || {
            let seen = phone.client().execute(script, vec![]).await?;
            Ok(seen[0].as_str().is_some_and(|alt| alt.ends_with(": crack by the post")) && seen[1] == true)
        })
        .await?;
    phone.journey_end().await?;
    let entry = phone.client().find(Locator::Css(".photos a")).await?.attr("href").await?.unwrap_or_default();
    phone.open(&entry).await?;
    phone.journey_end().await?;
    phone.submit("Take it back").await?;
    phone.open("/shelf/F01").await?;
    let shown = phone.shown().await?;
    ensure!(!shown.contains("Photos") && shown.contains("taken back"), "{shown}");
    phone.journey_end().await
}
