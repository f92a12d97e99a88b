//! `/find`: a code on a big keypad, or in a plain field.
use crate::browser;
use crate::parts::aloud;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::find::Find;

/// The field's id, for the keypad.
const FIELD: &str = "find-code";

/// The keys: the letters of given codes beside a telephone's digits.
const KEYS: [char; 12] = ['F', '1', '2', '3', 'P', '4', '5', '6', 'K', '7', '8', '9'];

/// What was typed and led nowhere, and the form again.
pub fn render(page: &Page, data: &Find) -> impl IntoView + use<> {
    let (typed, said) = (data.typed.clone(), data.said.clone());
    let wrong = !said.is_empty();
    let bench = page.bench;
    view! {
        {bench.then(at_the_bench)}
        {wrong.then(|| view! { <p class="say" role="alert">{said}</p> })}
        {(!data.near.is_empty()).then(|| rows::list("Nearest codes", &data.near))}
        {form(typed, wrong, bench)}
    }
}

/// A plain form that asks for a page: it works without the program. At the bench it keeps that.
pub fn form(typed: String, wrong: bool, bench: bool) -> impl IntoView {
    view! {
        <form method="get" action="/find" class="find">
            {bench.then(|| view! { <input type="hidden" name="bench" value="yes" /> })}
            <div class="field">
                <label for=FIELD>"Code"</label>
                <input
                    type="text"
                    id=FIELD
                    name="code"
                    value=typed
                    maxlength="40"
                    autocomplete="off"
                    autocapitalize="characters"
                    spellcheck="false"
                    aria-describedby="find-hint"
                    aria-invalid=wrong.then_some("true")
                />
                <p class="hint" id="find-hint">
                    "F for shelves, P for posts, K for sets, or the mark a piece bears. A check character after a hyphen is verified."
                </p>
            </div>
            {keypad()}
            <button class="first" type="submit">
                "Open its card"
            </button>
        </form>
    }
}

/// Which mode this is, and the way out of it.
pub fn at_the_bench() -> impl IntoView {
    view! {
        <p>
            "At the bench: after each entry comes the next piece. "
            <a class="button quiet" href="/bench">
                "Open jobs"
            </a>
        </p>
        {aloud::switch()}
    }
}

/// The keypad stands there once the program runs; without it the phone's own keyboard serves.
fn keypad() -> impl IntoView {
    let ready = RwSignal::new(false);
    Effect::new(move |_| ready.set(true));
    move || {
        ready.get().then(|| {
            let keys = KEYS.map(|key| {
                view! {
                    <button type="button" on:click=move |_| browser::press(FIELD, Some(key))>
                        {key.to_string()}
                    </button>
                }
            });
            view! {
                <div class="keys" role="group" aria-label="Keypad">
                    {Vec::from(keys)}
                    <button type="button" aria-label="hyphen" on:click=move |_| browser::press(FIELD, Some('-'))>
                        "-"
                    </button>
                    <button type="button" on:click=move |_| browser::press(FIELD, Some('0'))>
                        "0"
                    </button>
                    <button
                        type="button"
                        class="wide"
                        aria-label="take the last one back"
                        on:click=move |_| browser::press(FIELD, None)
                    >
                        "\u{232b}"
                    </button>
                </div>
            }
        })
    }
}
