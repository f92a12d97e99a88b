//! Listening to what the browser tells: taps, the network, the tab's coming back.
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::Closure;
use web_sys::{Event, EventTarget};

/// Calls `then` at every such event, for as long as the document lives.
pub fn on(target: &EventTarget, name: &str, then: impl FnMut(Event) + 'static) {
    let closure = Closure::<dyn FnMut(Event)>::new(then);
    if target.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref()).is_ok() {
        closure.forget();
    }
}

/// Calls `then` again and again.
pub fn every(ms: i32, then: impl FnMut() + 'static) {
    let closure = Closure::<dyn FnMut()>::new(then);
    let Some(window) = web_sys::window() else { return };
    let callback = closure.as_ref().unchecked_ref();
    if window.set_interval_with_callback_and_timeout_and_arguments_0(callback, ms).is_ok() {
        closure.forget();
    }
}
