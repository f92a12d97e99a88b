//! A form that works with and without JavaScript.
//!
//! Without, the browser posts it to the page's own address. With, the same reading runs in the browser
//! ([`crate::browser::submit`]): problems appear beside the fields at once, and events go to
//! `POST /api/v1/events`. Fields are not bound to signals: what is typed before the program has loaded
//! stays where it is.
use crate::app::Frame;
use crate::browser;
use leptos::prelude::*;

/// A form of this page. `action` tells the page's forms apart; it is posted as `do`.
pub fn form(action: &'static str, body: impl IntoView + 'static) -> AnyView {
    form_as(action, None, body.into_any())
}

/// A form with a file: a browser without the program posts the file with it.
pub fn form_with_file(action: &'static str, body: impl IntoView + 'static) -> AnyView {
    form_as(action, Some("multipart/form-data"), body.into_any())
}

fn form_as(action: &'static str, encoded_as: Option<&'static str>, body: AnyView) -> AnyView {
    let frame = Frame::get();
    let problems = move || {
        let state = frame.form.get();
        (state.action == action && !state.problems.is_empty()).then(|| {
            let lines: Vec<_> = state
                .problems
                .iter()
                .map(|problem| {
                    let to = format!("#{action}-{}", problem.field);
                    view! {
                        <li>
                            <a href=to>{problem.cause.clone()}</a>
                        </li>
                    }
                })
                .collect();
            view! {
                <div class="problems" role="alert">
                    <p>"Not recorded yet. What you typed is still here."</p>
                    <ul>{lines}</ul>
                </div>
            }
        })
    };
    view! {
        <form method="post" enctype=encoded_as novalidate on:submit=move |event| browser::submit(&event, frame)>
            <input type="hidden" name="do" value=action />
            {problems}
            {body}
        </form>
    }
    .into_any()
}

/// The form's main button. It says so while the form is being recorded, and cannot be pressed twice.
pub fn submit(text: &'static str) -> impl IntoView {
    let frame = Frame::get();
    view! {
        <button class="first" type="submit" disabled=move || frame.busy.get()>
            {move || if frame.busy.get() { "Recording\u{2026}" } else { text }}
        </button>
    }
}
