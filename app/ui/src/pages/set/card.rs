//! One set.
use super::{stand, verdict};
use crate::pages::post::card::actions;
use crate::parts::findings::sentence;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::set::card::{DriftTable, SetCard};
use tripoise_core::view::set::outlook::SetOutlook;

/// The card.
pub fn render(page: &Page, data: &SetCard) -> impl IntoView + use<> {
    let SetCard { parted, tried, .. } = data.clone();
    let together = parted.is_empty();
    view! {
        {(!together).then(|| view! { <p class="aside">{parted}</p> })}
        {data.drift.as_ref().map(drift)}
        {tried
            .then(|| {
                let own = page.path.clone();
                view! {
                    <p class="notices">
                        "Judged as if it stood there; nothing is recorded. "
                        <a href=own>"Back to its own shelf and inset"</a>
                    </p>
                }
            })}
        {verdict::render(&data.said)}
        {together.then(|| actions(&data.actions))}
        {data.outlook.as_ref().map(outlook)}
        {together
            .then(|| {
                view! {
                    <h2>"Another shelf or inset"</h2>
                    {stand::render(&page.path, &data.stand, page.unit.sign())}
                }
            })}
        <h2>"History"</h2>
        {rows::history(&data.history)}
    }
}

/// When its posts wear out of it.
fn outlook(outlook: &SetOutlook) -> impl IntoView + use<> {
    let SetOutlook { said, rows, rests_on } = outlook.clone();
    let body: Vec<_> = rows
        .into_iter()
        .map(|[code, rate, when]| {
            view! {
                <tr>
                    <th scope="row">
                        <a href=format!("/post/{code}")>{code.clone()}</a>
                    </th>
                    <td>{when}</td>
                    <td>{rate}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <section>
            <h2>"How it wears"</h2>
            <p class="wear">{said}</p>
            <table>
                <caption>"When each post alone would leave the set, the others as they stand"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Post"</th>
                        <th scope="col">"Leaves it"</th>
                        <th scope="col">"Wears"</th>
                    </tr>
                </thead>
                <tbody>{body}</tbody>
            </table>
            <p class="hint">{format!("Rests on: {rests_on}.")}</p>
        </section>
    }
}

/// The warning, with the readings that show it.
fn drift(drift: &DriftTable) -> impl IntoView + use<> {
    let DriftTable { said, rests_on, rows } = drift.clone();
    let body: Vec<_> = rows
        .into_iter()
        .map(|[code, before, before_on, now, now_on, firings, change]| {
            view! {
                <tr>
                    <th scope="row">
                        <a href=format!("/post/{code}")>{code.clone()}</a>
                    </th>
                    <td class="n">{before} <small>{format!(" {before_on}")}</small></td>
                    <td class="n">{now} <small>{format!(" {now_on}")}</small></td>
                    <td><span class="n">{change}</span> <small>{format!(" in {firings}")}</small></td>
                </tr>
            }
        })
        .collect();
    view! {
        <section class="caution drift" aria-label="Drift">
            <p>
                <strong>{sentence(&said)} "."</strong>
            </p>
            <table>
                <caption>"The readings that show it"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Post"</th>
                        <th scope="col">"Then"</th>
                        <th scope="col">"Now"</th>
                        <th scope="col">"Change"</th>
                    </tr>
                </thead>
                <tbody>{body}</tbody>
            </table>
            <p class="hint">{format!("Rests on: {rests_on}")}</p>
        </section>
    }
}
