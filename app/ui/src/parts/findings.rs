//! What a judgement found: the finding with its mark, the fix, and on which limit it rests.
use crate::parts::mark::mark;
use leptos::prelude::*;
use tripoise_core::judge::finding::Finding;
use tripoise_core::view::{Mark, Shape};

/// What is wrong or not known, the gravest first; nothing where there is none.
pub fn wrong(findings: &[Finding]) -> Option<impl IntoView + use<>> {
    (!findings.is_empty()).then(|| {
        let items: Vec<_> = findings.iter().map(item).collect();
        view! { <ul class="findings">{items}</ul> }
    })
}

/// The checks that passed, folded away.
pub fn passed(findings: &[Finding]) -> Option<impl IntoView + use<>> {
    (!findings.is_empty()).then(|| {
        let n = tripoise_core::view::text::count(findings.len() as u64, "check passed", "checks passed");
        let items: Vec<_> = findings.iter().map(item).collect();
        view! {
            <details>
                <summary>{n}</summary>
                <ul class="findings">{items}</ul>
            </details>
        }
    })
}

fn item(finding: &Finding) -> impl IntoView + use<> {
    let Finding { said, fix, rests_on, .. } = finding.clone();
    let word = match finding.shape {
        Shape::Plain => "passes",
        Shape::Unknown => "not known",
        Shape::Look => "look",
        Shape::Stop => "stop",
        Shape::Gone => "gone",
    };
    view! {
        <li>
            {mark(&Mark::new(finding.shape, word))} <p>{sentence(&said)}</p>
            {(!fix.is_empty()).then(|| view! { <p class="fix">{sentence(&fix)}</p> })}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">{format!("Rests on: {rests_on}")}</p> })}
        </li>
    }
}

/// The text with a capital at its start.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
