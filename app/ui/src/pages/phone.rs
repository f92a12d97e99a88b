//! `/phone`: what is on this phone and not on the server, and what the server did not take.
use crate::browser;
use leptos::prelude::*;
use tripoise_core::view::phone::{PhonePage, PhotoLine, WaitingLine};

/// Two lists, each with what can be done about it.
pub fn render(data: &PhonePage) -> AnyView {
    if !data.known {
        let said = "What is on a phone, only its own program can say. Where scripts are switched off, entries go \
                    straight to the server and nothing waits.";
        return view! { <p class="say">{said}</p> }.into_any();
    }
    let waits = !data.waiting.is_empty() || !data.photos.is_empty();
    let class = if waits { "first" } else { "quiet" };
    view! {
        {(!data.paired).then(not_paired)}
        <p class="say">{data.said.clone()}</p>
        {list("Waiting", &data.waiting)}
        {photos("Photos waiting", &data.photos)}
        <button class=class type="button" on:click=move |_| browser::sync_now()>
            "Exchange now"
        </button>
        {not_taken(&data.not_taken, &data.photos_not_taken)}
        <p class="small">
            {data.exchanged.clone()} " " {data.kept.clone()} ". They open without the server, too. " {data.used.clone()}
        </p>
    }
    .into_any()
}

fn not_paired() -> impl IntoView {
    view! {
        <p class="problem" role="alert">
            "The server does not know this phone: it was never paired, or was shut out. What waits here is kept. "
            <a href="/pair">"Pair this phone"</a>
        </p>
    }
}

fn not_taken(lines: &[WaitingLine], refused: &[PhotoLine]) -> Option<impl IntoView + use<>> {
    let ids: Vec<_> = lines.iter().map(|line| line.event).collect();
    let names: Vec<_> = refused.iter().map(|line| line.sha256.clone()).collect();
    (!lines.is_empty() || !refused.is_empty()).then(|| {
        view! {
            <h2>"Not taken by the server"</h2>
            <p>
                "These are kept here and counted nowhere. They are offered again when something new has come from the server. Record them anew where that is right, then put them away."
            </p>
            {list("Not taken", lines)}
            {photos("Photos not taken", refused)}
            <button
                class="quiet"
                type="button"
                on:click=move |_| browser::put_away(ids.clone(), names.clone())
            >
                "Put these away"
            </button>
        }
    })
}

fn list(label: &'static str, lines: &[WaitingLine]) -> Option<impl IntoView + use<>> {
    let items: Vec<_> = lines
        .iter()
        .map(|line| {
            let moment = format!("{}Z", line.at.replace(' ', "T"));
            let why: Vec<_> =
                line.why.iter().map(|why| view! { <small class="problem">{why.clone()}</small> }).collect();
            view! {
                <li>
                    <time datetime=moment>{line.at.clone()}</time>
                    <span class="said">{line.said.clone()} {why}</span>
                </li>
            }
        })
        .collect();
    (!items.is_empty()).then(|| view! { <ul class="history" aria-label=label>{items}</ul> })
}

/// What each photo is of; the phone's own copy is in the history of its piece.
fn photos(label: &'static str, lines: &[PhotoLine]) -> Option<impl IntoView + use<>> {
    let items: Vec<_> = lines
        .iter()
        .map(|line| {
            let why =
                (!line.why.is_empty()).then(|| view! { <small class="problem">{line.why.clone()}</small> });
            view! {
                <li>
                    <span class="said">{line.said.clone()} {why}</span>
                </li>
            }
        })
        .collect();
    (!items.is_empty()).then(|| view! { <ul class="history" aria-label=label>{items}</ul> })
}
