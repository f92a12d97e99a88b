//! A photo of a piece: taken or chosen, scaled down, kept, then recorded.
use crate::app::Frame;
use crate::browser::photo::{self, Kept, State};
use crate::parts::field::{self, Field};
use crate::parts::form::{form_with_file, submit};
use leptos::prelude::*;

const FORM: &str = "photo";

/// The form. The program scales the picture down and keeps it before the form is sent; without it, the browser posts
/// the file, and the server scales it down.
pub fn render() -> impl IntoView {
    let state = RwSignal::new(came_back());
    // A file that was chosen before the program was there.
    Effect::new(move |_| photo::chosen_already("photo-file", state));
    let file = || Field::new(FORM, "file", String::new());
    let fields = view! {
        <div class="field">
            <label for="photo-file">"Take a photo, or choose one"</label>
            <input
                type="file"
                id="photo-file"
                name="file"
                accept="image/*"
                capture="environment"
                aria-describedby="photo-file-hint photo-file-problem"
                aria-invalid=field::invalid(&file())
                on:change=move |event| photo::chosen(&event, state)
            />
            <p class="hint" id="photo-file-hint">
                "It is scaled down to 1600 pixels before it is kept."
            </p>
            {field::problem(file())}
            <div role="status">{move || said(&state.get())}</div>
        </div>
        {move || match state.get() {
            State::Kept(kept) => Some(hidden(&kept)),
            _ => None,
        }}
        {field::text(Field::new(FORM, "note", "What it shows").hint("such as crack by the left post; may stay empty"), "text")}
        {submit("Keep the photo")}
    };
    form_with_file(FORM, fields)
}

/// The photo that the server has kept already, where it sent the form back for something else.
fn came_back() -> State {
    let form = Frame::get().form.get_untracked();
    let value = |name: &str| form.values.get(name).and_then(|values| values.first()).cloned();
    let number = |name: &str| value(name)?.parse().ok();
    let kept = || {
        let (sha256, media) = (value("sha256")?, value("media")?);
        let (width, height, bytes) = (number("width")?, number("height")?, number("bytes")?);
        let src = format!("/photos/{sha256}");
        Some(Kept { sha256, media, width, height, bytes: usize::try_from(bytes).ok()?, src })
    };
    match kept() {
        Some(kept) if form.action == FORM => State::Kept(Box::new(kept)),
        _ => State::Nothing,
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
    let kept_on = if kept.src.starts_with("/photos/") { "server" } else { "phone" };
    let fields = [
        ("kept_on", kept_on.to_owned()),
        ("sha256", kept.sha256.clone()),
        ("media", kept.media.clone()),
        ("width", kept.width.to_string()),
        ("height", kept.height.to_string()),
        ("bytes", kept.bytes.to_string()),
    ];
    fields.map(|(name, value)| view! { <input type="hidden" name=name value=value /> }).collect_view()
}
