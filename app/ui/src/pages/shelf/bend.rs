//! How a shelf bends: the case in three fields, the drawings beside each other, what the figures rest on.
//!
//! The form is a plain GET; with the program loaded, what is shown follows every key.
use super::back;
use crate::parts::findings::sentence;
use crate::parts::mark::mark;
use leptos::prelude::*;
use std::sync::Arc;
use tripoise_core::view::Page;
use tripoise_core::view::shelf::bend::{Asked, Bend, BendPlan, BendSide, Layout, Shown};
use tripoise_core::view::shelf::drawing::WIDTH;

/// The page.
pub fn render(page: &Page, data: &Bend) -> impl IntoView + use<> {
    let path = data.path.clone();
    if data.slab.is_none() {
        return view! {
            <p class="say">{sentence(&data.refused)} "."</p>
            {back(&path)}
        }
        .into_any();
    }
    let unit = page.unit;
    let data = Arc::new(data.clone());
    let asked = RwSignal::new(data.asked.clone());
    let shown = {
        let data = Arc::clone(&data);
        Memo::new(move |_| data.shown(&asked.get(), unit))
    };
    let cracked = data.cracked.clone();
    let rests_on: Vec<_> = data.rests_on.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    view! {
        {(!cracked.is_empty())
            .then(|| view! { <div class="caution"><p><strong>{cracked} "."</strong></p></div> })}
        {fields(page, &data, asked, shown)}
        <div aria-live="polite">{move || results(&shown.get())}</div>
        <section>
            <h2>"What grinding has cost"</h2>
            <p>{data.ground.clone()}</p>
        </section>
        <section class="caution">
            <p>
                "Worked out for a whole, flat, evenly thick shelf, at once and while it springs back. At heat a shelf
                goes on sagging with time; cracks, wet and shock of heat are not in it. No figure here is a promise:
                your supplier\u{2019}s sheet comes first."
            </p>
        </section>
        <details>
            <summary>"The figures it rests on"</summary>
            <ul>{rests_on}</ul>
            <p>
                "Each can be changed with a reason, in the "
                <a href="/settings">"settings"</a> "."
            </p>
            <p class="hint">
                "Thin plate after Kirchhoff, free edges, posts that neither sink nor let go (S. Timoshenko and
                S. Woinowsky-Krieger, Theory of Plates and Shells, 1959)."
            </p>
        </details>
        {back(&path)}
    }
    .into_any()
}

/// Load, inset, number of posts.
fn fields(page: &Page, data: &Bend, asked: RwSignal<Asked>, shown: Memo<Shown>) -> impl IntoView + use<> {
    let Asked { load, inset, posts } = data.asked.clone();
    let changed = move |event: leptos::ev::Event| {
        if let Some((name, value)) = crate::browser::typed(&event) {
            asked.update(|asked| match name.as_str() {
                "load" => asked.load = value,
                "inset" => asked.inset = value,
                "posts" => asked.posts = value,
                _ => {}
            });
        }
    };
    let count = ["3", "4"].map(|number| {
        let word = if number == "3" { "three posts" } else { "four posts" };
        view! {
            <label class="choice">
                <input type="radio" name="posts" value=number checked=posts == number />
                <span>{word}</span>
            </label>
        }
    });
    let inset_label = format!("Posts in from the edge, {}", page.unit.sign());
    view! {
        <form method="get" action=page.path.clone() class="ask" on:input=changed>
            <div class="sides-by-side">
                {field("load", "Ware on it, kg".to_owned(), load, move || shown.get().load_problem)}
                {field("inset", inset_label, inset, move || shown.get().inset_problem)}
            </div>
            <fieldset class="choices">
                <legend>"Stands on"</legend>
                <div class="options">{count}</div>
            </fieldset>
            <p class="hint">{sentence(&data.load_said)} "."</p>
            <button class="quiet" type="submit">
                "Work it out"
            </button>
        </form>
    }
}

fn field(
    name: &'static str,
    label: String,
    value: String,
    problem: impl Fn() -> String + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let (id, said) = (format!("bend-{name}"), format!("bend-{name}-problem"));
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <input
                type="text"
                id=id
                name=name
                value=value
                inputmode="decimal"
                autocomplete="off"
                aria-describedby=said.clone()
                aria-invalid=move || (!problem().is_empty()).then_some("true")
            />
            <div id=said>
                {move || {
                    let said = problem();
                    (!said.is_empty()).then(|| view! { <span class="problem">{said}</span> })
                }}
            </div>
        </div>
    }
}

fn results(shown: &Shown) -> impl IntoView + use<> {
    let Shown { refused, compared, .. } = shown.clone();
    let none = shown.now.is_none() && refused.is_empty();
    view! {
        {none.then(|| view! { <p>"Nothing is worked out until the fields above are right."</p> })}
        {(!refused.is_empty()).then(|| view! { <p class="say">{refused}</p> })}
        {(!compared.is_empty()).then(|| view! { <p class="fix">{compared}</p> })}
        <div class="beside">
            {shown.now.as_ref().map(layout)}
            {shown.best.as_ref().map(layout)}
        </div>
    }
}

fn layout(layout: &Layout) -> impl IntoView + use<> {
    let Layout { title, verdict, caution, .. } = layout.clone();
    let numerals: Vec<_> = layout
        .numerals
        .iter()
        .cloned()
        .map(|[value, unit, what]| {
            view! {
                <div>
                    <span class="num">{value}<small>{format!(" {unit}")}</small></span>
                    <p class="small">{what}</p>
                </div>
            }
        })
        .collect();
    let facts: Vec<_> = layout
        .facts
        .iter()
        .cloned()
        .map(|[what, value]| {
            view! {
                <tr>
                    <th scope="row">{what}</th>
                    <td>{value}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <section class="layout">
            <h2>{title}</h2>
            <p class="say">{mark(&layout.mark)} ", " <span>{verdict} "."</span></p>
            <div class="pair">{numerals}</div>
            {(!caution.is_empty()).then(|| view! { <div class="caution"><p>{caution}</p></div> })}
            {plan(&layout.plan)}
            {side(&layout.side)}
            <details>
                <summary>"Where the posts stand, what each carries"</summary>
                <table>
                    <tbody>{facts}</tbody>
                </table>
            </details>
        </section>
    }
}

fn posts(places: &[[f64; 4]]) -> Vec<impl IntoView + use<>> {
    let one = |[x, y, width, height]: &[f64; 4]| {
        view! {
            <rect
                x=x.to_string()
                y=y.to_string()
                width=width.to_string()
                height=height.to_string()
                fill="var(--edge)"
                stroke="currentColor"
                stroke-width="2"
            ></rect>
        }
    };
    places.iter().map(one).collect()
}

fn plan(drawn: &BendPlan) -> impl IntoView + use<> {
    let BendPlan { height, outline, greatest, line, caption, .. } = drawn.clone();
    let said = format!("{caption} {}", greatest.text);
    // The number stands beside the ring, on the side where there is room.
    let (beside, anchor) =
        if greatest.x > WIDTH / 2.0 { (greatest.x - 15.0, "end") } else { (greatest.x + 15.0, "start") };
    let down = (greatest.y + 5.0).clamp(16.0, height - 6.0);
    view! {
        <figure>
            <svg viewBox=format!("0 0 {WIDTH} {height}") width="100%" role="img" aria-label=said>
                <path d=outline fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                <path d=format!("M9 {line}H349") stroke="currentColor" stroke-width="1.5" stroke-dasharray="2 5" fill="none"></path>
                {posts(&drawn.posts)}
                <circle cx=greatest.x.to_string() cy=greatest.y.to_string() r="7" fill="var(--wash)" stroke="var(--iron)" stroke-width="3"></circle>
                <text
                    x=beside.to_string()
                    y=down.to_string()
                    text-anchor=anchor
                    paint-order="stroke"
                    stroke="var(--slab)"
                    stroke-width="4"
                    class="map-height"
                >
                    {greatest.text}
                </text>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn side(drawn: &BendSide) -> impl IntoView + use<> {
    let BendSide { path, top, height, caption, .. } = drawn.clone();
    view! {
        <figure>
            <svg viewBox=format!("0 {top} {WIDTH} {height}") width="100%" role="img" aria-label=caption.clone()>
                {posts(&drawn.posts)}
                <path d="M9 0H349" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="2 5"></path>
                <path d=path fill="none" stroke="currentColor" stroke-width="9" stroke-linejoin="round"></path>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

/// The line on the shelf's card, with the way to this page.
pub fn on_the_card(said: &str, path: &str) -> impl IntoView + use<> {
    let (said, href) = (said.to_owned(), format!("{path}/bend"));
    view! {
        <section>
            <h2>"How it bends"</h2>
            <p>{said}</p>
            <p>
                <a class="button quiet" href=href>
                    "Another load or inset, drawn"
                </a>
            </p>
        </section>
    }
}
