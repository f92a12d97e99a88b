//! `/rack`: the drawing is the list.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::rack::{Alike, HALF_HEIGHT, KilnRack, Nominal, Rack, ShelfRow, Slab, WIDTH};
use tripoise_core::view::{Link, Row};

/// Every shelf, set and post, kiln by kiln.
pub fn render(data: &Rack) -> impl IntoView + use<> {
    let racks: Vec<_> = data.racks.iter().map(|rack| one_kiln(rack, data)).collect();
    let nothing = data.racks.is_empty();
    view! {
        {filter("Which kiln", &data.kilns)}
        {filter("What to show", &data.shows)}
        {nothing.then(|| view! { <p class="say">"Nothing of this kind is in these racks."</p> })}
        {racks}
        <h2>"Add to the stock"</h2>
        <div class="actions">
            <a class="button" href="/add/shelves">
                "Shelves"
            </a>
            <a class="button" href="/add/posts">
                "Posts"
            </a>
            <a class="button" href="/sets/new">
                "A set"
            </a>
            <a class="button" href="/add/kiln">
                "A kiln"
            </a>
        </div>
    }
}

/// Links that narrow the list; the current one is no link.
fn filter(label: &'static str, links: &[Link]) -> Option<impl IntoView + use<>> {
    let items: Vec<_> = links
        .iter()
        .map(|link| {
            let Link { href, text } = link.clone();
            let here = href.is_empty();
            // A link without an address is not one: it says where one is.
            let href = (!here).then_some(href);
            view! {
                <li>
                    <a class="button quiet" href=href aria-current=here.then_some("page")>
                        {text}
                    </a>
                </li>
            }
        })
        .collect();
    (!links.is_empty()).then(|| {
        view! {
            <nav class="filter" aria-label=label>
                <ul>{items}</ul>
            </nav>
        }
    })
}

fn one_kiln(rack: &KilnRack, data: &Rack) -> impl IntoView + use<> {
    let name = rack.name.clone();
    let shelves: Vec<_> = rack.shelves.iter().map(|alike| shelves(&name, alike)).collect();
    let drawn = match data.bow_times {
        _ if rack.shelves.is_empty() => None,
        Some(times) => Some(format!("Bow drawn {times} times; dashed: not read. A stroke marks a crack.")),
        None => Some("Dashed: not read yet.".to_owned()),
    };
    let posts: Vec<_> = rack.posts.iter().map(|group| nominal(&name, group, &data.show)).collect();
    let (inside, plan) = (format!("/kiln/{}", rack.kiln), format!("/plans/new?kiln={}", rack.kiln));
    view! {
        <section>
            <h2>{name.clone()}</h2>
            <div class="actions">
                <a class="button" href=plan>
                    {format!("Plan a load of {name}")}
                </a>
                <a class="button" href=inside>
                    {format!("Inside {name}")}
                </a>
            </div>
            {drawn.map(|said| view! { <p class="hint">{said}</p> })}
            {shelves}
            {(!rack.sets.is_empty()).then(|| sets(&name, &rack.sets, &data.show))}
            {posts}
            {(!rack.retired.is_empty())
                .then(|| rows::list(&format!("Set aside from {name}"), &rack.retired))}
        </section>
    }
}

fn shelves(kiln: &str, alike: &Alike) -> impl IntoView + use<> {
    let rows: Vec<_> = alike.rows.iter().map(shelf).collect();
    view! {
        <h3>{alike.said.clone()}</h3>
        <ul class="rows drawn" aria-label=format!("{}, of {kiln}", alike.said)>
            {rows}
        </ul>
    }
}

/// Long lists of sets and posts are folded up until they are asked for, so that the shelves are in reach.
fn is_open(n_rows: usize, show: &str, kind: &str) -> bool {
    show == kind || n_rows <= 6
}

fn sets(kiln: &str, sets: &[Row], show: &str) -> impl IntoView + use<> {
    let n = sets.len();
    let said = if n == 1 { "1 set".to_owned() } else { format!("{n} sets") };
    view! {
        <details open=is_open(n, show, "sets")>
            <summary>{said}</summary>
            {rows::list(&format!("Sets of {kiln}"), sets)}
        </details>
    }
}

fn shelf(shelf: &ShelfRow) -> impl IntoView + use<> {
    rows::row(&shelf.row, slab(&shelf.slab))
}

/// The slab from the side. The row says in words what it shows.
fn slab(slab: &Slab) -> impl IntoView + use<> {
    let height = 2.0 * HALF_HEIGHT;
    let cracks: Vec<_> = slab
        .cracks
        .iter()
        .map(|at| {
            let path = format!("M{at} {}l4 {}", HALF_HEIGHT - 9.0, 18);
            view! { <path d=path stroke="var(--iron)" stroke-width="3"></path> }
        })
        .collect();
    view! {
        <svg
            class="slab"
            viewBox=format!("0 0 {WIDTH} {height}")
            aria-hidden="true"
            focusable="false"
            fill="none"
            stroke="currentColor"
        >
            <path
                d=slab.path.clone()
                stroke-width=slab.thick.to_string()
                stroke-dasharray=slab.dashed.then_some("7 5")
            ></path>
            {cracks}
        </svg>
    }
}

fn nominal(kiln: &str, group: &Nominal, show: &str) -> impl IntoView + use<> {
    let label = format!("Posts of {kiln}, {}", group.said);
    view! {
        <details open=is_open(group.rows.len(), show, "posts")>
            <summary>{group.said.clone()}</summary>
            {rows::list(&label, &group.rows)}
            <p>
                <a class="button quiet" href=group.run.clone()>
                    "Measure these in a run"
                </a>
            </p>
        </details>
    }
}
