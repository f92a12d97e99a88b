//! What was just recorded, with the way to take it back, and what the store had to say.
use crate::parts::form::form;
use leptos::prelude::*;
use tripoise_core::view::Page;

/// "Recorded: ..." with its undo, after a form.
pub fn recorded(page: &Page) -> Option<impl IntoView + use<>> {
    page.banner.clone().map(|banner| {
        let events: Vec<_> = banner
            .undo
            .iter()
            .map(|id| view! { <input type="hidden" name="event" value=id.to_string() /> })
            .collect();
        view! {
            <section class="recorded" role="status">
                <p>
                    <strong>"Recorded on the server. "</strong>
                    {banner.said}
                </p>
                {form("undo", view! { {events} <button class="quiet">"Undo"</button> })}
            </section>
        }
    })
}

/// What the store had to say at its start.
pub fn notices(page: &Page) -> Option<impl IntoView + use<>> {
    (!page.notices.is_empty()).then(|| {
        let lines: Vec<_> = page.notices.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
        view! { <ul class="notices" role="status">{lines}</ul> }
    })
}

/// What a page over plain HTTP lacks, and the way to it.
pub fn plain_http(page: &Page) -> Option<impl IntoView + use<>> {
    page.over_plain_http.then(|| {
        view! {
            <p class="notices">
                "Over plain http: no camera inside the app, no installing, no work without network, and others on the network can read what passes. "
                <a href="/set-up">"Set this phone up"</a>
            </p>
        }
    })
}
