//! What is open at the bench on one piece, above its large actions.
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::shelf::card::JobLine;

/// The open jobs; nothing where there is none.
pub fn open(jobs: &[JobLine]) -> Option<impl IntoView + use<>> {
    (!jobs.is_empty()).then(|| {
        let items: Vec<_> = jobs
            .iter()
            .map(|job| {
                let JobLine { said, why, closed } = job.clone();
                view! {
                    <li>
                        <strong>{said}</strong>
                        {format!(": {why}")}
                        <small>{closed}</small>
                    </li>
                }
            })
            .collect();
        view! {
            <ul class="jobs" aria-label="Open at the bench">
                {items}
            </ul>
        }
    })
}

/// One large action.
pub fn large(link: &Link, first: bool) -> impl IntoView + use<> {
    let Link { href, text } = link.clone();
    let class = if first { "button first" } else { "button" };
    view! {
        <a class=class href=href>
            {text}
        </a>
    }
}

/// What else can be logged, folded away.
pub fn rest(links: &[Link]) -> Option<impl IntoView + use<>> {
    (!links.is_empty()).then(|| {
        let links: Vec<_> = links.iter().map(|link| large(link, false)).collect();
        view! {
            <details>
                <summary>"Something else"</summary>
                <div class="actions">{links}</div>
            </details>
        }
    })
}
