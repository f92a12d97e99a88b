//! The name at the top and the bar in the thumb's half of the screen.
use leptos::prelude::*;
use tripoise_core::view::{Page, Tab};

/// The name of the tool, which leads to the first page.
pub fn top() -> impl IntoView {
    view! {
        <header class="top">
            <a href="/">"Tripoise"</a>
        </header>
    }
}

/// The bar. "Scan" stands in the middle: on a phone the likeliest thing is a piece in the hand.
pub fn bar(page: &Page) -> impl IntoView + use<> {
    bar_at(page.tab)
}

/// The same around what is no [`Page`].
pub fn bar_at(current: Tab) -> impl IntoView {
    let item = move |tab: Tab, href: &'static str, text: &'static str| {
        let here = (tab == current).then_some("page");
        let class = if tab == Tab::Find { "find" } else { "" };
        view! {
            <a href=href class=class aria-current=here>
                {text}
            </a>
        }
    };
    view! {
        <nav class="bar" aria-label="Main">
            <div>
                {item(Tab::NextLoad, "/", "Next load")} {item(Tab::Rack, "/rack", "Rack")}
                {item(Tab::Find, "/scan", "Scan")} {item(Tab::Firings, "/firings", "Firings")}
                {item(Tab::More, "/more", "More")}
            </div>
        </nav>
    }
}
