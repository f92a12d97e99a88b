//! Every post, by nominal height.
use crate::parts::comb::comb;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::post::list::{NominalGroup, PostList};
use tripoise_core::view::{Link, Row};

/// The list.
pub fn render(data: &PostList) -> impl IntoView + use<> {
    let none = data.groups.is_empty();
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    view! {
        {heights("Nominal height", &data.heights)}
        {none
            .then(|| {
                view! {
                    <p class="say">"No post of this height is in use."</p>
                    <p>
                        <a class="button first" href="/add/posts">
                            "Enter posts"
                        </a>
                    </p>
                }
            })}
        {groups}
        {folded("set aside", &data.retired)}
    }
}

/// Links to one height each; the chosen one is marked.
pub fn heights(label: &'static str, links: &[(Link, bool)]) -> Option<impl IntoView + use<>> {
    (links.len() > 1).then(|| {
        let links: Vec<_> = links
            .iter()
            .map(|(link, here)| {
                let Link { href, text } = link.clone();
                let current = here.then_some("true");
                view! {
                    <a class="button quiet" href=href aria-current=current>
                        {text}
                    </a>
                }
            })
            .collect();
        view! {
            <nav class="options" aria-label=label>
                {links}
            </nav>
        }
    })
}

/// Rows that are rarely wanted, folded away.
pub fn folded(what: &'static str, list: &[Row]) -> Option<impl IntoView + use<>> {
    (!list.is_empty()).then(|| {
        let n = list.len();
        view! {
            <details>
                <summary>{format!("{n} {what}")}</summary>
                {rows::list(what, list)}
            </details>
        }
    })
}

fn group(group: &NominalGroup) -> impl IntoView + use<> {
    let NominalGroup { title, said, new_set, .. } = group.clone();
    let measure: Vec<_> = group
        .measure
        .iter()
        .map(|link| {
            let Link { href, text } = link.clone();
            view! {
                <a class="button first" href=href>
                    {text}
                </a>
            }
        })
        .collect();
    view! {
        <section>
            <h2>{title.clone()}</h2>
            <p>{said}</p>
            {group.comb.as_ref().map(comb)}
            <div class="actions">
                {measure}
                <a class="button" href=new_set.href.clone()>
                    {new_set.text}
                </a>
                <a class="button" href=new_set.href.replace("/sets/new", "/match")>
                    "Match them"
                </a>
            </div>
            {(!group.sets.is_empty())
                .then(|| {
                    view! {
                        <h3>"Sets"</h3>
                        {rows::list(&format!("Sets of {title}"), &group.sets)}
                    }
                })}
            <h3>"Posts"</h3>
            {rows::list(&format!("Posts of {title}"), &group.posts)}
        </section>
    }
}
