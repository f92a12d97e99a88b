//! `/bench`: what is open, by job, each piece one tap away.
use crate::parts::caution;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::bench::{BenchPage, Filter, Group, List, NEXT};
use tripoise_core::view::{Link, Page};

mod batch;
mod undo;

/// House choice: lines of one job that stand open; the rest is one tap away, and the job can be shown alone.
const OPEN: usize = 12;

/// Whichever of the bench's pages it is.
pub fn render(page: &Page, data: &BenchPage) -> AnyView {
    match data {
        BenchPage::List(data) => list(data).into_any(),
        BenchPage::Batch(data) => batch::render(page, data).into_any(),
        BenchPage::Undo(data) => undo::render(data).into_any(),
    }
}

fn list(data: &List) -> impl IntoView + use<> {
    let lifting =
        "Many shelves weigh 9 kg and more: do not reach down into a top-loader with one alone.".to_owned();
    let wet = "Wet grinding of silicon carbide makes a wet shelf: it goes on hold until it is logged dry."
        .to_owned();
    let dusty = data.is_dusty.then(|| caution::grinding(wet, lifting));
    let after: Vec<_> = data.after.iter().map(|link| button(link, "button")).collect();
    let filters: Vec<_> = data.filters.iter().map(filter).collect();
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    view! {
        <p class="say">{data.said.clone()}</p>
        <div class="actions">
            <a class="button first" href=NEXT>
                "Next piece"
            </a>
            <a class="button" href="/bench/batch">
                "Several at once"
            </a>
            <a class="button" href="/bench/undo">
                "Take back"
            </a>
            {after}
        </div>
        {dusty}
        {(filters.len() > 1)
            .then(|| {
                view! {
                    <nav class="filter" aria-label="One job alone">
                        <ul>{filters}</ul>
                    </nav>
                }
            })}
        {groups}
    }
}

fn button(link: &Link, class: &'static str) -> impl IntoView + use<> {
    let Link { href, text } = link.clone();
    view! {
        <a class=class href=href>
            {text}
        </a>
    }
}

fn filter(filter: &Filter) -> impl IntoView + use<> {
    let Filter { href, text, is_here } = filter.clone();
    view! {
        <li>
            <a class="button quiet" href=href aria-current=is_here.then_some("page")>
                {text}
            </a>
        </li>
    }
}

fn group(group: &Group) -> impl IntoView + use<> {
    let (open, folded) = group.rows.split_at(group.rows.len().min(OPEN));
    let folded = (!folded.is_empty()).then(|| {
        let label = format!("{}, the others", group.heading);
        view! {
            <details>
                <summary>{format!("{} more", folded.len())}</summary>
                {rows::list(&label, folded)}
            </details>
        }
    });
    view! {
        <section>
            <h2>{group.heading.clone()}</h2>
            <p class="hint">{group.closed.clone()}</p>
            {rows::list(&group.heading, open)}
            {folded}
            {group.together.as_ref().map(|link| view! { <p>{button(link, "button quiet")}</p> })}
        </section>
    }
}
