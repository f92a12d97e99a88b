//! What stands where there is nothing.
use leptos::prelude::*;
use tripoise_core::view::NotFound;

/// Says what was looked for, and where to go.
pub fn render(data: &NotFound) -> impl IntoView + use<> {
    let said = data.said.clone();
    view! {
        <p class="say">{said}</p>
        <p>
            <a class="button" href="/find">
                "Type a code"
            </a>
        </p>
    }
}
