//! Small drawings beside the steps: what kind of thing to look for, not how any phone's screen looks.
use leptos::prelude::*;

/// A phone's outline with something on it.
fn phone(label: &'static str, on_it: impl IntoView + 'static) -> impl IntoView {
    view! {
        <svg class="sketch" viewBox="0 0 90 120" role="img" aria-label=label>
            <rect class="edge" x="15" y="4" width="60" height="112" rx="9" />
            {on_it}
        </svg>
    }
}

/// A sheet with a seal: the certificate.
fn sheet(x: u8, y: u8) -> impl IntoView {
    let at = format!("translate({x} {y})");
    view! {
        <g transform=at>
            <path class="edge" d="M0 0h20l8 8v26h-28z M20 0v8h8" />
            <path class="thin" d="M5 13h18 M5 18h18" />
            <circle class="seal" cx="14" cy="26" r="5" />
            <path class="edge" d="M11 30l-2 7 5-3 5 3-2-7" />
        </g>
    }
}

/// The certificate comes onto the phone.
pub(super) fn arrives() -> impl IntoView {
    phone(
        "A sheet with a seal comes down onto the phone",
        view! {
            <path class="mark" d="M45 14v24 M37 31l8 9 8-9" />
            {sheet(31, 52)}
            <path class="edge" d="M26 98h38" />
        },
    )
}

/// One row of a list is tapped.
pub(super) fn row() -> impl IntoView {
    phone(
        "A list on the phone; one line near the top is tapped",
        view! {
            <circle class="edge" cx="45" cy="20" r="6" />
            <path class="edge" d="M45 10v3 M45 27v3 M35 20h3 M52 20h3 M38 13l2 2 M50 25l2 2 M52 13l-2 2 M40 25l-2 2" />
            <rect class="seal" x="22" y="38" width="46" height="13" rx="3" />
            <circle class="mark" cx="60" cy="45" r="11" />
            <path class="thin" d="M24 62h42 M24 74h42 M24 86h42 M24 98h42" />
        },
    )
}

/// The certificate is installed.
pub(super) fn install() -> impl IntoView {
    phone(
        "The sheet with the seal on the phone, and a button below it that is tapped",
        view! {
            {sheet(31, 18)}
            <path class="thin" d="M26 64h38 M26 71h26" />
            <rect class="seal" x="27" y="84" width="36" height="15" rx="4" />
            <circle class="mark" cx="57" cy="93" r="12" />
        },
    )
}

/// A switch is put on.
pub(super) fn switch() -> impl IntoView {
    phone(
        "A list on the phone; at its end a switch that is on",
        view! {
            <path class="thin" d="M24 20h42 M24 32h42 M24 44h42 M24 56h42" />
            <path class="edge" d="M24 84h14" />
            <rect class="seal" x="44" y="76" width="24" height="15" rx="7.5" />
            <circle class="knob" cx="60.5" cy="83.5" r="5" />
            <circle class="mark" cx="58" cy="84" r="15" />
        },
    )
}

/// Two fingerprints are held against each other.
pub(super) fn compare() -> impl IntoView {
    view! {
        <svg
            class="sketch wide"
            viewBox="0 0 200 120"
            role="img"
            aria-label="The same groups of letters on the studio's screen and on the phone"
        >
            <rect class="edge" x="6" y="18" width="92" height="62" rx="5" />
            <path class="edge" d="M52 80v16 M32 98h40" />
            <path class="groups" d="M18 38h12 M36 38h12 M54 38h12 M72 38h12 M18 54h12 M36 54h12 M54 54h12 M72 54h12" />
            <path class="mark" d="M108 54h16 M108 64h16" />
            <rect class="edge" x="134" y="4" width="60" height="112" rx="9" />
            <path class="groups" d="M144 44h10 M159 44h10 M174 44h10 M144 60h10 M159 60h10 M174 60h10 M144 76h10 M159 76h10" />
        </svg>
    }
}
