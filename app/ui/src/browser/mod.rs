//! The only place that touches the window: start, forms, record, network.
//!
//! On the server every function here does nothing: no event ever fires there.

#[cfg(feature = "hydrate")]
mod camera;
pub mod pad;
pub mod photo;
#[cfg(feature = "hydrate")]
mod record;
pub mod scan;
#[cfg(feature = "hydrate")]
mod send;
pub mod speech;
pub mod touch;

use crate::app::Frame;
use leptos::ev::SubmitEvent;

/// Hydrates the page from the JSON in the document's head.
#[cfg(feature = "hydrate")]
pub fn start() {
    use leptos::prelude::*;
    let page = document()
        .get_element_by_id("page-data")
        .and_then(|script| script.text_content())
        .and_then(|json| serde_json::from_str(&json).ok());
    match page {
        Some(page) => {
            let page = std::sync::Arc::new(page);
            leptos::mount::hydrate_body(move || crate::App(crate::app::AppProps { page }));
        }
        // The plain page works without the program; the console says why it stays plain.
        None => leptos::logging::error!("this page's data could not be read; it works without the program"),
    }
}

/// Takes a form over from the browser: reads it, shows what is wrong, or records it.
#[cfg(feature = "hydrate")]
pub fn submit(event: &SubmitEvent, frame: Frame) {
    send::submit(event, frame);
}

/// Never called: no form is submitted on the server.
#[cfg(not(feature = "hydrate"))]
pub fn submit(_event: &SubmitEvent, _frame: Frame) {}

/// Which field an input event came from, and what it holds now.
#[cfg(feature = "hydrate")]
#[must_use]
pub fn typed(event: &leptos::ev::Event) -> Option<(String, String)> {
    use wasm_bindgen::JsCast;
    let field: leptos::web_sys::Element = event.target()?.dyn_into().ok()?;
    Some((field.get_attribute("name")?, leptos::prelude::event_target_value(event)))
}

/// Never called: nothing is typed on the server.
#[cfg(not(feature = "hydrate"))]
#[must_use]
pub fn typed(_event: &leptos::ev::Event) -> Option<(String, String)> {
    None
}

/// Types a character into a field, or takes the last one back where there is none.
#[cfg(feature = "hydrate")]
pub fn press(field_id: &str, key: Option<char>) {
    use wasm_bindgen::JsCast;
    let field = leptos::prelude::document().get_element_by_id(field_id);
    if let Some(field) = field.and_then(|found| found.dyn_into::<web_sys::HtmlInputElement>().ok()) {
        let mut text = field.value();
        match key {
            Some(key) => text.push(key),
            None => {
                text.pop();
            }
        }
        field.set_value(&text);
    }
}

/// Never called: there is no keypad on the server.
#[cfg(not(feature = "hydrate"))]
pub fn press(_field_id: &str, _key: Option<char>) {}

/// Asks for the entries that this browser recorded itself, where it has recorded any.
#[cfg(feature = "hydrate")]
pub fn own_entries() {
    let Some(device) = record::known_device() else { return };
    let address = format!("/bench/undo?device={device}");
    let gone = leptos::prelude::window().location().replace(&address);
    if gone.is_err() {
        leptos::logging::warn!("this browser's own entries could not be opened at {address}");
    }
}

/// Never called: effects do not run on the server.
#[cfg(not(feature = "hydrate"))]
pub fn own_entries() {}
