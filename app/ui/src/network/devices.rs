//! `/devices`: which devices are paired; rename one, shut one out; on the machine itself, make a code.
use super::{Around, Square, document, problem};
use leptos::prelude::*;

/// What the page shows.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DevicesPage {
    /// Who is looking, in one sentence.
    pub you: String,
    /// Whether codes are made here: on the studio's own machine only.
    pub makes_codes: bool,
    /// Said instead of the button, where no other device can reach the server.
    pub alone: Option<String>,
    /// The code that is good now.
    pub code: Option<ShownCode>,
    /// Whether there is a certificate to set up.
    pub has_set_up: bool,
    /// The devices, the latest paired first.
    pub devices: Vec<DeviceLine>,
    /// Why the last form did not do.
    pub problem: Option<String>,
}

/// The pairing code on the machine's own screen.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ShownCode {
    /// `CDFH-JKLM`.
    pub code: String,
    /// "14:32".
    pub until: String,
    /// The page that takes it, with the code filled in.
    pub square: Option<Square>,
}

/// One device.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DeviceLine {
    /// For forms.
    pub id: String,
    /// What its user called it.
    pub name: String,
    /// "2026-03-01".
    pub paired: String,
    /// "2026-03-01, 14 h".
    pub seen: String,
    /// When it was shut out.
    pub revoked: Option<String>,
    /// Whether this is the one that is looking.
    pub is_this: bool,
}

/// The page as a document.
#[must_use]
pub fn devices(page: DevicesPage, css: &str) -> String {
    let (gone, there): (Vec<_>, Vec<_>) =
        page.devices.into_iter().partition(|device| device.revoked.is_some());
    let subtitle = match there.len() {
        0 => "none is paired yet".to_owned(),
        1 => "1 is paired".to_owned(),
        n => format!("{n} are paired"),
    };
    let lines: Vec<_> = there.into_iter().map(line).collect();
    let gone = (!gone.is_empty()).then(|| {
        let lines: Vec<_> = gone
            .into_iter()
            .map(|device| {
                let when = device.revoked.unwrap_or_default();
                view! {
                    <li>
                        <s>{device.name}</s>
                        {format!(" paired {}, shut out {when}", device.paired)}
                    </li>
                }
            })
            .collect();
        view! {
            <h2>"Shut out"</h2>
            <ul>{lines}</ul>
        }
    });
    let set_up = page.has_set_up.then(|| {
        view! {
            <p>
                <a class="button" href="/set-up">"Set up a phone"</a>
            </p>
        }
    });
    let body = view! {
        <p class="say">{page.you}</p>
        {problem(page.problem)}
        {new_code(page.makes_codes, page.alone, page.code)}
        {set_up}
        <h2>"Paired"</h2>
        <ul class="devices">{lines}</ul>
        {gone}
        <p class="small">
            "A device that is shut out is refused from its next request on. What it has already kept for working without network stays on it: take that off in its browser."
        </p>
    };
    document(css, "Devices", &subtitle, Around::TheBar, body)
}

fn new_code(makes_codes: bool, alone: Option<String>, code: Option<ShownCode>) -> AnyView {
    if let Some(text) = alone {
        return view! { <p class="notices">{text}</p> }.into_any();
    }
    if !makes_codes {
        return view! {
            <p class="small">
                "To pair another, make a code on the machine that Tripoise runs on: on this page there, or with "
                <code>"tripoise pair"</code>"."
            </p>
        }
        .into_any();
    }
    let shown = code.map(|code| {
        view! {
            <section class="pairing" aria-label="Pairing code">
                <p class="letters">{code.code}</p>
                <p>{format!("Good until {}, once.", code.until)}</p>
                {code.square.map(|square| square.drawn("QR symbol of the pairing page, with the code filled in"))}
            </section>
        }
    });
    view! {
        {shown}
        <form method="post" action="/devices">
            <input type="hidden" name="do" value="code" />
            <button class="first" type="submit">
                "Make a pairing code"
            </button>
        </form>
    }
    .into_any()
}

fn line(device: DeviceLine) -> impl IntoView {
    let this = device.is_this.then(|| view! { <strong>" (this one)"</strong> });
    let field = format!("name-{}", device.id);
    let shut_out = format!("Shut out {}", device.name);
    view! {
        <li>
            <h3>{device.name.clone()} {this}</h3>
            <p class="small">{format!("paired {}, last seen {}", device.paired, device.seen)}</p>
            <details>
                <summary>"Rename or shut out"</summary>
                <form method="post" action="/devices">
                    <input type="hidden" name="do" value="rename" />
                    <input type="hidden" name="device" value=device.id.clone() />
                    <div class="field">
                        <label for=field.clone()>"What it is called"</label>
                        <input id=field name="name" type="text" required maxlength="40" autocomplete="off" value=device.name />
                    </div>
                    <button type="submit">"Rename"</button>
                </form>
                <form method="post" action="/devices">
                    <input type="hidden" name="do" value="revoke" />
                    <input type="hidden" name="device" value=device.id />
                    <button type="submit">{shut_out}</button>
                </form>
            </details>
        </li>
    }
}
