//! What is said of posts that stand together: the verdict first, then the drawings and the readings.
use crate::parts::comb::comb;
use crate::parts::findings::{self, sentence};
use crate::parts::mark::mark;
use crate::parts::plan::plan;
use leptos::prelude::*;
use tripoise_core::view::set::card::{SetReading, Verdicted};

/// The verdict with everything that it rests on.
pub fn render(data: &Verdicted) -> impl IntoView + use<> {
    let Verdicted { said, fix, rests_on, tilt, corner, .. } = data.clone();
    let numerals: Vec<_> = data
        .numerals
        .iter()
        .cloned()
        .map(|(number, unit, what)| {
            view! {
                <div>
                    <span class="num">{number}<small>{format!(" {unit}")}</small></span>
                    <p class="small">{what}</p>
                </div>
            }
        })
        .collect();
    view! {
        <div class="verdict">
            <p class="say">{mark(&data.mark)} " " {sentence(&said)} "."</p>
            {(!fix.is_empty() && fix != said).then(|| view! { <p class="fix">{sentence(&fix)} "."</p> })}
            {(!numerals.is_empty()).then(|| view! { <div class="pair">{numerals}</div> })}
            {(!tilt.is_empty()).then(|| view! { <p>{sentence(&tilt)} "."</p> })}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">{format!("Rests on: {rests_on}")}</p> })}
        </div>
        {findings::wrong(&data.findings)}
        {data.comb.as_ref().map(comb)}
        {data.plan.as_ref().map(plan)}
        {(!corner.is_empty()).then(|| view! { <div class="caution"><p>{corner}</p></div> })}
        {table(&data.readings)}
    }
}

fn table(readings: &[SetReading]) -> Option<impl IntoView + use<>> {
    (!readings.is_empty()).then(|| {
        let body: Vec<_> = readings
            .iter()
            .map(|reading| {
                let SetReading { code, place, height, by, on } = reading.clone();
                view! {
                    <tr>
                        <th scope="row">
                            <a href=format!("/post/{code}")>{code.clone()}</a>
                        </th>
                        <td>{place}</td>
                        <td class="n">{height}</td>
                        <td>{by} <small class="n">{on}</small></td>
                    </tr>
                }
            })
            .collect();
        view! {
            <table>
                <caption>"Heights, and where each post stands"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Post"</th>
                        <th scope="col">"Place"</th>
                        <th scope="col">"Height"</th>
                        <th scope="col">"Read with, on"</th>
                    </tr>
                </thead>
                <tbody>{body}</tbody>
            </table>
        }
    })
}
