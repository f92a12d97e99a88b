//! Every set, the gravest first.
use crate::pages::post::list::folded;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::Link;
use tripoise_core::view::set::list::SetList;

/// The list.
pub fn render(data: &SetList) -> impl IntoView + use<> {
    let none = data.together.is_empty();
    let new: Vec<_> = data
        .new
        .iter()
        .map(|link| {
            let Link { href, text } = link.clone();
            view! {
                <a class="button" href=href>
                    {text}
                </a>
            }
        })
        .collect();
    let any_posts = !new.is_empty();
    view! {
        {none.then(|| view! { <p class="say">"No posts stand together as a set yet."</p> })}
        {rows::list("Sets, the gravest first", &data.together)}
        <h2>"New set"</h2>
        {if any_posts {
            view! {
                <p>"Of which height?"</p>
                <div class="actions">{new}</div>
                <p>
                    <a class="button" href="/match">
                        "Match them all"
                    </a>
                </p>
            }
                .into_any()
        } else {
            view! {
                <p>
                    <a class="button first" href="/add/posts">
                        "Enter posts first"
                    </a>
                </p>
            }
                .into_any()
        }}
        {folded("taken apart", &data.parted)}
    }
}
