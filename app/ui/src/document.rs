//! The whole HTML document around a page, on the server.
use crate::App;
use leptos::nonce::use_nonce;
use leptos::prelude::*;
use std::sync::Arc;
use tripoise_core::view::Page;

/// Where the document finds the browser bundle. All empty where the server was built without one: the
/// pages then work as plain HTML.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Assets {
    /// The style sheet's path.
    pub css: String,
    /// The path of the decoder of QR symbols, loaded when a camera opens.
    pub decoder: String,
    /// The inline module that starts the program.
    pub start: String,
}

/// A page as a document.
pub fn document(page: Arc<Page>, assets: &Assets) -> impl IntoView + use<> {
    let json = if page.is_live() && !assets.start.is_empty() { page_json(&page) } else { String::new() };
    // As text of our own: leptos would set a mark after it, which a title shows.
    let title = escaped(&format!("{} \u{b7} Tripoise", page.title));
    let start = assets.start.clone();
    let nonce = use_nonce();
    view! {
        <!DOCTYPE html>
        <html lang="en">
            <head>
                {head(assets)} <title inner_html=title></title>
                {(!json.is_empty())
                    .then(|| view! { <script id="page-data" type="application/json" inner_html=json></script> })}
                {(!start.is_empty())
                    .then(|| view! { <script type="module" nonce=nonce inner_html=start></script> })}
            </head>
            <body>
                <App page />
            </body>
        </html>
    }
}

/// The document without a page in it: a phone keeps it, and its program puts the page in from what the phone
/// holds. It says nothing of the studio, so it is the same for everyone.
///
/// # Input   `assets.start` is its only script, without a nonce: the policy that goes with it names its hash.
#[must_use]
pub fn shell(assets: &Assets) -> String {
    let start = assets.start.clone();
    let whole = view! {
        <!DOCTYPE html>
        <html lang="en">
            <head>
                {head(assets)} <meta name="shell" content="yes" /> <title>"Tripoise"</title>
                <script type="module" inner_html=start></script>
            </head>
            <body>
                <main id="main" class="page">
                    <h1>"Tripoise"</h1>
                    <p class="say" id="opening" role="status">
                        "Opening what is on this phone\u{2026}"
                    </p>
                </main>
            </body>
        </html>
    };
    Owner::new().with(|| whole.to_html())
}

/// What every document's head begins with.
fn head(assets: &Assets) -> impl IntoView + use<> {
    let Assets { css, decoder, .. } = assets.clone();
    view! {
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        {bar_colour("#f7f4ee", "(prefers-color-scheme: light)")}
        {bar_colour("#161311", "(prefers-color-scheme: dark)")}
        <meta name="decoder" content=decoder />
        {(!css.is_empty())
            .then(|| {
                view! {
                    <link rel="stylesheet" href=css />
                    <link rel="icon" href="/icon.svg" type="image/svg+xml" />
                    <link rel="apple-touch-icon" href="/icon-192.png" />
                    // Browsers ask for it without the cookie otherwise, and a stranger gets none.
                    <link rel="manifest" href="/manifest.webmanifest" crossorigin="use-credentials" />
                }
            })}
    }
}

/// The colour of the browser's own bar; `media` is no attribute that leptos knows of this element.
fn bar_colour(colour: &'static str, media: &'static str) -> impl IntoView {
    leptos::html::meta().name("theme-color").content(colour).attr("media", media)
}

/// The page as JSON that can stand inside a script element: no `<` in it.
fn page_json(page: &Page) -> String {
    match serde_json::to_string(page) {
        Ok(json) => json.replace('<', "\\u003c"),
        // A page is plain data with text keys; if it ever were not, the page still works without a program.
        Err(_) => String::new(),
    }
}

/// Text as it stands inside an element.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn a_title_cannot_end_early() {
        assert_eq!(escaped("wash & <b>"), "wash &amp; &lt;b>");
    }
}
