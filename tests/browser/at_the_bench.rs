//! What is logged at the bench, on a screen the size of a phone: full readings, grids, a crack drawn by two
//! taps, the number pad, a run of posts, a set put together by ticks, a firing, a correction.
use super::journeys::{enter_stock, submit_only};
use anyhow::{Context as _, Result, ensure};
use browser_support::{Look, Phone, Studio};
use fantoccini::Locator;
use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};

/// Touches a place on the drawing of the page, given as shares of its width and height.
async fn tap_drawing(phone: &Phone, across: f64, down: f64) -> Result<()> {
    let drawing = phone.client().find(Locator::Css("main figure svg")).await?;
    let script = "arguments[0].scrollIntoView({ block: 'center', behavior: 'instant' });
        const box = arguments[0].getBoundingClientRect(); return [box.left, box.top, box.width, box.height]";
    let seen = phone.client().execute(script, vec![serde_json::to_value(&drawing)?]).await?;
    let part = |idx: usize| seen[idx].as_f64().context("the drawing has no place on the screen");
    let (x, y) = (part(0)? + across * part(2)?, part(1)? + down * part(3)?);
    let tap = MouseActions::new("thumb".into())
        .then(PointerAction::MoveTo { duration: None, x, y })
        .then(PointerAction::Down { button: fantoccini::actions::MOUSE_BUTTON_LEFT })
        .then(PointerAction::Up { button: fantoccini::actions::MOUSE_BUTTON_LEFT });
    Ok(phone.client().perform_actions(tap).await?)
}

/// All eight lines, the straightedge on spacers of half an inch, feelers typed as people have them.
async fn full_reading(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/shelf/F01/measure?how=full").await?;
    phone.tick("on two equal spacers").await?;
    phone.fill("Spacers’ thickness", "12.7").await?;
    let middles = [
        ("front left to back right", "13.5"),
        ("back left to front right", "13,5"),
        ("middle, left to right", "17/32 in"),
        ("middle, front to back", "12.9"),
        ("front edge", "13.3"),
        ("back edge", "13.3"),
        ("left edge", "12.9"),
        ("right edge", "1/2 in"),
    ];
    for (line, feeler) in middles {
        phone.fill(&format!("Gap in the middle, {line}"), feeler).await?;
    }
    phone.tick("bare").await?;
    submit_only(phone).await?;
    phone.open("/shelf/F01").await?;
    phone.sees("8 lines with a straightedge on spacers").await?;
    let card = phone.shown().await?;
    ensure!(card.contains("a dish of") && card.contains("watch"), "drawn and judged: {card}");
    phone.journey_end().await
}

#[tokio::test]
async fn a_full_reading_on_spacers_is_recorded_drawn_and_judged() -> Result<()> {
    full_reading(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_reading_without_javascript() -> Result<()> {
    full_reading(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

#[tokio::test]
async fn a_grid_from_a_dial_indicator_is_pasted_and_mapped() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/measure?how=grid").await?;
    phone.fill("Heights", "0 0,1 0\n0.1 -0.4 0.1\n0 x 0").await?;
    phone.tick("dial indicator").await?;
    phone.tick("bare").await?;
    phone.press("Record the reading").await?;
    phone.sees("Not recorded yet").await?;
    let typed = phone.field("Heights").await?.prop("value").await?.unwrap_or_default();
    ensure!(typed.contains("0.1 -0.4"), "the numbers typed are gone: {typed}");
    phone.fill("Heights", "0 0,1 0\n0.1 -0.4 0.1\n0 0.1 0").await?;
    submit_only(&phone).await?;
    phone.open("/shelf/F01").await?;
    phone.sees("grid of 9 points").await?;
    phone.sees("0.5 mm").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_crack_is_drawn_by_two_taps_and_its_length_worked_out() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/shelf/F01/crack").await?;
    tap_drawing(&phone, 0.5, 0.97).await?;
    phone.sees("Now its other end.").await?;
    tap_drawing(&phone, 0.5, 0.6).await?;
    phone.sees("of the way across").await?;
    let field = |label: &'static str| async {
        Ok::<_, anyhow::Error>(phone.field(label).await?.prop("value").await?)
    };
    let ends = (field("Start: to the right").await?, field("End: to the back").await?);
    let number =
        |text: Option<String>| text.unwrap_or_default().parse::<f64>().context("a number was filled in");
    let (x, y) = (number(ends.0)?, number(ends.1)?);
    // The drawing has a margin; the taps were in the middle of the length and two fifths from the front.
    ensure!((280.0..320.0).contains(&x) && (90.0..150.0).contains(&y), "taps at {x}, {y} mm");
    phone.tick("dull").await?;
    submit_only(&phone).await?;
    phone.open("/shelf/F01").await?;
    let card = phone.shown().await?;
    ensure!(card.contains("crack") && card.contains("dull"), "{card}");
    phone.open("/").await?;
    phone.sees("F01").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_run_of_posts_is_measured_on_the_number_pad() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/posts").await?;
    phone.follow("Measure the 150 mm posts").await?;
    for (nth, keys) in ["150.2", "149.9", "150.4"].into_iter().enumerate() {
        let code = format!("P0{}", nth + 1);
        phone.role("heading", &format!("Measure {code}")).await?;
        // A slip first: rubbed out on the pad.
        for key in ["9", "rub out"] {
            phone.press(key).await?;
        }
        for key in keys.chars() {
            phone.press(&key.to_string()).await?;
        }
        phone.journey_end().await?;
        submit_only(&phone).await?;
    }
    for (code, height) in [("P01", "150.2"), ("P02", "149.9"), ("P03", "150.4")] {
        phone.open(&format!("/post/{code}")).await?;
        phone.sees(height).await?;
    }
    phone.journey_end().await
}

#[tokio::test]
async fn a_set_is_judged_while_its_posts_are_ticked() -> Result<()> {
    let phone = Phone::at(Studio::Empty).await?;
    enter_stock(&phone).await?;
    phone.open("/posts/measure?nominal=150000000&all=yes").await?;
    for (code, height) in [("P01", "150.1"), ("P02", "151.5"), ("P03", "151.6")] {
        phone.fill(&format!("{code}, mm"), height).await?;
    }
    submit_only(&phone).await?;
    phone.open("/sets/new?nominal=150000000").await?;
    for label in ["P01, 150.1 mm", "P02, 151.5 mm"] {
        phone.tick(label).await?;
    }
    phone.sees("2 ticked").await?;
    phone.tick("P03, 151.6 mm").await?;
    phone.sees("shim").await?;
    phone.sees("1.5 mm").await?;
    phone.journey_end().await?;
    submit_only(&phone).await?;
    phone.open("/set/K01").await?;
    phone.sees("P01").await?;
    phone.sees("shim of 1.5 mm").await
}

/// Everything of that kiln is in it unless unticked, and each piece counts one firing.
async fn firing(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/firings/new").await?;
    phone.tick("glaze").await?;
    phone.tick("F02").await?;
    submit_only(phone).await?;
    for (path, firings) in
        [("/shelf/F01", "1 firings,"), ("/shelf/F02", "0 firings,"), ("/post/P03", "1 firings")]
    {
        phone.open(path).await?;
        phone.sees(firings).await?;
    }
    phone.open("/firings").await?;
    phone.sees("Heron").await?;
    phone.journey_end().await
}

#[tokio::test]
async fn a_firing_counts_on_every_piece_but_those_unticked() -> Result<()> {
    firing(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_firing_without_javascript() -> Result<()> {
    firing(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}

/// A feeler typed wrong is put right by a new entry, and both can be read afterwards.
async fn correction(phone: &Phone) -> Result<()> {
    enter_stock(phone).await?;
    phone.open("/shelf/F01/measure").await?;
    for line in ["front left to back right", "back left to front right", "middle, left to right"] {
        phone.fill(&format!("Gap in the middle, {line}"), "2 cards").await?;
    }
    phone.tick("bare").await?;
    submit_only(phone).await?;
    phone.open("/shelf/F01").await?;
    phone.sees("1.52 mm").await?;
    phone.client().find(Locator::Css(".history a")).await?;
    let entry =
        phone.client().find(Locator::Css(".history a")).await?.attr("href").await?.unwrap_or_default();
    phone.open(&entry).await?;
    phone.follow("Correct it").await?;
    let kept = phone.field("Gap in the middle, front left to back right").await?.prop("value").await?;
    ensure!(kept.as_deref() == Some("2 cards"), "the word that was typed is {kept:?}");
    for line in ["front left to back right", "back left to front right", "middle, left to right"] {
        phone.fill(&format!("Gap in the middle, {line}"), "card").await?;
    }
    submit_only(phone).await?;
    phone.open("/shelf/F01").await?;
    let card = phone.shown().await?;
    ensure!(
        card.contains("corrected to") && card.contains("0.76 mm"),
        "both stay, the new one counts: {card}"
    );
    phone.journey_end().await
}

#[tokio::test]
async fn a_wrong_reading_is_corrected_and_both_stay() -> Result<()> {
    correction(&Phone::at(Studio::Empty).await?).await
}

#[tokio::test]
async fn the_same_correction_without_javascript() -> Result<()> {
    correction(&Phone::with(Studio::Empty, Look::PLAIN).await?).await
}
