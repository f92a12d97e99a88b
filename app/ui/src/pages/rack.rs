//! `/rack`: the drawing is the list.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::rack::{HALF_HEIGHT, KilnRack, Nominal, Rack, ShelfRow, Slab, WIDTH};

/// Every shelf, set and post, kiln by kiln.
pub fn render(data: &Rack) -> impl IntoView + use<> {
    let racks: Vec<_> = data.racks.iter().map(|rack| one_kiln(rack, data.bow_times)).collect();
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

fn one_kiln(rack: &KilnRack, bow_times: Option<u32>) -> impl IntoView + use<> {
    let name = rack.name.clone();
    let shelves: Vec<_> = rack.shelves.iter().map(shelf).collect();
    let label = format!("Shelves of {name}");
    let drawn = match bow_times {
        _ if rack.shelves.is_empty() => None,
        Some(times) => Some(format!("Bow drawn {times} times; dashed: not read. A stroke marks a crack.")),
        None => Some("Dashed: not read yet.".to_owned()),
    };
    let posts: Vec<_> = rack.posts.iter().map(|group| nominal(&name, group)).collect();
    view! {
        <section>
            <h2>{name.clone()}</h2>
            {(!shelves.is_empty())
                .then(|| view! { <ul class="rows drawn" aria-label=label>{shelves}</ul> })}
            {drawn.map(|said| view! { <p class="hint">{said}</p> })}
            {(!rack.sets.is_empty())
                .then(|| {
                    view! {
                        <h3>"Sets"</h3>
                        {rows::list(&format!("Sets of {name}"), &rack.sets)}
                    }
                })}
            {posts}
            {(!rack.retired.is_empty())
                .then(|| rows::list(&format!("Set aside from {name}"), &rack.retired))}
        </section>
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

fn nominal(kiln: &str, group: &Nominal) -> impl IntoView + use<> {
    let label = format!("Posts of {kiln}, {}", group.said);
    view! {
        <h3>{group.said.clone()}</h3>
        {rows::list(&label, &group.rows)}
        <p>
            <a class="button quiet" href=group.run.clone()>
                "Measure these in a run"
            </a>
        </p>
    }
}
