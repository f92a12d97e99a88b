//! The table of label grids, and one of them to edit.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::label::Paper;
use tripoise_core::view::Page;
use tripoise_core::view::labels::grids::{FORM, GridPage, Grids};

/// The table.
pub fn list(data: &Grids) -> impl IntoView + use<> {
    let rows: Vec<_> = data
        .grids
        .iter()
        .map(|(grid, offered)| {
            let href = format!("/labels/grids/one?name={}", grid.name.replace(' ', "%20"));
            let more = if *offered { "" } else { "put away: not offered" };
            view! {
                <li>
                    <a class="row plain" href=href>
                        <span class="said">{grid.name.clone()} <small>{format!("{} {more}", grid.said())}</small></span>
                    </a>
                </li>
            }
        })
        .collect();
    view! {
        <p>
            "Sizes sold everywhere as plain label sheets, from memory. Hold a print on plain paper against your own sheet, and change what is off."
        </p>
        <ul class="rows" aria-label="Label grids">
            {rows}
        </ul>
        <div class="actions">
            <a class="button first" href="/labels/grids/one">
                "Add a grid"
            </a>
            <a class="button" href="/labels">
                "Make labels"
            </a>
        </div>
    }
}

/// One grid.
pub fn one(page: &Page, data: &GridPage) -> impl IntoView + use<> {
    let unit = page.unit.sign();
    let papers = Paper::ALL.map(|paper| (paper.key().to_owned(), paper.said().to_owned())).to_vec();
    let length =
        |name: &'static str, label: &str| field::length(Field::new(FORM, name, format!("{label}, {unit}")));
    let name = if data.new {
        field::text(Field::new(FORM, "name", "What you call it"), "text").into_any()
    } else {
        view! { <p class="say">{data.grid.name.clone()}</p> }.into_any()
    };
    let fields = view! {
        {name}
        {field::radios(Field::new(FORM, "paper", "Paper"), papers)}
        {field::number(Field::new(FORM, "columns", "Labels side by side"))}
        {field::number(Field::new(FORM, "rows", "Labels one below the other"))}
        {length("width", "A label\u{2019}s width")}
        {length("height", "A label\u{2019}s height")}
        {length("left", "From the paper\u{2019}s left edge to the first label")}
        {length("top", "From the paper\u{2019}s upper edge to the first label")}
        {length("pitch_x", "From one label\u{2019}s left edge to the next one\u{2019}s")}
        {length("pitch_y", "From one label\u{2019}s upper edge to the next one\u{2019}s")}
        {field::tick(Field::new(FORM, "offered", "Offer it when labels are made"), data.offered)}
        {submit("Keep this grid")}
    };
    view! {
        {form(FORM, fields)}
        <p>
            <a class="button quiet" href="/labels/grids">
                "Back to the table"
            </a>
        </p>
    }
}
