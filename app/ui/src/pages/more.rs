//! `/more`: the way to everything that the bar does not name.
use leptos::prelude::*;
use tripoise_core::view::more::More;

/// The rest of the tool.
pub fn render(data: &More) -> impl IntoView + use<> {
    let add = [
        ("/add/shelves", "Shelves", "ten alike at a time"),
        ("/add/posts", "Posts", "a dozen of one height at a time"),
        ("/sets/new", "A set", "three or four posts"),
        ("/add/kiln", "A kiln", "its racks hold the rest"),
    ];
    let see = [
        ("/bench", "Bench jobs", "what is open, by job; several at once; take back"),
        ("/rack?show=shelves", "All shelves", "drawn with their bow"),
        ("/posts", "All posts", "by height, and which go together"),
        ("/rack?show=sets", "All sets", "with their verdicts"),
        ("/plans", "Plans of loads", "kiln by kiln, checked from the floor up"),
        ("/match", "Match posts", "the best sets of one height, exactly"),
        ("/life", "How long pieces last", "by material and kiln, and what a firing costs"),
        ("/rack?show=retired", "Set aside", "and why"),
    ];
    let tool = [
        ("/devices".to_owned(), "Devices", "phones that may come in: pair, rename, shut out".to_owned()),
        ("/phone".to_owned(), "This phone", "what waits on it for the server".to_owned()),
        ("/labels".to_owned(), "Labels", "for rack slots and tags; how to mark pieces".to_owned()),
        ("/record".to_owned(), "The record", data.record.clone()),
        ("/settings".to_owned(), "Settings", data.settings.clone()),
        ("/about".to_owned(), "About", "what it does not know, cautions, licence".to_owned()),
    ];
    view! {
        <h2>"Add to the stock"</h2>
        {list("Add to the stock", owned(&add))}
        <h2>"Look through"</h2>
        {list("Look through", owned(&see))}
        <h2>"The tool"</h2>
        {list("The tool", tool.to_vec())}
    }
}

fn owned(items: &[(&str, &'static str, &str)]) -> Vec<(String, &'static str, String)> {
    items.iter().map(|(href, text, more)| ((*href).to_owned(), *text, (*more).to_owned())).collect()
}

fn list(label: &'static str, items: Vec<(String, &'static str, String)>) -> impl IntoView {
    let items: Vec<_> = items
        .into_iter()
        .map(|(href, text, more)| {
            view! {
                <li>
                    <a class="row plain" href=href>
                        <span class="said">{text} <small>{more}</small></span>
                    </a>
                </li>
            }
        })
        .collect();
    view! {
        <ul class="rows" aria-label=label>
            {items}
        </ul>
    }
}
