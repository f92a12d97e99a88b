//! What a person does with the tool, from the first page on, on a screen the size of a phone.
use anyhow::{Result, ensure};
use browser_support::{Look, Phone, Studio};

/// A kiln, two shelves and three posts of 150 mm, typed as a person would.
pub async fn enter_stock(phone: &Phone) -> Result<()> {
    phone.open("/").await?;
    phone.follow("Name your kiln").await?;
    phone.fill("What you call it", "Heron").await?;
    phone.tick("gas").await?;
    submit_only(phone).await?;
    phone.sees("Heron").await?;
    phone.open("/add/shelves").await?;
    phone.fill("How many", "2").await?;
    phone.fill("Length, mm", "60 cm").await?;
    phone.fill("Width, mm", "300").await?;
    phone.fill("Thickness, mm", "19,5").await?;
    submit_only(phone).await?;
    phone.open("/add/posts").await?;
    phone.fill("How many", "3").await?;
    phone.fill("Height they were sold as, mm", "150").await?;
    phone.fill("Width, mm", "38").await?;
    phone.tick("square").await?;
    submit_only(phone).await
}

/// Sends the page's form by its large button and waits for the next page.
pub async fn submit_only(phone: &Phone) -> Result<()> {
    let names = phone.texts("main form button.first").await?;
    ensure!(names.len() == 1, "one form with one large button is wanted: {names:?}");
    phone.submit(&names[0]).await
}

/// Measures one post.
async fn measure(phone: &Phone, code: &str, height: &str) -> Result<()> {
    phone.open(&format!("/post/{code}/measure")).await?;
    phone.fill("Height, mm", height).await?;
    submit_only(phone).await
}

/// Puts the three posts together.
async fn make_set(phone: &Phone) -> Result<()> {
    phone.open("/sets/new?nominal=150&p_P01=yes&p_P02=yes&p_P03=yes").await?;
    submit_only(phone).await
}

async fn set_drifts(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    for (code, height) in [("P01", "150.1"), ("P02", "150,2"), ("P03", "150.3")] {
        measure(phone, code, height).await?;
    }
    make_set(phone).await?;
    phone.open("/set/K01").await?;
    ensure!(!phone.shown().await?.contains("Drifted"), "a fresh set has drifted already");
    measure(phone, "P02", "148.7").await?;
    for path in ["/set/K01", "/post/P02", "/post/P01", "/"] {
        phone.open(path).await?;
        let shown = phone.shown().await?;
        ensure!(
            shown.contains("K01") && shown.contains("148.7") || path == "/" && shown.contains("K01"),
            "{path}: {shown}"
        );
        phone.journey_end().await?;
    }
    phone.open("/set/K01").await?;
    let card = phone.shown().await?;
    ensure!(card.contains("Drifted") && card.contains("150.2"), "the readings that show it: {card}");
    Ok(())
}

#[tokio::test]
async fn stock_is_entered_and_a_set_that_drifts_is_told_everywhere() -> Result<()> {
    set_drifts(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_without_javascript() -> Result<()> {
    set_drifts(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

/// A height typed wrong stays typed, is told beside the field, and is recorded once put right.
async fn check_refusal(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/post/P01/measure").await?;
    phone.fill("Height, mm", "-3").await?;
    phone.press("Record it").await?;
    phone.sees("Not recorded yet").await?;
    let typed = phone.field("Height, mm").await?.prop("value").await?;
    ensure!(typed.as_deref() == Some("-3"), "what was typed is gone: {typed:?}");
    phone.journey_end().await?;
    phone.fill("Height, mm", "150.4").await?;
    submit_only(phone).await?;
    phone.open("/post/P01").await?;
    phone.sees("150.4").await
}

#[tokio::test]
async fn a_wrong_height_is_told_beside_the_field_and_nothing_typed_is_lost() -> Result<()> {
    check_refusal(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn a_log_entry_is_undone_with_one_tap() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/flipped").await?;
    submit_only(&phone).await?;
    phone.sees("Recorded on the server.").await?;
    phone.sees("turned over").await?;
    phone.submit("Undo").await?;
    phone.open("/shelf/F01").await?;
    phone.sees("taken back").await?;
    phone.journey_end().await
}
