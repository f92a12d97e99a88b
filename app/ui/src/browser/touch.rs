//! Where a finger came down on a drawing, and the fields that a drawing fills.
//!
//! What this does not do: draw, or know what a place means. On the server nothing here does anything.
use leptos::ev::{MouseEvent, PointerEvent};

/// Where a tap came down, as shares of the width and height of the element that listens.
#[cfg(feature = "hydrate")]
pub fn place(event: &MouseEvent) -> Option<(f64, f64)> {
    use wasm_bindgen::JsCast;
    let element: web_sys::Element = event.current_target()?.dyn_into().ok()?;
    let seen = element.get_bounding_client_rect();
    let across = (f64::from(event.client_x()) - seen.left()) / seen.width();
    let down = (f64::from(event.client_y()) - seen.top()) / seen.height();
    (across.is_finite() && down.is_finite()).then_some((across, down))
}

/// Never called: nothing is tapped on the server.
#[cfg(not(feature = "hydrate"))]
pub fn place(_event: &MouseEvent) -> Option<(f64, f64)> {
    None
}

/// What a field holds at this moment; empty where there is none.
#[cfg(feature = "hydrate")]
pub fn field(id: &str) -> String {
    use wasm_bindgen::JsCast;
    let element = leptos::prelude::document().get_element_by_id(id);
    let Some(element) = element else { return String::new() };
    if let Some(select) = element.dyn_ref::<web_sys::HtmlSelectElement>() {
        return select.value();
    }
    element.dyn_ref::<web_sys::HtmlInputElement>().map_or_else(String::new, web_sys::HtmlInputElement::value)
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn field(_id: &str) -> String {
    String::new()
}

/// Puts a text into a field.
#[cfg(feature = "hydrate")]
pub fn fill(id: &str, text: &str) {
    use wasm_bindgen::JsCast;
    let element = leptos::prelude::document().get_element_by_id(id);
    if let Some(input) = element.and_then(|element| element.dyn_into::<web_sys::HtmlInputElement>().ok()) {
        input.set_value(text);
    }
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn fill(_id: &str, _text: &str) {}

/// Keeps a finger's moves with the element it came down on, until it is lifted.
#[cfg(feature = "hydrate")]
pub fn hold(event: &PointerEvent) {
    use wasm_bindgen::JsCast;
    event.prevent_default();
    let element = event.current_target().and_then(|at| at.dyn_into::<web_sys::Element>().ok());
    if let Some(element) = element {
        // Without it a quick finger may leave the drawing; it is then held again where it comes down.
        drop(element.set_pointer_capture(event.pointer_id()));
    }
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn hold(_event: &PointerEvent) {}

/// Does something a little later, so that the page can show what was done before.
#[cfg(feature = "hydrate")]
pub fn soon(act: impl FnOnce() + 'static) {
    leptos::prelude::set_timeout(act, std::time::Duration::from_millis(4));
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn soon(_act: impl FnOnce() + 'static) {}
