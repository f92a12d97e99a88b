//! One post.
use crate::parts::chart::{chart, wear};
use crate::parts::findings;
use crate::parts::jobs;
use crate::parts::mark::mark;
use crate::parts::photos;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::post::card::{PostCard, ReadingRow};

/// The card.
pub fn render(data: &PostCard) -> impl IntoView + use<> {
    let PostCard { why_aside, height, unit, difference, read, firings, .. } = data.clone();
    let set = data.set.clone();
    view! {
        {(!why_aside.is_empty()).then(|| view! { <p class="aside">{why_aside}</p> })}
        <div class="pair">
            <div>
                <span class="num">{height}<small>{format!(" {unit}")}</small></span>
                <p class="small">{difference}</p>
            </div>
            <div>
                <span class="num">{firings}</span>
                <p class="small">"firings"</p>
            </div>
        </div>
        <p class="where">{read}</p>
        <p>{mark(&data.mark)}</p>
        {jobs::open(&data.jobs)}
        {actions(&data.usual)}
        {jobs::rest(&data.actions)}
        {(!data.findings.is_empty())
            .then(|| view! { <h2>"What to look at"</h2> {findings::wrong(&data.findings)} })}
        {findings::passed(&data.passed)}
        {set.map(|set| view! { <h2>"Its set"</h2> {rows::list("Its set", &[set])} })}
        {data
            .chart
            .as_ref()
            .map(|drawn| {
                view! {
                    <h2>"Heights, and how it wears"</h2>
                    {wear(&data.wear)}
                    {chart(drawn)}
                    {table(&data.readings)}
                }
            })}
        {photos::strip(&data.photos)}
        <h2>"History"</h2>
        {rows::history(&data.history)}
    }
}

/// What can be done, the first one largest.
pub fn actions(links: &[Link]) -> impl IntoView + use<> {
    let buttons: Vec<_> = links
        .iter()
        .enumerate()
        .map(|(at, link)| {
            let Link { href, text } = link.clone();
            let class = if at == 0 { "button first" } else { "button" };
            view! {
                <a class=class href=href>
                    {text}
                </a>
            }
        })
        .collect();
    view! { <div class="actions">{buttons}</div> }
}

fn table(readings: &[ReadingRow]) -> impl IntoView + use<> {
    let body: Vec<_> = readings
        .iter()
        .map(|reading| {
            let ReadingRow { event, on, firings, height, difference, by, square, holds } = reading.clone();
            let square = if square.is_empty() { square } else { format!("; end out of square {square}") };
            let by = format!("{by}{square}{}", if holds { "" } else { "; dressed since" });
            view! {
                <tr>
                    <th scope="row">
                        <a class="n" href=format!("/entry/{event}")>{on}</a>
                    </th>
                    <td class="n">{height} <small>{format!(" {difference}")}</small></td>
                    <td>{firings}</td>
                    <td>{by}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <table>
            <caption>"Readings, newest first"</caption>
            <thead>
                <tr>
                    <th scope="col">"Day"</th>
                    <th scope="col">"Height, off nominal"</th>
                    <th scope="col">"Firings"</th>
                    <th scope="col">"Read with"</th>
                </tr>
            </thead>
            <tbody>{body}</tbody>
        </table>
    }
}
