//! What is folded away on a page: part of the page where the server drew it, and otherwise drawn when it is unfolded or
//! printed. A history of years takes a phone longer to draw than all the rest of its page.
//!
//! What this does not do: fold; the page's own `details` do.

/// Whether this drawing must have everything in it: the server's, and the one that takes the server's over.
#[cfg(feature = "hydrate")]
#[must_use]
pub fn draws_all() -> bool {
    super::screen::takes_over()
}

/// On the server everything is drawn.
#[cfg(not(feature = "hydrate"))]
#[must_use]
pub fn draws_all() -> bool {
    true
}

/// Does something just before the page is printed, for as long as what asked for it is on the page.
#[cfg(feature = "hydrate")]
pub fn before_printing(act: impl Fn() + 'static) {
    let listening = leptos::prelude::window_event_listener(leptos::ev::beforeprint, move |_| act());
    leptos::prelude::on_cleanup(move || listening.remove());
}

/// Never called: nothing is printed by the server.
#[cfg(not(feature = "hydrate"))]
pub fn before_printing(_act: impl Fn() + 'static) {}
