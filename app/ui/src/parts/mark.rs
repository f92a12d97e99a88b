//! Marks: a word and a shape, never a colour alone.
use leptos::prelude::*;
use tripoise_core::view::{Mark, Shape};

/// The mark with its shape drawn before its word.
pub fn mark(mark: &Mark) -> impl IntoView + use<> {
    let (class, drawing) = match mark.shape {
        Shape::Plain => ("mark fit", None),
        Shape::Unknown => ("mark unknown", Some("M9 2a7 7 0 1 0 .01 0z")),
        Shape::Look => ("mark look", Some("M9 2 17 16H1Z")),
        Shape::Stop => ("mark stop", Some("M2 2h14v14H2z")),
        Shape::Gone => ("mark gone", Some("M1 9h16")),
    };
    view! {
        <span class=class>
            {drawing
                .map(|path| {
                    view! {
                        <svg viewBox="0 0 18 18" aria-hidden="true" focusable="false">
                            <path d=path></path>
                        </svg>
                    }
                })}
            <span>{mark.word.clone()}</span>
        </span>
    }
}
