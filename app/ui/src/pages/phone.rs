//! `/phone`: what is on this phone and not on the server, and what the server did not take.
use crate::browser;
use leptos::prelude::*;
use tripoise_core::view::phone::{PhonePage, WaitingLine};

/// Two lists, each with what can be done about it.
pub fn render(data: &PhonePage) -> AnyView {
    if !data.known {
        let said = "What is on a phone, only its own program can say. Where scripts are switched off, entries go \
                    straight to the server and nothing waits.";
        return view! { <p class="say">{said}</p> }.into_any();
    }
    let n_waiting = data.waiting.len();
    let said = match n_waiting {
        0 => "Nothing waits: the server has all that was recorded here.".to_owned(),
        1 => "1 entry is on this phone and goes to the server as soon as it can be reached.".to_owned(),
        n => format!("{n} entries are on this phone and go to the server as soon as it can be reached."),
    };
    let class = if n_waiting > 0 { "first" } else { "quiet" };
    view! {
        {(!data.paired).then(not_paired)}
        <p class="say">{said}</p>
        {list("Waiting", &data.waiting)}
        <button class=class type="button" on:click=move |_| browser::sync_now()>
            "Exchange now"
        </button>
        {not_taken(&data.not_taken)}
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

fn not_taken(lines: &[WaitingLine]) -> Option<impl IntoView + use<>> {
    let ids: Vec<_> = lines.iter().map(|line| line.event).collect();
    (!lines.is_empty()).then(|| {
        view! {
            <h2>"Not taken by the server"</h2>
            <p>
                "These are kept here and counted nowhere. They are offered again when something new has come from the server. Record them anew where that is right, then put them away."
            </p>
            {list("Not taken", lines)}
            <button class="quiet" type="button" on:click=move |_| browser::put_away(ids.clone())>
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
