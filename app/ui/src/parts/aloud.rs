//! The switch for reading codes and values aloud, where this browser has a voice.
use crate::browser::speech;
use leptos::prelude::*;
use tripoise_core::view::{Page, spoken};

/// The switch. It comes with the program, as nothing can be said without it.
pub fn switch() -> impl IntoView {
    let (is_there, on) = (RwSignal::new(false), RwSignal::new(false));
    Effect::new(move |_| {
        is_there.set(speech::is_there());
        on.set(speech::is_on());
    });
    let toggle = move |_| {
        speech::switch(!on.get_untracked());
        on.set(speech::is_on());
    };
    move || {
        is_there.get().then(|| {
            view! {
                <button
                    type="button"
                    class="quiet aloud"
                    aria-pressed=move || on.get().to_string()
                    on:click=toggle
                >
                    {move || if on.get() { "Read aloud: on" } else { "Read aloud: off" }}
                </button>
            }
        })
    }
}

/// Says what was recorded just now, and then what the page is about.
pub fn recorded(page: &Page, then: &str) {
    let recorded = page.banner.as_ref().map(|banner| spoken::entry(&banner.said));
    let words: Vec<&str> =
        recorded.as_deref().into_iter().chain([then]).filter(|said| !said.is_empty()).collect();
    if !words.is_empty() {
        say(words.join(". "));
    }
}

/// Says something once the page is there.
pub fn say(text: String) {
    Effect::new(move |_| speech::say(&text));
}
