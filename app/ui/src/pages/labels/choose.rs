//! Which labels to make.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::labels::choose::{Choose, FORM, USUAL_ADDRESS};

fn field(name: &'static str, label: &'static str) -> Field {
    Field::new(FORM, name, label)
}

/// The form, and the sheets made before.
pub fn render(data: &Choose) -> impl IntoView + use<> {
    let (name, address) = match &data.studio {
        Some((_, name, address)) => (name.clone(), address.clone()),
        None => (String::new(), USUAL_ADDRESS.to_owned()),
    };
    let which =
        [("new", "those without one"), ("all", "all of them"), ("rack", "one rack"), ("one", "one piece")];
    let which = which.map(|(key, said)| (key.to_owned(), said.to_owned()));
    let first = if data.one.is_empty() { "new" } else { "one" };
    let racks = data.racks.iter().map(|rack| (rack.clone(), rack.clone())).collect();
    let grids = data.grids.iter().map(|grid| (grid.name.clone(), format!("{}: {}", grid.name, grid.said())));
    let grids = grids.collect();
    let fields = view! {
        {field::radios(field("which", "For which pieces").value(first), which.to_vec())}
        <fieldset class="ticks" id="labels-kinds" tabindex="-1">
            <legend>"Of these"</legend>
            {field::tick(field("kinds", "shelves").value("shelf"), true)}
            {field::tick(field("kinds", "sets").value("set"), true)}
            {field::tick(field("kinds", "single posts").value("post"), false)}
        </fieldset>
        {(!data.racks.is_empty())
            .then(|| field::select(field("rack", "Which rack").hint("only for one rack"), racks))}
        {field::text(field("code", "Which piece").value(data.one.clone()).hint("its code; only for one piece"), "text")}
        {field::select(field("grid", "On which sheet"), grids)}
        {field::number(field("skip", "Labels used up at its beginning").hint("may stay empty"))}
        {field::text(field("name", "Name of the studio").value(name).hint("printed small"), "text")}
        {field::text(
            field("address", "Address that phones open")
                .value(address)
                .hint("part of each symbol; tripoise serve --lan prints it. A label still leads to its piece after a move, but only when it is scanned inside the tool"),
            "url",
        )}
        {submit("Make these labels")}
    };
    view! {
        <p class="say">{data.said.clone()}</p>
        <div class="caution">
            <p>
                "Paper does not survive a firing. A label goes on the rack slot, on a metal tag or on a set\u{2019}s bundle tag. "
                <a href="/labels/marking">"How to mark the pieces themselves"</a> "."
            </p>
        </div>
        {form(FORM, fields)}
        {sheets(&data.sheets)}
        <p>
            <a class="button quiet" href="/labels/grids">
                "The table of sheets"
            </a>
        </p>
    }
}

fn sheets(sheets: &[Link]) -> Option<impl IntoView + use<>> {
    (!sheets.is_empty()).then(|| {
        let items: Vec<_> = sheets
            .iter()
            .cloned()
            .map(|Link { href, text }| {
                view! {
                    <li>
                        <a class="row plain" href=href>
                            <span class="said">{text}</span>
                        </a>
                    </li>
                }
            })
            .collect();
        view! {
            <h2>"Made before"</h2>
            <ul class="rows" aria-label="Made before">
                {items}
            </ul>
        }
    })
}
