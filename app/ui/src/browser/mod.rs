//! The only place that touches the window: start, forms, record, network.
//!
//! On the server every function here does nothing: no event ever fires there.

#[cfg(feature = "hydrate")]
mod badge;
#[cfg(feature = "hydrate")]
mod camera;
#[cfg(feature = "hydrate")]
mod dealings;
#[cfg(feature = "hydrate")]
mod direct;
pub mod folded;
#[cfg(feature = "hydrate")]
mod listen;
#[cfg(feature = "hydrate")]
mod net;
pub mod pad;
#[cfg(feature = "hydrate")]
mod phone;
pub mod photo;
#[cfg(feature = "hydrate")]
mod photo_post;
#[cfg(feature = "hydrate")]
mod record;
pub mod scan;
#[cfg(feature = "hydrate")]
mod screen;
#[cfg(feature = "hydrate")]
mod send;
pub mod speech;
#[cfg(feature = "hydrate")]
mod store;
#[cfg(feature = "hydrate")]
mod sync;
pub mod touch;
#[cfg(feature = "hydrate")]
mod under_way;
#[cfg(feature = "hydrate")]
mod worker;

use crate::app::Frame;
use leptos::ev::SubmitEvent;
use tripoise_core::ids::EventId;
use tripoise_core::photo::PhotoHash;

/// Takes the document over: hydrates the server's page, or shows one from what the phone holds.
#[cfg(feature = "hydrate")]
pub async fn begin() {
    screen::begin().await;
}

/// Called by every frame as it is made, so that the browser's side can reach it.
#[cfg(feature = "hydrate")]
pub fn framed(frame: Frame) {
    screen::framed(frame);
}

/// On the server nobody reaches for a frame.
#[cfg(not(feature = "hydrate"))]
pub fn framed(_frame: Frame) {}

/// Exchanges with the server at once.
#[cfg(feature = "hydrate")]
pub fn sync_now() {
    sync::soon();
}

/// Never called: nothing is tapped on the server.
#[cfg(not(feature = "hydrate"))]
pub fn sync_now() {}

/// Puts entries and photos away that the server did not take.
#[cfg(feature = "hydrate")]
pub fn put_away(ids: Vec<EventId>, photos: Vec<PhotoHash>) {
    send::put_away(ids, photos);
}

/// Never called: nothing is tapped on the server.
#[cfg(not(feature = "hydrate"))]
pub fn put_away(_ids: Vec<EventId>, _photos: Vec<PhotoHash>) {}

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

/// What all fields of the form around the place of an event hold now, as the browser would post them.
#[cfg(feature = "hydrate")]
#[must_use]
pub fn values_around(event: &leptos::ev::Event) -> Option<tripoise_core::form::FormValues> {
    use wasm_bindgen::JsCast;
    let field: leptos::web_sys::Element = event.target()?.dyn_into().ok()?;
    send::values_in(&field.closest("form").ok()??.dyn_into().ok()?)
}

/// Never called: nothing is typed on the server.
#[cfg(not(feature = "hydrate"))]
#[must_use]
pub fn values_around(_event: &leptos::ev::Event) -> Option<tripoise_core::form::FormValues> {
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
    wasm_bindgen_futures::spawn_local(async {
        // Where the phone has no store it has recorded nothing of its own either.
        if phone::load().await.is_err() {
            return;
        }
        let Some(device) = phone::held(|held| held.phone.device) else { return };
        let address = format!("/bench/undo?device={device}");
        if !screen::go(&address) {
            leptos::logging::warn!("this browser's own entries could not be opened at {address}");
        }
    });
}

/// Never called: effects do not run on the server.
#[cfg(not(feature = "hydrate"))]
pub fn own_entries() {}
