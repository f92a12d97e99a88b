//! `/firings`.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::add::KilnChoice;
use tripoise_core::view::firings::Firings;

pub mod after;
pub mod new;
pub mod one;

/// The firings, and a button a kiln to log the next one.
pub fn render(data: &Firings) -> impl IntoView + use<> {
    view! {
        {kilns(&data.kilns)}
        <p class="say">{data.said.clone()}</p>
        <div class="dated">{rows::list("Firings, newest first", &data.rows)}</div>
        {data
            .older
            .clone()
            .map(|href| {
                view! {
                    <p>
                        <a class="button" href=href>
                            "Older firings"
                        </a>
                    </p>
                }
            })}
    }
}

/// One button a kiln; where there is none, the way to the first.
fn kilns(kilns: &[KilnChoice]) -> impl IntoView + use<> {
    if kilns.is_empty() {
        return view! {
            <p>
                <a class="button first" href="/add/kiln">
                    "Name your kiln"
                </a>
            </p>
        }
        .into_any();
    }
    let buttons: Vec<_> = kilns
        .iter()
        .map(|kiln| {
            let href = format!("/firings/new?kiln={}", kiln.id);
            let text = format!("{} was fired", kiln.name);
            view! {
                <a class="button first" href=href>
                    {text}
                </a>
            }
        })
        .collect();
    view! { <div class="actions">{buttons}</div> }.into_any()
}
