//! "On this phone: 7 waiting", then "On the server", at the top of every page.
//!
//! The offer of a newer build stands beside it. Both are written into the page's own elements by hand: they
//! must also change where the server's markup stands and no view of ours has taken it over.
use super::{dealings, phone, worker};
use leptos::prelude::document;
use tripoise_core::view::phone::badge;

/// Says how things stand, where the phone's store has been read.
pub fn show() {
    worker::offer();
    let counts = phone::held(|held| (held.n_waiting(), held.not_taken().len()));
    let (Some((n_waiting, n_not_taken)), Some(place)) = (counts, document().get_element_by_id("saved"))
    else {
        return;
    };
    let is_paired = dealings::now().paired;
    let said = badge(n_waiting, n_not_taken, is_paired);
    if place.text_content().as_deref() != Some(&said) {
        place.set_text_content(Some(&said));
    }
    let class = if n_waiting + n_not_taken > 0 || !is_paired { "here" } else { "" };
    // An attribute of an element that is there is always set.
    drop(place.set_attribute("class", class));
    if let Some(line) = place.parent_element() {
        drop(line.remove_attribute("hidden"));
    }
}
