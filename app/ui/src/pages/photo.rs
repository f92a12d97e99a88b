//! A photo of a piece: taken or chosen, scaled down on the phone, kept, then recorded.
use crate::browser::photo::{self, Kept, State};
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;

const FORM: &str = "photo";

/// The form. It needs the program, since the picture is scaled down before it is sent; without it, the page says so.
pub fn render() -> impl IntoView {
    let state = RwSignal::new(State::Nothing);
    let ready = RwSignal::new(false);
    Effect::new(move |_| ready.set(true));
    let fields = view! {
        <div class="field">
            <label for="photo-file">"Take a photo, or choose one"</label>
            <input
                type="file"
                id="photo-file"
                accept="image/*"
                capture="environment"
                aria-describedby="photo-file-hint"
                on:change=move |event| photo::chosen(&event, state)
            />
            <p class="hint" id="photo-file-hint">
                "It is scaled down to 1600 pixels on this device before it is sent."
            </p>
            <div role="status">{move || said(&state.get())}</div>
        </div>
        {move || match state.get() {
            State::Kept(kept) => Some(hidden(&kept)),
            _ => None,
        }}
        {field::text(Field::new(FORM, "note", "What it shows").hint("such as crack by the left post; may stay empty"), "text")}
        {submit("Keep the photo")}
    };
    view! {
        <p class="unless-ready">
            {move || {
                (!ready.get())
                    .then_some(
                        "A photo is scaled down on the phone before it is sent; that needs JavaScript, which is off or still loading here. A note can say the same in words.",
                    )
            }}
        </p>
        {form(FORM, fields)}
    }
}

/// How far it is: nothing yet, at work, failed, or the picture itself.
fn said(state: &State) -> AnyView {
    match state {
        State::Nothing => ().into_any(),
        State::Working => view! { <p>"Scaling it down\u{2026}"</p> }.into_any(),
        State::Failed(why) => {
            let why = why.clone();
            view! { <p class="problem">{why}</p> }.into_any()
        }
        State::Kept(kept) => {
            let Kept { width, height, bytes, .. } = *kept.clone();
            let size = format!("{width} by {height} pixels, {} kB, kept.", bytes.div_ceil(1000));
            view! {
                <img
                    class="photo"
                    src=kept.src.clone()
                    alt="The photo as it is kept"
                    width=width.to_string()
                    height=height.to_string()
                />
                <p>{size}</p>
            }
            .into_any()
        }
    }
}

/// What the entry says of the file.
fn hidden(kept: &Kept) -> impl IntoView + use<> {
    let fields = [
        ("sha256", kept.sha256.clone()),
        ("media", kept.media.clone()),
        ("width", kept.width.to_string()),
        ("height", kept.height.to_string()),
        ("bytes", kept.bytes.to_string()),
    ];
    fields.map(|(name, value)| view! { <input type="hidden" name=name value=value /> }).collect_view()
}
