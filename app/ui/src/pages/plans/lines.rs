//! The check's lines as a list: mark, what was found, what mends it, on what it rests, who overruled it.
use crate::parts::mark::mark;
use leptos::prelude::*;
use tripoise_core::view::plans::check::{CheckShown, LineShown};

/// The verdict in one line.
pub fn verdict(check: &CheckShown) -> impl IntoView + use<> {
    let sentence = check.sentence.clone();
    view! { <p class="say verdict-line">{mark(&check.verdict)} " " <span>{sentence}</span></p> }
}

/// Lines in their order; nothing where there is none. `label` names the list for a screen reader; `plan` is the
/// plan's address, where a swap that a line names can be tried, and empty where that is no use.
pub fn list(label: &str, plan: &str, lines: &[LineShown]) -> Option<impl IntoView + use<>> {
    let items: Vec<_> = lines.iter().map(|line| one(plan, line)).collect();
    (!items.is_empty()).then(|| {
        view! {
            <ul class="findings" aria-label=label.to_owned()>
                {items}
            </ul>
        }
    })
}

fn one(plan: &str, line: &LineShown) -> impl IntoView + use<> {
    let LineShown { said, fix, rests_on, overruled, exchange, .. } = line.clone();
    let is_overruled = !overruled.is_empty();
    let exchange = exchange.filter(|_| !is_overruled && !plan.is_empty()).map(|[shelf, other]| {
        let href = format!("{plan}/what-if?change=exchange&shelf={shelf}&other={other}");
        view! {
            <p>
                <a class="button quiet" href=href>
                    {format!("See it with {other} there")}
                </a>
            </p>
        }
    });
    view! {
        <li class:overruled=is_overruled>
            {mark(&line.mark)} <p class="found">{said}</p>
            {is_overruled.then(|| view! { <p class="fix">"Overruled " {overruled}</p> })}
            {(!fix.is_empty() && !is_overruled).then(|| view! { <p class="fix">{fix}</p> })}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">{format!("Rests on: {rests_on}")}</p> })}
            {exchange}
        </li>
    }
}

/// The checks that found nothing, folded up.
pub fn passed(check: &CheckShown) -> Option<impl IntoView + use<>> {
    (!check.passed.is_empty()).then(|| {
        let n = check.passed.len();
        let title =
            if n == 1 { "1 check found nothing".to_owned() } else { format!("{n} checks found nothing") };
        let items: Vec<_> = check.passed.iter().map(|said| view! { <li>{said.clone()}</li> }).collect();
        view! {
            <details>
                <summary>{title}</summary>
                <ul>{items}</ul>
            </details>
        }
    })
}
