//! How long pieces last: one part a material and kiln, with its curve, its numbers and what to know of them.
use crate::parts::findings::sentence;
use leptos::prelude::*;
use tripoise_core::view::life::{Curve, Group, Life, SIZE};

/// The page.
pub fn render(data: &Life) -> impl IntoView + use<> {
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    let none = groups.is_empty();
    view! {
        {none.then(|| view! { <p class="say">"No shelves or posts are on record yet."</p> })}
        {(!none)
            .then(|| {
                view! {
                    <p>
                        "By material and kiln. A piece in service counts for the firings it has had; what comes after is
                        not known, and nothing here says that one piece is good for another firing."
                    </p>
                    {ahead(data)}
                }
            })}
        {groups}
    }
}

/// How far to look ahead.
fn ahead(data: &Life) -> impl IntoView + use<> {
    let Life { next, next_problem, .. } = data.clone();
    let invalid = (!next_problem.is_empty()).then_some("true");
    view! {
        <form method="get" action="/life" class="ask">
            <div class="field">
                <label for="life-next">"Look ahead, firings"</label>
                <input
                    type="text"
                    id="life-next"
                    name="next"
                    value=next
                    inputmode="numeric"
                    autocomplete="off"
                    aria-invalid=invalid
                    aria-describedby="life-next-problem"
                />
                <div id="life-next-problem">
                    {(!next_problem.is_empty()).then(|| view! { <span class="problem">{next_problem}</span> })}
                </div>
            </div>
            <button class="quiet" type="submit">
                "Look so far"
            </button>
        </form>
    }
}

fn group(group: &Group) -> impl IntoView + use<> {
    let Group { title, said, .. } = group.clone();
    let numerals: Vec<_> = group
        .numerals
        .iter()
        .cloned()
        .map(|[value, what]| {
            view! {
                <div>
                    <span class="num">{value}</span>
                    <p class="small">{what}</p>
                </div>
            }
        })
        .collect();
    let notes: Vec<_> = group.notes.iter().map(|note| view! { <p>{note.clone()}</p> }).collect();
    view! {
        <section class="life">
            <h2>{title}</h2>
            <p>{sentence(&said)} "."</p>
            <div class="pair thirds">{numerals}</div>
            {group.curve.as_ref().map(curve)}
            {table(group)}
            {notes}
        </section>
    }
}

fn curve(curve: &Curve) -> impl IntoView + use<> {
    let Curve { said, caption, steps, band, law, half, ends: (top, bottom), oldest, .. } = curve.clone();
    let (width, height) = SIZE;
    let ticks: Vec<_> = curve
        .serving
        .iter()
        .map(|(x, y)| {
            view! {
                <path d=format!("M{x} {}V{}", y - 7.0, y + 7.0) stroke="currentColor" stroke-width="2"></path>
            }
        })
        .collect();
    let label = |y: f64, text: &'static str| {
        view! {
            <text x="40" y=(y + 5.0).to_string() font-size="13" text-anchor="end" fill="currentColor">
                {text}
            </text>
        }
    };
    view! {
        <figure class="heights">
            <svg viewBox=format!("0 0 {width} {height}") width="100%" role="img" aria-label=said>
                <path d=format!("M46 {top}V{bottom}H{width}") stroke="var(--edge)" stroke-width="1.5" fill="none"></path>
                <path d=format!("M46 {half}H{width}") stroke="var(--dim)" stroke-width="1" stroke-dasharray="2 4"></path>
                <path d=band fill="currentColor" fill-opacity="0.14"></path>
                {law
                    .map(|path| {
                        view! {
                            <path d=path stroke="var(--cobalt)" stroke-width="2" stroke-dasharray="6 5" fill="none"></path>
                        }
                    })}
                <path d=steps stroke="currentColor" stroke-width="3" fill="none"></path>
                {ticks}
                {label(top, "100 %")}
                {label(half, "50 %")}
                {label(bottom, "0")}
                <text x=(width - 2.0).to_string() y=(height - 8.0).to_string() font-size="13" text-anchor="end" fill="currentColor">
                    {oldest}
                </text>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn table(group: &Group) -> Option<impl IntoView + use<>> {
    (!group.table.is_empty()).then(|| {
        let rows: Vec<_> = group
            .table
            .iter()
            .cloned()
            .map(|[age, reached, retired, left, limits]| {
                view! {
                    <tr>
                        <th scope="row">{age}</th>
                        <td>{reached}</td>
                        <td>{retired}</td>
                        <td>{left}</td>
                        <td>{limits}</td>
                    </tr>
                }
            })
            .collect();
        view! {
            <table>
                <caption>"The curve\u{2019}s numbers, after Kaplan and Meier; limits after Greenwood"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Firings"</th>
                        <th scope="col">"Reached"</th>
                        <th scope="col">"Retired"</th>
                        <th scope="col">"Left"</th>
                        <th scope="col">"95 % limits"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        }
    })
}
