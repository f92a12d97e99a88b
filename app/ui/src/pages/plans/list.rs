//! `/plans`.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::plans::list::{KilnPlans, PlanList};

/// Kiln by kiln: the button for a new plan, those still to be fired, those that were.
pub fn render(data: &PlanList) -> impl IntoView + use<> {
    if data.kilns.is_empty() {
        return view! {
            <p class="say">"A plan needs a kiln first."</p>
            <p>
                <a class="button first" href="/add/kiln">
                    "Name your kiln"
                </a>
            </p>
        }
        .into_any();
    }
    let kilns: Vec<_> = data.kilns.iter().map(kiln).collect();
    view! { {kilns} }.into_any()
}

fn kiln(of: &KilnPlans) -> impl IntoView + use<> {
    let Link { href, text } = of.kiln.clone();
    let make = of.make.clone();
    let n_done = of.done.len();
    view! {
        <section class="plans">
            <h2>
                <a href=href>{text.clone()}</a>
            </h2>
            <p>
                <a class="button first" href=make.href>
                    {make.text}
                </a>
            </p>
            {(!of.open.is_empty()).then(|| rows::list(&format!("Plans of {text}"), &of.open))}
            {(n_done > 0)
                .then(|| {
                    view! {
                        <details>
                            <summary>{format!("{n_done} fired or given up")}</summary>
                            {rows::list(&format!("Earlier plans of {text}"), &of.done)}
                        </details>
                    }
                })}
        </section>
    }
}
