//! "On this phone: 7 waiting", then "On the server", at the top of every page.
//!
//! The offer of a newer build stands beside it. Both are written into the page's own elements by hand: they
//! must also change where the server's markup stands and no view of ours has taken it over.
use super::{dealings, phone, worker};
use leptos::prelude::document;
use tripoise_core::view::phone::{ALL_THERE, badge};

/// Says how things stand, where the phone's store has been read.
pub fn show() {
    worker::offer();
    let is_paired = dealings::now().paired;
    let said = phone::held(|held| badge(held, is_paired));
    let (Some(said), Some(place)) = (said, document().get_element_by_id("saved")) else { return };
    if place.text_content().as_deref() != Some(&said) {
        place.set_text_content(Some(&said));
    }
    let class = if said == ALL_THERE { "" } else { "here" };
    // An attribute of an element that is there is always set.
    drop(place.set_attribute("class", class));
    if let Some(line) = place.parent_element() {
        drop(line.remove_attribute("hidden"));
    }
}
