//! The first page: what stands between now and the next load, or what to do first.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::home::Home;

/// The first page.
pub fn render(data: &Home) -> impl IntoView + use<> {
    if data.empty {
        return first_steps().into_any();
    }
    view! {
        <p class="say">{data.sentence.clone()}</p>
        {rows::list("What to do before the next load", &data.jobs)}
    }
    .into_any()
}

fn first_steps() -> impl IntoView {
    view! {
        <p class="say">"Nothing is on record yet. Five minutes are enough to begin:"</p>
        <ol class="steps">
            <li>
                <a class="button first" href="/add/kiln">
                    "Name your kiln"
                </a>
            </li>
            <li>"then enter shelves, ten alike at a time, graded by eye,"</li>
            <li>"then posts, a dozen of one height at a time."</li>
        </ol>
        <p>"Nothing needs measuring to begin with. Measure when a piece is in your hand anyway."</p>
    }
}
