//! A load planned, checked, printed and ticked off, on a screen the size of a phone.
use super::journeys::submit_only;
use anyhow::{Context as _, Result, ensure};
use browser_support::{Look, Phone, Studio};
use fantoccini::Locator;
use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};
use serde_json::json;

/// What a person touches, counted: a link, a button, a box are one tap each; a field is one, and one a character.
struct Thumb<'a> {
    phone: &'a Phone,
    taps: usize,
}

impl Thumb<'_> {
    async fn follow(&mut self, name: &str) -> Result<()> {
        self.taps += 1;
        self.phone.follow(name).await
    }

    async fn submit(&mut self, name: &str) -> Result<()> {
        self.taps += 1;
        self.phone.submit(name).await
    }

    async fn fill(&mut self, label: &str, text: &str) -> Result<()> {
        self.taps += 1 + text.chars().count();
        self.phone.fill(label, text).await
    }
}

/// The plan's address from its own page.
async fn here(phone: &Phone) -> Result<String> {
    let path = phone.path().await?;
    Ok(path.split('?').next().unwrap_or_default().to_owned())
}

/// The address of the demo's plan with this name.
async fn demo_plan(phone: &Phone, name: &str) -> Result<String> {
    phone.open("/plans").await?;
    let link = phone.client().find(Locator::XPath(&format!("//a[contains(., '{name}')]"))).await?;
    link.attr("href").await?.context("the plan has an address")
}

#[tokio::test]
async fn from_the_rack_to_a_checked_and_printed_plan_in_under_forty_taps() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    phone.open("/rack").await?;
    let mut thumb = Thumb { phone: &phone, taps: 0 };
    thumb.follow("Plan a load of Heron").await?;
    thumb.fill("Name", "week 49").await?;
    thumb.submit("Make the plan").await?;
    let plan = here(&phone).await?;
    phone.sees("From the front, to scale").await?;
    let said = phone.shown().await?;
    ensure!(
        ["passes these checks", "look at", "do not load"].iter().any(|verdict| said.contains(verdict)),
        "a verdict: {said}"
    );
    phone.journey_end().await?;
    thumb.follow("Loading sheet").await?;
    phone.sees("Load the middle first").await?;
    phone.journey_end().await?;
    let pages = printed_pages(&phone).await?;
    ensure!(pages == 1, "{plan}/sheet prints on {pages} pages");
    // The browser's own print: its menu and its button.
    let taps = thumb.taps + 2;
    ensure!(taps < 40, "{taps} taps");
    println!("from the rack to a printed plan: {taps} taps");
    Ok(())
}

/// How many sheets of A4 the page prints on.
async fn printed_pages(phone: &Phone) -> Result<usize> {
    let options = json!({ "paperWidth": 8.27, "paperHeight": 11.69, "printBackground": true });
    let answer = browser_support::devtools(phone.client(), "Page.printToPDF", options).await?;
    let data = answer["data"].as_str().context("a PDF")?;
    // Counted by the browser's own decoder, so that no other is needed: each page is one /Type /Page object.
    let script = "return (atob(arguments[0]).match(/\\/Type\\s*\\/Page(?![s\\w])/g) || []).length";
    let pages = phone.client().execute(script, vec![json!(data)]).await?;
    pages.as_u64().and_then(|n| usize::try_from(n).ok()).context("a number of pages")
}

/// Drags from one place of the drawing to another, given as shares of its width and height.
async fn drag(phone: &Phone, from: (f64, f64), to: (f64, f64)) -> Result<()> {
    let drawing = phone.client().find(Locator::Css("svg.drag")).await?;
    let script = "arguments[0].scrollIntoView({ block: 'center', behavior: 'instant' });
        const box = arguments[0].getBoundingClientRect(); return [box.left, box.top, box.width, box.height]";
    let seen = phone.client().execute(script, vec![serde_json::to_value(&drawing)?]).await?;
    let part = |idx: usize| seen[idx].as_f64().context("the drawing has no place on the screen");
    let (left, top, width, height) = (part(0)?, part(1)?, part(2)?, part(3)?);
    let at = |(across, down): (f64, f64)| PointerAction::MoveTo {
        duration: None,
        x: left + across * width,
        y: top + down * height,
    };
    let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    let moves = MouseActions::new("thumb".into())
        .then(at(from))
        .then(PointerAction::Down { button: fantoccini::actions::MOUSE_BUTTON_LEFT })
        .then(at(middle))
        .then(at(to))
        .then(PointerAction::Up { button: fantoccini::actions::MOUSE_BUTTON_LEFT });
    Ok(phone.client().perform_actions(moves).await?)
}

/// Where the first post's ring is, as shares of the drawing.
async fn first_ring(phone: &Phone) -> Result<(f64, f64)> {
    let script = "const svg = document.querySelector('svg.drag'), ring = svg.querySelector('.handle');
        const size = svg.viewBox.baseVal;
        return [ring.cx.baseVal.value / size.width, ring.cy.baseVal.value / size.height]";
    let seen = phone.client().execute(script, vec![]).await?;
    Ok((seen[0].as_f64().context("a ring")?, seen[1].as_f64().context("a ring")?))
}

#[tokio::test]
async fn a_post_is_dragged_and_the_check_follows() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    let plan = demo_plan(&phone, "week 48").await?;
    phone.open(&format!("{plan}/layer/1/2")).await?;
    let before = phone.texts("section[aria-label='What the check says']").await?;
    let ring = first_ring(&phone).await?;
    drag(&phone, ring, (0.5, 0.5)).await?;
    let field = async |what: &str| {
        let field = phone.client().find(Locator::Id(&format!("layer-{what}"))).await?;
        Ok::<_, anyhow::Error>(field.prop("value").await?.unwrap_or_default().parse::<f64>()?)
    };
    phone
        .until("the post is where it was dropped", async || {
            let (x, y) = (field("x1").await?, field("y1").await?);
            Ok((x - 300.0).abs() < 6.0 && (y - 150.0).abs() < 6.0)
        })
        .await?;
    let x = field("x1").await?;
    phone
        .until("the check has followed", async || {
            Ok(phone.texts("section[aria-label='What the check says']").await? != before)
        })
        .await?;
    phone.journey_end().await?;
    submit_only(&phone).await?;
    phone.open(&format!("{plan}/layer/1/2")).await?;
    ensure!((field("x1").await? - x).abs() < 0.5, "the place is kept");
    Ok(())
}

/// A line of the hurried plan is overruled, and counts again.
async fn overruling(phone: &Phone) -> Result<()> {
    let plan = demo_plan(phone, "in a hurry").await?;
    phone.open(&plan).await?;
    phone.sees("do not load").await?;
    phone
        .client()
        .execute("document.querySelectorAll('details').forEach(one => { one.open = true })", vec![])
        .await?;
    phone.fill("Why it may be loaded all the same", "weighed and tapped again").await?;
    phone.submit("Overrule it").await?;
    phone.open(&plan).await?;
    phone.sees("weighed and tapped again").await?;
    phone.sees("1 line is overruled").await?;
    phone.journey_end().await?;
    phone
        .client()
        .execute("document.querySelectorAll('details').forEach(one => { one.open = true })", vec![])
        .await?;
    phone.submit("Let it count again").await?;
    phone.open(&plan).await?;
    ensure!(!phone.shown().await?.contains("1 line is overruled"), "it counts again");
    Ok(())
}

#[tokio::test]
async fn a_line_is_overruled_with_a_reason_and_counts_again() -> Result<()> {
    overruling(&Phone::at(Studio::Demo).await?).await
}

#[tokio::test]
async fn the_same_overruling_without_javascript() -> Result<()> {
    overruling(&Phone::with(Studio::Demo, Look::PLAIN).await?).await
}

/// The sheet is ticked off from the floor up, and the firing takes the plan.
async fn ticking(phone: &Phone) -> Result<()> {
    let plan = demo_plan(phone, "week 48").await?;
    let sheet = format!("{plan}/sheet");
    phone.open(&sheet).await?;
    phone.sees("0 of").await?;
    for layer in 1..=2 {
        phone.submit(&format!("Loaded: front, layer {layer}")).await?;
    }
    phone.sees("2 of").await?;
    phone.journey_end().await?;
    phone.submit("Not loaded after all: front, layer 2").await?;
    phone.sees("1 of").await?;
    phone.open(&sheet).await?;
    phone.follow("It was fired").await?;
    phone.sees("what the plan glaze, week 48 names").await?;
    submit_only(phone).await?;
    phone.sees("Loaded by the plan glaze, week 48").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn the_sheet_is_ticked_off_and_becomes_the_firing() -> Result<()> {
    ticking(&Phone::at(Studio::Demo).await?).await
}

#[tokio::test]
async fn the_same_sheet_without_javascript() -> Result<()> {
    ticking(&Phone::with(Studio::Demo, Look::PLAIN).await?).await
}

#[tokio::test]
async fn what_if_a_shelf_is_retired_is_told_at_once_and_nothing_recorded() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    let plan = demo_plan(&phone, "week 48").await?;
    phone.open(&format!("{plan}/what-if")).await?;
    phone.tick("retire a shelf").await?;
    let list = phone.field("The shelf").await?;
    let second = list.find(Locator::Css("option:nth-child(2)")).await?;
    let shelf = second.attr("value").await?.context("a shelf")?;
    list.select_by_value(&shelf).await?;
    phone.sees(&format!("{shelf} retired")).await?;
    phone.sees("do not load").await?;
    phone.journey_end().await?;
    phone.open(&plan).await?;
    ensure!(!phone.shown().await?.contains("is retired"), "nothing is recorded");
    Ok(())
}

#[tokio::test]
async fn the_plan_is_filled_with_the_gap_to_its_bound_said() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    let plan = demo_plan(&phone, "in a hurry").await?;
    phone.open(&plan).await?;
    phone.follow("Fill the plan").await?;
    phone.press("Look what it would be").await?;
    phone.sees("points").await?;
    phone.journey_end().await?;
    submit_only(&phone).await?;
    phone.open(&plan).await?;
    ensure!(!phone.shown().await?.contains("F33"), "the wet shelf is out of it");
    phone.journey_end().await
}
