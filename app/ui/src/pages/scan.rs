//! `/scan`: the camera, a photo, and beneath them the keypad of `/find`.
use super::find;
use crate::browser::scan::{Camera, Scanner, VIEW, Wish};
use crate::parts::aloud;
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::scan::Scan;

/// Without the program it is the form of `/find` with a word on what is missing.
pub fn render(page: &Page, data: &Scan) -> impl IntoView + use<> {
    let bench = data.bench;
    if bench {
        aloud::recorded(page, "");
    }
    let scanner = Scanner::new(data.clone());
    let ready = RwSignal::new(false);
    Effect::new(move |_| ready.set(true));
    view! {
        {bench.then(find::at_the_bench)}
        {move || {
            if ready.get() {
                camera(scanner).into_any()
            } else {
                view! {
                    <p class="hint">
                        "With scripts on, the camera or a photo reads labels here. Without them the phone\u{2019}s own camera app opens a label\u{2019}s card, or type the code."
                    </p>
                }
                    .into_any()
            }
        }}
        <h2>"By its code"</h2>
        {find::form(String::new(), false, bench)}
    }
}

fn camera(scanner: Scanner) -> impl IntoView {
    // Once the element for the picture is there.
    Effect::new(move |_| scanner.ask(Wish::Begin));
    on_cleanup(move || scanner.ask(Wish::Close));
    let is_open = move || matches!(scanner.camera.get(), Camera::Open { .. });
    view! {
        <section class="scan" aria-label="Camera">
            <video
                id=VIEW
                muted
                playsinline
                aria-label="what the camera sees"
                hidden=move || !is_open()
            ></video>
            <p class="said" role="status">
                {move || scanner.said.get()}
            </p>
            {move || camera_button(scanner)}
            <label class="button photo">
                <input
                    type="file"
                    accept="image/*"
                    capture="environment"
                    on:change=move |event| scanner.ask(Wish::Photo(event))
                />
                <span>"Read a photo"</span>
            </label>
            <div class="switches">
                {switch("Sound", scanner.sound, move |on| scanner.ask(Wish::Sound(on)))}
                {move || {
                    scanner
                        .vibrates
                        .get()
                        .then(|| switch("Vibration", scanner.vibration, move |on| scanner.ask(Wish::Vibration(on))))
                }}
            </div>
        </section>
    }
}

fn camera_button(scanner: Scanner) -> AnyView {
    match scanner.camera.get() {
        Camera::Closed => view! {
            <button type="button" class="first" on:click=move |_| scanner.ask(Wish::Open)>
                "Open the camera"
            </button>
        }
        .into_any(),
        Camera::Opening => view! {
            <button type="button" class="first" disabled>
                "Opening\u{2026}"
            </button>
        }
        .into_any(),
        Camera::Open { lamp } => view! {
            <div class="actions">
                {lamp
                    .map(|lit| {
                        view! {
                            <button
                                type="button"
                                aria-pressed=lit.to_string()
                                on:click=move |_| scanner.ask(Wish::Lamp)
                            >
                                {if lit { "Light off" } else { "Light on" }}
                            </button>
                        }
                    })}
                <button type="button" on:click=move |_| scanner.ask(Wish::Close)>
                    "Close the camera"
                </button>
            </div>
        }
        .into_any(),
    }
}

fn switch(text: &'static str, on: RwSignal<bool>, set: impl Fn(bool) + 'static) -> impl IntoView {
    view! {
        <label class="tick">
            <input
                type="checkbox"
                prop:checked=move || on.get()
                on:change=move |event| set(event_target_checked(&event))
            />
            {text}
        </label>
    }
}
