//! A person who touches nothing but keys: Tab until something has the focus, then Enter, the space bar or the arrows.
use anyhow::{Result, bail, ensure};
use fantoccini::Client;
use fantoccini::actions::{InputSource as _, KeyAction, KeyActions};
use fantoccini::elements::Element;
use fantoccini::key::Key;
use serde_json::{Value, json};

/// What takes the focus for an element: itself, or what its label names. Its kind, whether it is ticked, and
/// whether it or one of its group has the focus.
const STATE: &str = "const given = arguments[0];
    const e = given instanceof HTMLLabelElement ? given.control : given;
    if (!e) return null;
    const at = document.activeElement;
    const kind = ['radio', 'checkbox'].includes(e.type) ? e.type : e.tagName.toLowerCase();
    const group = kind === 'radio' && at?.type === 'radio' && at.name === e.name && at.form === e.form;
    return { kind, checked: !!e.checked, here: at === e, near: at === e || group,
        stops: document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]').length }";

/// Presses a key, whatever has the focus.
///
/// # Errors   When the browser is gone.
pub async fn strike(client: &Client, key: Key) -> Result<()> {
    press(client, &[char::from(key)]).await
}

/// Presses keys together, the last one last, and lets them go.
async fn press(client: &Client, keys: &[char]) -> Result<()> {
    let mut actions = KeyActions::new("keys".to_owned());
    for &value in keys {
        actions = actions.then(KeyAction::Down { value });
    }
    for &value in keys.iter().rev() {
        actions = actions.then(KeyAction::Up { value });
    }
    Ok(client.perform_actions(actions).await?)
}

async fn state(client: &Client, element: &Element) -> Result<Value> {
    let state = client.execute(STATE, vec![serde_json::to_value(element)?]).await?;
    ensure!(state != Value::Null, "a label stands beside nothing");
    Ok(state)
}

/// Presses Tab until the element, or the round button of its group that takes the focus, has it.
async fn come_to(client: &Client, element: &Element) -> Result<Value> {
    let mut now = state(client, element).await?;
    // Once round and a bit: a day's field has three stops, and the end of the page is one.
    let most = now["stops"].as_u64().unwrap_or(0) * 2 + 10;
    for _ in 0..most {
        if now["near"] == json!(true) {
            return Ok(now);
        }
        strike(client, Key::Tab).await?;
        now = state(client, element).await?;
    }
    bail!("Tab does not come to {}", element.html(false).await?)
}

/// Does what a touch does.
pub(super) async fn touch(client: &Client, element: &Element) -> Result<()> {
    let mut now = come_to(client, element).await?;
    match now["kind"].as_str() {
        Some("checkbox") => strike_space(client).await,
        Some("radio") => {
            for _ in 0..30 {
                if now["checked"] == json!(true) {
                    return Ok(());
                }
                if now["here"] == json!(true) {
                    strike_space(client).await?;
                } else {
                    strike(client, Key::Down).await?;
                }
                now = state(client, element).await?;
            }
            bail!("the arrows do not come to {}", element.html(false).await?)
        }
        _ => strike(client, Key::Enter).await,
    }
}

async fn strike_space(client: &Client) -> Result<()> {
    press(client, &[' ']).await
}

/// Replaces what stands in a field.
pub(super) async fn fill(client: &Client, field: &Element, text: &str) -> Result<()> {
    come_to(client, field).await?;
    press(client, &[char::from(Key::Control), 'a']).await?;
    strike(client, Key::Backspace).await?;
    write(client, text).await
}

/// Picks from a list by writing what it says.
pub(super) async fn choose(client: &Client, list: &Element, option: &str) -> Result<()> {
    come_to(client, list).await?;
    write(client, option).await?;
    let script = "return arguments[0].selectedOptions[0]?.label.trim()";
    let chosen = client.execute(script, vec![serde_json::to_value(list)?]).await?;
    ensure!(chosen == json!(option), "{option:?} was written and {chosen} is chosen");
    Ok(())
}

async fn write(client: &Client, text: &str) -> Result<()> {
    for letter in text.chars() {
        press(client, &[letter]).await?;
    }
    Ok(())
}
