//! The record of the whole studio, and one entry in full.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::photos;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::entry::{EntryPage, RecordPage};

/// The newest entries.
pub fn record(data: &RecordPage) -> impl IntoView + use<> {
    view! {
        <p class="say">{data.said.clone()}</p>
        {rows::entries("The record, newest first", &data.lines)}
        {data
            .older
            .clone()
            .map(|href| {
                view! {
                    <p>
                        <a class="button" href=href>
                            "Older entries"
                        </a>
                    </p>
                }
            })}
    }
}

/// One entry: what, when, which device, how it stands, and the ways to mend it.
pub fn render(data: &EntryPage) -> impl IntoView + use<> {
    let observed = data.observed.clone();
    let moment = format!("{}Z", observed.replace(' ', "T"));
    view! {
        <p class="say">{data.said.clone()}</p>
        {data.photo.as_ref().map(photos::picture)}
        {links("What it is about", &data.about)}
        <p>
            <strong>{data.standing.clone()}</strong>
        </p>
        {links("Entries it hangs together with", &data.related)}
        {mend(data)}
        <h2>"When and where"</h2>
        <dl class="facts">
            <dt>"Observed"</dt>
            <dd>
                <time datetime=moment>{observed}</time>
                " UTC"
            </dd>
            {(!data.recorded.is_empty())
                .then(|| {
                    let recorded = data.recorded.clone();
                    view! {
                        <dt>"Placed in the record"</dt>
                        <dd>{recorded} " UTC"</dd>
                    }
                })}
            <dt>"By"</dt>
            <dd class="id">{data.device.clone()}</dd>
        </dl>
        <details>
            <summary>"As it is stored"</summary>
            <pre tabindex="0">{data.json.clone()}</pre>
        </details>
    }
}

fn links(label: &'static str, links: &[Link]) -> Option<impl IntoView + use<>> {
    let items: Vec<_> = links
        .iter()
        .map(|link| {
            let Link { href, text } = link.clone();
            view! {
                <li>
                    <a class="button quiet" href=href>
                        {text}
                    </a>
                </li>
            }
        })
        .collect();
    (!links.is_empty()).then(|| {
        view! {
            <ul class="links" aria-label=label>
                {items}
            </ul>
        }
    })
}

/// Correct it, or take it back. Both are new entries; this one stays.
fn mend(data: &EntryPage) -> impl IntoView + use<> {
    let correct = data.correct.clone().map(|href| {
        view! {
            <p>
                <a class="button first" href=href>
                    "Correct it"
                </a>
            </p>
        }
    });
    let warning = data.warning.clone();
    let warning = (!warning.is_empty()).then(|| view! { <p class="caution">{warning}</p> });
    let withdraw = data.withdraw.as_deref().map(|text| {
        let fields = view! {
            {warning}
            {field::text(
                Field::new("withdraw", "reason", "Why").hint("may stay empty; this entry stays readable, struck through"),
                "text",
            )}
            {submit(button(text))}
        };
        view! {
            <details open=data.correct.is_none()>
                <summary>{text.to_owned()}</summary>
                {form("withdraw", fields)}
            </details>
        }
    });
    view! {
        {correct}
        {withdraw}
    }
}

/// The same words as the summary's, on the button.
fn button(text: &str) -> &'static str {
    match text {
        "Let it count again" => "Let it count again",
        "Take the correction back" => "Take the correction back",
        _ => "Take it back",
    }
}
