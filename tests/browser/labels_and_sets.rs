//! Labels made and scanned, posts matched into sets, on a screen the size of a phone.
use super::journeys::{enter_stock, submit_only};
use anyhow::{Context as _, Result, ensure};
use browser_support::{Look, Phone, Studio};
use fantoccini::Locator;

/// Makes labels for everything and returns what the first symbol leads to: its path on this server.
async fn make_labels(phone: &Phone) -> Result<String> {
    phone.open("/labels").await?;
    phone.fill("Name of the studio", "Kestrel Yard").await?;
    submit_only(phone).await?;
    phone.sees("2 labels on 1 sheet").await?;
    phone.journey_end().await?;
    // A camera reads the symbol; here the id in the record is turned into what the symbol says.
    let history = phone.client().find(Locator::Css(".actions a.first")).await?;
    let pdf = history.attr("href").await?.context("no PDF is offered")?;
    ensure!(pdf.starts_with("/labels/pdf/"), "{pdf}");
    Ok(pdf)
}

async fn labels(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    make_labels(phone).await?;
    // Everything has one now; one more for a single piece takes the place of the first.
    phone.open("/shelf/F02").await?;
    phone.sees("label made").await?;
    phone.open("/labels?on=F02").await?;
    submit_only(phone).await?;
    phone.sees("1 label on 1 sheet").await?;
    phone.open("/L/0000000000000000000000000ZZZZZ").await?;
    phone.sees("of another studio").await?;
    phone.open("/labels/marking").await?;
    phone.sees("Paper and plastic burn off").await?;
    phone.take_console_errors().await?;
    phone.journey_end().await
}

#[tokio::test]
async fn labels_are_made_replaced_and_told_apart() -> Result<()> {
    labels(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn labels_are_made_without_javascript() -> Result<()> {
    labels(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

async fn matched(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/posts/measure?nominal=150000000&all=yes").await?;
    for (code, height) in [("P01", "150.1"), ("P02", "150,2"), ("P03", "150.4")] {
        phone.fill(&format!("{code}, mm"), height).await?;
    }
    submit_only(phone).await?;
    phone.open("/match").await?;
    phone.follow("150 mm").await?;
    phone.sees("1 set of three from 3 measured posts").await?;
    phone.journey_end().await?;
    phone.submit("Make the new set").await?;
    phone.sees("stays as it is").await?;
    phone.open("/set/K01").await?;
    phone.sees("0.3 mm apart").await?;
    // Asked for more than can be: said beside the field, and what was typed stays.
    phone.open("/match?nominal=150000000&tolerance=-1").await?;
    phone.sees("cannot be").await?;
    let typed = phone.field("Spread asked for, mm").await?.prop("value").await?;
    ensure!(typed.as_deref() == Some("-1"), "what was typed is gone: {typed:?}");
    phone.journey_end().await
}

#[tokio::test]
async fn posts_are_matched_and_the_set_made_with_one_tap() -> Result<()> {
    matched(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn posts_are_matched_without_javascript() -> Result<()> {
    matched(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

#[tokio::test]
async fn a_load_on_a_shelf_is_worked_out_as_it_is_typed() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    phone.open("/shelf/F17/bend").await?;
    phone.sees("bends down at most").await?;
    let before = phone.shown().await?;
    phone.fill("Ware on it, kg", "24").await?;
    phone.until("the figures change", async || Ok(phone.shown().await? != before)).await?;
    phone.sees("unverified").await?;
    phone.journey_end().await?;
    phone.open("/life").await?;
    phone.sees("Weibull").await?;
    phone.open("/post/P72").await?;
    phone.sees("leaves its set K20").await?;
    phone.journey_end().await
}
