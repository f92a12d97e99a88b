//! `/set-up`: how a phone comes to trust the studio's certificate, in words and drawings.
//!
//! Reached over plain HTTP by phones that trust nothing yet, so it holds nothing but what everybody may
//! have. The fingerprint is there to be compared with the studio's own machine: a page on the way can be
//! changed, the console cannot.
use super::{Around, Square, document, sketch};
use leptos::prelude::*;

/// What the page shows.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetUpPage {
    /// The certificate's SHA-256, in groups.
    pub fingerprint: Vec<String>,
    /// This page over plain HTTP: what a phone scans first.
    pub first: Square,
    /// The pairing page over HTTPS: what it scans when the certificate is in.
    pub then: Square,
    /// The same by the machine's addresses, for phones that do not find names ending in `.local`.
    pub by_address: Vec<String>,
}

/// The page as a document; without data, where the server has no HTTPS of its own.
#[must_use]
pub fn set_up(page: Option<SetUpPage>, css: &str) -> String {
    let body = match page {
        Some(page) => steps(page).into_any(),
        None => view! {
            <p class="say">
                "There is no certificate to install: this server was started without " <code>"--lan"</code>
                ". Its address works as it is, on this machine or through the proxy in front of it."
            </p>
        }
        .into_any(),
    };
    document(css, "Set up a phone", "once for each phone, about three minutes", Around::Nothing, body)
}

fn steps(page: SetUpPage) -> impl IntoView {
    let groups: Vec<_> =
        page.fingerprint.iter().map(|group| view! { <span>{group.clone()}" "</span> }).collect();
    let next = page.then.text.clone();
    let by_address: Vec<_> = page
        .by_address
        .into_iter()
        .map(|address| {
            view! {
                <li>
                    <a href=address.clone()>{address.clone()}</a>
                </li>
            }
        })
        .collect();
    view! {
        <p class="say">
            "With the studio's certificate on it, a phone gets the camera inside the app, can install it, and works at the bench without network. Without it, pages work too, over plain http."
        </p>
        <ol class="scans">
            <li>
                <p>"Scan this first, with the phone's own camera. It opens this page on the phone."</p>
                {page.first.drawn("QR symbol of this page over plain http")}
            </li>
            <li>
                <p>"Scan this when the certificate is in. It opens the page that pairs the phone."</p>
                {page.then.drawn("QR symbol of the pairing page over https")}
            </li>
        </ol>
        <h2>"The certificate"</h2>
        <p>"Its fingerprint (SHA-256). Compare it with the one on the studio's own console before you trust it:"</p>
        <p class="fingerprint">{groups}</p>
        {sketch::compare()}
        <div class="actions">
            <a class="button" href="/studio-ca.mobileconfig">"Profile for iPhone and iPad"</a>
            <a class="button" href="/studio-ca.crt" download="studio-ca.crt">"Certificate for Android and others"</a>
        </div>
        <p class="small">
            "It can vouch only for names that end in .local and for addresses of local networks, for nothing on the internet. To be rid of it, remove it where you installed it."
        </p>
        {on_ios()}
        {on_android()}
        <h2>"Then"</h2>
        <p>
            <a class="button first" href=next>"The certificate is in: go on to pairing"</a>
        </p>
        <p>"A phone that does not find the name takes an address instead:"</p>
        <ul>{by_address}</ul>
        <p class="small">
            "On a computer, add the certificate to the system's (for Firefox: the browser's) certificate authorities, for websites."
        </p>
    }
}

fn on_ios() -> impl IntoView {
    view! {
        <h2>"iPhone and iPad"</h2>
        <ol class="steps drawn">
            <li>
                {sketch::arrives()}
                <p>"Open this page in Safari. Tap \u{201c}Profile for iPhone and iPad\u{201d} above, then allow the download."</p>
            </li>
            <li>
                {sketch::row()}
                <p>"Open the phone's settings. \u{201c}Profile downloaded\u{201d} stands near the top: tap it."</p>
            </li>
            <li>
                {sketch::install()}
                <p>
                    "Tap install in the corner, give the phone's own passcode, and install once more. It says that the profile is not signed: nobody but the studio could sign it, so the fingerprint is what counts."
                </p>
            </li>
            <li>
                {sketch::switch()}
                <p>
                    "Still in the settings: General, About, Certificate trust settings, at the very bottom. Switch the studio's certificate on. Without this step the phone keeps warning."
                </p>
            </li>
        </ol>
    }
}

fn on_android() -> impl IntoView {
    view! {
        <h2>"Android"</h2>
        <ol class="steps drawn">
            <li>
                {sketch::arrives()}
                <p>"Tap \u{201c}Certificate for Android and others\u{201d} above. The file studio-ca.crt is kept under Downloads."</p>
            </li>
            <li>
                {sketch::row()}
                <p>
                    "Open the phone's settings and search them for \u{201c}CA certificate\u{201d}. Makers put it in different places, mostly under security, encryption and credentials, install a certificate."
                </p>
            </li>
            <li>
                {sketch::install()}
                <p>
                    "Choose CA certificate, install anyway, unlock the phone, and pick studio-ca.crt. The phone warns that such a certificate could be used to read along: it says so of every one."
                </p>
            </li>
        </ol>
    }
}
