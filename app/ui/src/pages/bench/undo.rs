//! `/bench/undo`: the last ten entries, each taken back with one tap.
use crate::browser;
use crate::parts::form::form;
use leptos::prelude::*;
use tripoise_core::view::bench::undo::{Tap, Undo};

/// The page. Without a device in its address, the program asks for this browser's own entries.
pub fn render(data: &Undo) -> impl IntoView + use<> {
    let whole_studio = data.device.is_none();
    Effect::new(move |_| {
        if whole_studio {
            browser::own_entries();
        }
    });
    let said = match (data.taps.is_empty(), whole_studio) {
        (true, true) => "Nothing is on record yet.",
        (true, false) => "This device has recorded nothing yet.",
        (false, true) => "The newest entries of the whole studio, whoever made them.",
        (false, false) => {
            "What this device recorded last. Nothing is rubbed out: an entry taken back stays readable."
        }
    };
    let taps: Vec<_> = data.taps.iter().map(tap).collect();
    view! {
        <p class="say">{said}</p>
        <ol class="taps">{taps}</ol>
        <p>
            <a class="button quiet" href="/bench">
                "Back to the bench"
            </a>
        </p>
    }
}

fn tap(tap: &Tap) -> impl IntoView + use<> {
    let Tap { at, said, undo } = tap.clone();
    let moment = format!("{}Z", at.replace(' ', "T"));
    let what = said.join("; ");
    let name = format!("Take back: {what}");
    let lines: Vec<_> = said.into_iter().map(|line| view! { <p>{line}</p> }).collect();
    let gone = undo.is_empty();
    let events: Vec<_> =
        undo.iter().map(|id| view! { <input type="hidden" name="event" value=id.to_string() /> }).collect();
    let act = if gone {
        view! { <p class="hint">"taken back"</p> }.into_any()
    } else {
        form(
            "undo",
            view! {
                {events}
                <button class="quiet" aria-label=name>
                    "Take back"
                </button>
            },
        )
    };
    view! {
        <li class:void=gone>
            <div>
                <time datetime=moment>{at}</time>
                {lines}
            </div>
            {act}
        </li>
    }
}
