//! Every kind of page for those who hold a small phone, read large text, or touch nothing but keys.
use super::every_page::{each_kind, walk};
use anyhow::{Context as _, Result, bail};
use browser_support::{Look, Phone, Studio, strike};
use fantoccini::key::Key;
use serde_json::{Value, json};

#[tokio::test]
async fn every_page_fits_a_small_phone() -> Result<()> {
    walk(Look::SMALL).await
}

#[tokio::test]
async fn every_page_fits_a_small_phone_in_the_dark() -> Result<()> {
    walk(Look { dark: true, ..Look::SMALL }).await
}

#[tokio::test]
async fn every_page_takes_text_twice_as_large() -> Result<()> {
    walk(Look::LARGE_TEXT).await
}

/// Numbers what the Tab key should come to, in the order of the document: one of a group of round buttons.
const NUMBER: &str = "let n = 0; const groups = new Set();
    for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]')) {
        if (e.disabled || e.tabIndex < 0 || !e.checkVisibility({ visibilityProperty: true })) continue;
        if (e.type === 'radio') {
            const group = [...document.getElementsByName(e.name)].filter(other => other.form === e.form);
            const stop = group.find(other => other.checked) ?? e;
            if (stop !== e || groups.has(e.name)) continue;
            groups.add(e.name);
        }
        e.dataset.stop = n++;
    }
    return n";

/// What has the focus: its number, whether one sees that it has it, and what lies over its middle.
const FOCUSED: &str = "const e = document.activeElement;
    if (!e || e === document.body) return null;
    const shown = e.type === 'file' || ['radio', 'checkbox'].includes(e.type) ? e.labels[0] ?? e : e;
    const ring = [e, shown].some(one => {
        const style = getComputedStyle(one);
        return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    });
    const box = shown.getClientRects()[0] ?? shown.getBoundingClientRect();
    const over = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    const bare = !over || over === shown || shown.contains(over) || over.contains(shown) || over === e;
    return { stop: Number(e.dataset.stop ?? -1), ring, covered: bare ? '' : over.outerHTML.slice(0, 80), what: e.outerHTML.slice(0, 120) }";

/// Presses Tab from the top of the page to its end.
async fn tab_through(phone: &Phone) -> Result<Vec<String>> {
    let client = phone.client();
    // Some pages are drawn again once the program knows whose phone it is.
    tokio::time::sleep(std::time::Duration::from_millis(400)).await;
    // From the top: a page drawn by the program begins at its main part.
    let top = "document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute('tabindex')";
    client.execute(top, vec![]).await?;
    let expected = client.execute(NUMBER, vec![]).await?.as_u64().context("no number")?;
    let mut wrong = Vec::new();
    let mut reached = std::collections::BTreeSet::new();
    // Some fields have stops inside them (a day's three parts), hence twice as many steps and some.
    for _ in 0..expected * 2 + 10 {
        strike(client, Key::Tab).await?;
        let focused = client.execute(FOCUSED, vec![]).await?;
        if focused == Value::Null {
            break;
        }
        let Some(stop) = focused["stop"].as_u64() else { continue };
        if !reached.insert(stop) {
            continue;
        }
        if focused["ring"] != json!(true) {
            wrong.push(format!("one does not see that it has the focus: {}", focused["what"]));
        }
        if focused["covered"] != json!("") {
            wrong.push(format!("{} lies under {}", focused["what"], focused["covered"]));
        }
        if reached.len() as u64 == expected {
            break;
        }
    }
    let missed: Vec<u64> = (0..expected).filter(|stop| !reached.contains(stop)).collect();
    if !missed.is_empty() {
        let script = "return arguments[0].map(n => document.querySelector(`[data-stop=\"${n}\"]`).outerHTML.slice(0, 120))";
        let what = client.execute(script, vec![json!(missed)]).await?;
        wrong.push(format!("Tab does not come to {what}"));
    }
    Ok(wrong)
}

#[tokio::test]
async fn every_page_can_be_used_with_keys_alone() -> Result<()> {
    let mut findings = Vec::new();
    let kinds = each_kind(Look::PHONE, async |phone, path| {
        let wrong = tab_through(phone).await?;
        if !wrong.is_empty() {
            findings.push(format!("{path}:\n{}", wrong.join("\n")));
        }
        Ok(())
    })
    .await?;
    if !findings.is_empty() {
        bail!("{} of {kinds} kinds of page:\n{}", findings.len(), findings.join("\n\n"));
    }
    Ok(())
}

#[tokio::test]
async fn a_post_is_measured_with_keys_alone() -> Result<()> {
    let phone = Phone::at(Studio::Demo).await?;
    phone.open("/posts").await?;
    let client = phone.client();
    let first = "return [...document.querySelectorAll('a[href]')].map(a => a.pathname).find(p => /^\\/post\\/[^/]+$/.test(p))";
    let card = client.execute(first, vec![]).await?;
    let card = card.as_str().context("no post is listed")?.to_owned();
    phone.open(&card).await?;
    let nominal = "return document.querySelector('main').innerText.match(/(\\d+) mm/)[1]";
    let nominal = client.execute(nominal, vec![]).await?;
    let height = format!("{}.2", nominal.as_str().context("the card tells no height")?);
    phone.open(&format!("{card}/measure")).await?;
    // To the field, the height, and Enter sends the form.
    for _ in 0..60 {
        strike(client, Key::Tab).await?;
        let field =
            client.execute("return document.activeElement.matches('main input[inputmode]')", vec![]).await?;
        if field == json!(true) {
            break;
        }
    }
    client.active_element().await?.send_keys(&height).await?;
    strike(client, Key::Enter).await?;
    phone.until("the form is sent", async || Ok(!phone.path().await?.contains("/measure"))).await?;
    phone.sees(&format!("{height} mm")).await?;
    phone.journey_end().await
}
