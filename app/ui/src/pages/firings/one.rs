//! `/firing/ID`.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::firings::one::{Group, OneFiring};

/// One firing and what was in it.
pub fn render(data: &OneFiring) -> impl IntoView + use<> {
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    let note = data.note.clone();
    let overruled: Vec<_> = data.overruled.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    view! {
        <p class="say">{data.said.clone()} ": " {data.counts.clone()}</p>
        {(!note.is_empty()).then(|| view! { <p>{note}</p> })}
        {data.plan.clone().map(|link| view! { <p><a class="button quiet" href=link.href>{link.text}</a></p> })}
        {(!overruled.is_empty())
            .then(|| view! { <h2>"Overruled when it was loaded"</h2> <ul class="lines">{overruled}</ul> })}
        <p>
            <a class="button first" href=data.after.href.clone()>
                {data.after.text.clone()}
            </a>
        </p>
        {groups}
        <p>
            <a class="button quiet" href=data.kiln.href.clone()>
                {data.kiln.text.clone()}
            </a>
        </p>
        <h2>"History"</h2>
        {rows::history(&data.history)}
    }
}

fn group(group: &Group) -> impl IntoView + use<> {
    let pieces: Vec<_> = group
        .pieces
        .iter()
        .map(|piece| {
            let Link { href, text } = piece.clone();
            view! {
                <li>
                    <a class="button quiet" href=href>
                        {text}
                    </a>
                </li>
            }
        })
        .collect();
    let label = group.said.clone();
    view! {
        <h2>{group.said.clone()}</h2>
        <ul class="codes" aria-label=label>
            {pieces}
        </ul>
    }
}
