//! What must hold wherever a journey ends.
use super::{named, wire};
use anyhow::{Context as _, Result, bail};
use fantoccini::Client;
use serde_json::Value;

/// Runs axe-core with all of its rules on the whole page.
const RUN_AXE: &str = "const done = arguments[arguments.length - 1];
    axe.run(document, { resultTypes: ['violations'] }).then(
        found => done(found.violations.flatMap(rule => rule.nodes.map(node =>
            `${rule.id} (${rule.help}): ${node.target.join(' ')} ${node.html.slice(0, 200)} ${node.failureSummary}`))),
        problem => done([`axe-core itself failed: ${problem}`]))";

/// What is wider than the window, so that the page would scroll sideways.
const TOO_WIDE: &str = "const room = document.documentElement.clientWidth;
    if (document.scrollingElement.scrollWidth <= room) return [];
    return ['the page scrolls sideways:', ...[...document.querySelectorAll('body *')]
        .filter(e => e.getBoundingClientRect().right > room + 0.5)
        .slice(0, 5).map(e => e.outerHTML.slice(0, 120))]";

/// Controls too small for a thumb. Links inside a line of text are as large as their text (WCAG 2.2, 2.5.8
/// excepts them), and a box or round button counts with its label.
const TOO_SMALL: &str = "const least = arguments[0];
    return [...document.querySelectorAll('button, select, summary, textarea, nav a, input:not([type=hidden])')]
        .map(e => e.matches('[type=radio], [type=checkbox]') && e.labels[0] || e)
        .map(e => [e, e.getBoundingClientRect()])
        .filter(([e, box]) => box.width > 0 && getComputedStyle(e).visibility === 'visible')
        .filter(([, box]) => box.height < least - 0.5 || box.width < least - 0.5)
        .map(([e, box]) => `${box.width.toFixed(0)}×${box.height.toFixed(0)} px, for a thumb ${least} are wanted: `
            + e.outerHTML.slice(0, 160))";

/// House rule: the smallest side of anything to touch, in CSS pixels.
const LEAST_TARGET_PX: u32 = 48;

/// All checks on the page as it stands. While a test has stopped the server, the phone goes on asking for it, and the
/// console says each time that nobody answered: only that is passed over.
pub async fn all(client: &Client, server_is_stopped: bool) -> Result<()> {
    let mut found = accessibility(client).await?;
    found.extend(lines(client.execute(TOO_WIDE, vec![]).await?));
    found.extend(lines(client.execute(TOO_SMALL, vec![LEAST_TARGET_PX.into()]).await?));
    let mut said = console_errors(client).await?;
    said.retain(|line| !(server_is_stopped && line.contains("net::ERR_CONNECTION_REFUSED")));
    found.extend(said);
    if !found.is_empty() {
        bail!("{} findings:\n{}", found.len(), found.join("\n"));
    }
    Ok(())
}

/// What axe-core has against the page.
async fn accessibility(client: &Client) -> Result<Vec<String>> {
    let file = named("AXE_JS")?;
    let axe = std::fs::read_to_string(&file).with_context(|| format!("{}", file.display()))?;
    client.execute(&axe, vec![]).await?;
    Ok(lines(client.execute_async(RUN_AXE, vec![]).await?))
}

/// Errors on the console since this was last asked: scripts, policy, files that did not load.
pub async fn console_errors(client: &Client) -> Result<Vec<String>> {
    let said = wire::browser_log(client).await?;
    let errors = said.iter().filter(|entry| entry["level"] == "SEVERE");
    let errors = errors.filter_map(|entry| entry["message"].as_str());
    // The browser's own windows are not ours.
    let ours = errors.filter(|text| !text.starts_with("chrome://"));
    Ok(ours.map(|text| format!("console: {text}")).collect())
}

fn lines(found: Value) -> Vec<String> {
    found.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect()
}
