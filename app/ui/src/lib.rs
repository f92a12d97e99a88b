//! Tripoise's pages: rendered on the server, hydrated in the browser from the very value they were
//! rendered from.
//!
//! The server makes one [`Page`](tripoise_core::view::Page) and calls [`document`]; the same value stands
//! as JSON in the document's head, and [`hydrate`] builds the same view over the same markup. So first
//! render uses no clock, no locale, no random number and no window.
//!
//! Start reading at [`app`], then [`pages`] (one file a page) and [`parts`] (what pages share).
//! [`browser`] is the only place that touches the window.

mod app;
pub mod browser;
#[cfg(feature = "ssr")]
mod document;
#[cfg(feature = "ssr")]
pub mod network;
pub mod pages;
pub mod parts;

pub use app::App;
#[cfg(feature = "ssr")]
pub use document::{Assets, document};

/// Takes over the page that the server rendered. Called by the start script once the program is loaded.
#[cfg(feature = "hydrate")]
#[wasm_bindgen::prelude::wasm_bindgen]
pub fn hydrate() {
    console_error_panic_hook::set_once();
    browser::start();
}
