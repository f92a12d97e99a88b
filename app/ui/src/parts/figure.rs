//! Sets a drawing to scale down: lines and areas by what they are, words beside them.
use leptos::prelude::*;
use tripoise_core::view::figure::{Figure, Ink, Word};

/// The figure with its caption.
pub fn figure(drawn: &Figure) -> impl IntoView + use<> {
    let Figure { said, caption, size: (width, height), .. } = drawn.clone();
    view! {
        <figure class="drawing">
            <svg viewBox=format!("0 0 {width} {height}") width="100%" role="img" aria-label=said>
                {inside(drawn)}
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

/// The lines and words, for a drawing with more in it.
pub fn inside(drawn: &Figure) -> impl IntoView + use<> {
    let inks: Vec<_> = drawn
        .inks
        .iter()
        .map(|Ink { kind, path }| view! { <path class=kind.class() d=path.clone()></path> })
        .collect();
    let words: Vec<_> = drawn.words.iter().map(word).collect();
    view! { {inks} {words} }
}

fn word(word: &Word) -> impl IntoView + use<> {
    let Word { x, y, anchor, text, is_small } = word.clone();
    let class = if is_small { "word small" } else { "word" };
    view! {
        <text class=class x=x.to_string() y=y.to_string() text-anchor=anchor.said()>
            {text}
        </text>
    }
}
