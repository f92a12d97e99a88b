//! The pages by which a phone comes in: set up, pair, and the list of devices. On the server only.
//!
//! They are no part of the program and load none: they show what is this machine's own and secret, they
//! must work on a phone that may see nothing else yet, and they are never shown offline. Each is a function
//! of plain data to a whole document.
//!
//! What this does not do: decide anything; the server's gate and its routes do.

mod devices;
mod pair;
mod set_up;
mod sketch;

pub use devices::{DeviceLine, DevicesPage, ShownCode, devices};
pub use pair::{PairPage, pair};
pub use set_up::{SetUpPage, set_up};

use crate::parts::nav;
use leptos::prelude::*;
use tripoise_core::view::Tab;

/// A QR symbol with the address in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Square {
    /// What a camera reads.
    pub text: String,
    /// Modules on a side, the quiet zone counted in.
    pub side: u8,
    /// The dark modules as an SVG path.
    pub path: String,
}

impl Square {
    fn drawn(self, label: &'static str) -> impl IntoView {
        let view_box = format!("0 0 {0} {0}", self.side);
        view! {
            <figure class="square">
                <svg viewBox=view_box role="img" aria-label=label>
                    <rect class="light" width="100%" height="100%" />
                    <path class="dark" d=self.path />
                </svg>
                <figcaption>{self.text}</figcaption>
            </figure>
        }
    }
}

/// How much of the usual frame a page has: a stranger gets no links to what a stranger may not see.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Around {
    Nothing,
    TheBar,
}

/// The document around one of these pages.
fn document(css: &str, title: &str, subtitle: &str, around: Around, body: impl IntoView + 'static) -> String {
    let head_title = format!("{title} \u{b7} Tripoise");
    let style = (!css.is_empty()).then(|| view! { <link rel="stylesheet" href=css.to_owned() /> });
    let (title, subtitle) = (title.to_owned(), subtitle.to_owned());
    let with_bar = around == Around::TheBar;
    let class = if with_bar { "page" } else { "page alone" };
    // A stranger gets no icon; an empty one keeps browsers from asking for it.
    let icon = if with_bar { "/icon.svg" } else { "data:," };
    let whole = view! {
        <!DOCTYPE html>
        <html lang="en">
            <head>
                <meta charset="utf-8" />
                <meta name="viewport" content="width=device-width, initial-scale=1" />
                <meta name="color-scheme" content="light dark" />
                <title inner_html=head_title></title>
                <link rel="icon" href=icon />
                {style}
            </head>
            <body>
                <a class="skip" href="#main">"Skip to the page"</a>
                {with_bar.then(nav::top)}
                <main id="main" class=class>
                    <header class="head">
                        <h1>{title}</h1>
                        <p class="where">{subtitle}</p>
                    </header>
                    {body.into_any()}
                </main>
                {with_bar.then(|| nav::bar_at(Tab::More))}
            </body>
        </html>
    };
    Owner::new().with(|| whole.to_html())
}

/// What is wrong, above a form; empty where nothing is.
fn problem(text: Option<String>) -> impl IntoView {
    text.map(|text| {
        view! {
            <div class="problems" role="alert">
                <p>{text}</p>
            </div>
        }
    })
}
