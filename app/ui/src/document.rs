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
    /// The JavaScript module's path, preloaded.
    pub js: String,
    /// The program's path, preloaded.
    pub wasm: String,
    /// The path of the decoder of QR symbols, loaded when a camera opens.
    pub decoder: String,
    /// The inline module that starts the program.
    pub start: String,
}

/// A page as a document.
pub fn document(page: Arc<Page>, assets: &Assets) -> impl IntoView + use<> {
    let json = if page.is_live() { page_json(&page) } else { String::new() };
    // As text of our own: leptos would set a mark after it, which a title shows.
    let title = escaped(&format!("{} \u{b7} Tripoise", page.title));
    let Assets { css, js, wasm, decoder, start } = assets.clone();
    let has_program = page.is_live() && !start.is_empty();
    let nonce = use_nonce();
    view! {
        <!DOCTYPE html>
        <html lang="en">
            <head>
                <meta charset="utf-8" />
                <meta name="viewport" content="width=device-width, initial-scale=1" />
                <meta name="color-scheme" content="light dark" />
                <meta name="theme-color" content="#f7f4ee" media="(prefers-color-scheme: light)" />
                <meta name="theme-color" content="#161311" media="(prefers-color-scheme: dark)" />
                <title inner_html=title></title>
                {(!css.is_empty())
                    .then(|| {
                        view! {
                            <link rel="stylesheet" href=css />
                            <link rel="icon" href="/icon.svg" type="image/svg+xml" />
                            // Browsers ask for it without the cookie otherwise, and a stranger gets none.
                            <link rel="manifest" href="/manifest.webmanifest" crossorigin="use-credentials" />
                        }
                    })}
                {has_program
                    .then(|| {
                        view! {
                            <link rel="modulepreload" href=js nonce=nonce.clone() />
                            <link rel="preload" href=wasm r#as="fetch" r#type="application/wasm" crossorigin />
                            <meta name="decoder" content=decoder />
                            <script id="page-data" type="application/json" inner_html=json></script>
                            <script type="module" nonce=nonce inner_html=start></script>
                        }
                    })}
            </head>
            <body>
                <App page />
            </body>
        </html>
    }
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
