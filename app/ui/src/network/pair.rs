//! `/pair`: eight letters and a name, and the device may come in.
use super::{Around, document, problem};
use leptos::prelude::*;

/// What the page shows.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PairPage {
    /// The code as typed, or as the QR symbol brought it. Nothing is taken before the button is tapped.
    pub code: String,
    /// The device's name as typed.
    pub name: String,
    /// Where to go afterwards.
    pub next: String,
    /// Why the last try did not do.
    pub problem: Option<String>,
    /// Why there is nothing to pair here; the form is then left out.
    pub needless: Option<String>,
    /// Whether the page came over plain HTTP.
    pub over_plain_http: bool,
    /// Whether there is a certificate to set up.
    pub has_set_up: bool,
}

/// The page as a document.
#[must_use]
pub fn pair(page: PairPage, css: &str) -> String {
    let needless = page.needless.clone();
    let body = match needless {
        Some(text) => view! {
            <p class="say">{text}</p>
            <p>
                <a class="button" href="/">"Go to the next load"</a>
            </p>
        }
        .into_any(),
        None => form(page).into_any(),
    };
    document(
        css,
        "Pair this device",
        "once, with a code from the studio's own machine",
        Around::Nothing,
        body,
    )
}

fn form(page: PairPage) -> impl IntoView {
    let plain = page.over_plain_http.then(|| {
        let better = page.has_set_up.then(|| {
            view! {
                " Better: "
                <a href="/set-up">"set this device up"</a>
                " first, then pair it over https."
            }
        });
        view! {
            <p class="notices">
                "This page came over plain http: others on the network can read what passes, and the camera inside the app, installing it and working without network are not to be had so."
                {better}
            </p>
        }
    });
    view! {
        {plain}
        <p class="say">
            "The code stands on the machine that Tripoise runs on: on its page Devices, or on its console, where "
            <code>"tripoise pair"</code> " makes a new one. It is good once, for ten minutes."
        </p>
        {problem(page.problem)}
        <form method="post" action="/pair">
            <input type="hidden" name="next" value=page.next />
            <div class="field">
                <label for="pair-code">"Pairing code"</label>
                <input
                    id="pair-code"
                    name="code"
                    type="text"
                    required
                    maxlength="20"
                    autocomplete="off"
                    autocapitalize="characters"
                    spellcheck="false"
                    aria-describedby="pair-code-hint"
                    value=page.code
                />
                <p class="hint" id="pair-code-hint">"Eight letters, like CDFH-JKLM."</p>
            </div>
            <div class="field">
                <label for="pair-name">"What this device is called"</label>
                <input
                    id="pair-name"
                    name="name"
                    type="text"
                    required
                    maxlength="40"
                    autocomplete="off"
                    aria-describedby="pair-name-hint"
                    value=page.name
                />
                <p class="hint" id="pair-name-hint">
                    "So that it is told apart in the list of devices: \u{201c}phone by the kiln\u{201d}."
                </p>
            </div>
            <button class="first" type="submit">
                "Pair this device"
            </button>
        </form>
        <p class="small">
            "An app on an iPhone's home screen keeps things apart from Safari: pair inside the installed app too."
        </p>
    }
}
