//! Tests of the harness itself: what must fail, fails.
use anyhow::{Result, ensure};
use browser_support::{Look, Phone, Studio};

/// A page of our own making in place of the one that is open. Its styles stand in `data-style`, since the
/// content security policy refuses style attributes.
async fn replace(phone: &Phone, body: &str) -> Result<()> {
    let script = "document.body.innerHTML = arguments[0];
        for (const one of document.querySelectorAll('[data-style]')) one.style.cssText = one.dataset.style";
    phone.client().execute(script, vec![body.into()]).await?;
    Ok(())
}

async fn findings(phone: &Phone, body: &str) -> Result<String> {
    replace(phone, body).await?;
    Ok(phone.journey_end().await.err().map_or_else(String::new, |problem| format!("{problem:#}")))
}

#[tokio::test]
async fn the_end_of_a_journey_finds_what_is_wrong() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    phone.open("/").await?;
    let bare = "<main><h1>Rack</h1><label for=a>Code</label><input id=a data-style='box-sizing:border-box;height:56px;width:200px'></main>";
    let found = findings(&phone, bare).await?;
    ensure!(found.is_empty(), "a plain page has findings: {found}");
    let found = findings(&phone, &bare.replace("for=a", "for=b")).await?;
    ensure!(found.contains("label") && found.contains("<input"), "a field without a label passed: {found}");
    let found = findings(&phone, &bare.replace("200px", "2000px")).await?;
    ensure!(found.contains("scrolls sideways"), "a page too wide passed: {found}");
    let found = findings(&phone, &bare.replace("56px", "30px")).await?;
    ensure!(found.contains("200×30 px"), "a field too low passed: {found}");
    replace(&phone, bare).await?;
    phone.client().execute("console.error('no such shelf')", vec![]).await?;
    let found = phone.journey_end().await.err().map(|problem| format!("{problem:#}")).unwrap_or_default();
    ensure!(found.contains("no such shelf"), "an error on the console passed: {found}");
    phone.journey_end().await
}

#[tokio::test]
async fn things_are_found_by_what_a_person_sees() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    phone.open("/").await?;
    let page = "<main><h1>Rack</h1><label>Length <input value='1'></label><label for=c>Code's end</label><input id=c>
        <button aria-label='Undo'>x</button><button hidden>Keep</button><button>Keep</button>
        <label><input type=radio name=r> dry</label></main>";
    replace(&phone, page).await?;
    phone.fill("Length", "12,5").await?;
    phone.fill("Code's end", "K7").await?;
    let value = |field: fantoccini::elements::Element| async move { field.prop("value").await };
    ensure!(value(phone.field("Length").await?).await?.as_deref() == Some("12,5"));
    ensure!(value(phone.field("Code's end").await?).await?.as_deref() == Some("K7"));
    phone.role("heading", "Rack").await?;
    phone.press("Undo").await?;
    phone.press("Keep").await?;
    phone.tick("dry").await?;
    ensure!(phone.role("radio", "dry").await?.is_selected().await?);
    phone.sees("Code's end").await
}

#[tokio::test]
async fn a_phone_is_as_wide_as_a_phone_and_scripts_can_be_off() -> Result<()> {
    let phone = Phone::with(Studio::Empty, Look::PLAIN).await?;
    phone.open("/").await?;
    let inner = phone.client().execute("return [innerWidth, innerHeight]", vec![]).await?;
    ensure!(inner == serde_json::json!([390, 844]), "{inner}");
    let state =
        phone.client().execute("return document.documentElement.dataset.program || 'plain'", vec![]).await?;
    ensure!(state == "plain", "the page ran its script");
    phone.journey_end().await
}

#[tokio::test]
async fn a_stopped_server_comes_back_at_the_same_address() -> Result<()> {
    // Without scripts: with them, the phone shows what it holds.
    let mut phone = Phone::with(Studio::Empty, Look::PLAIN).await?;
    phone.open("/").await?;
    phone.server.stop()?;
    ensure!(phone.client().goto(&phone.server.origin).await.is_err(), "a stopped server answered");
    phone.server.restart()?;
    phone.take_console_errors().await?;
    phone.open("/").await?;
    phone.journey_end().await
}
