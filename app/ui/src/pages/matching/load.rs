//! Sets for a load: how many layers of which heights, and for each height the sets, the strip and what mends the rest.
use crate::app::Frame;
use crate::parts::comb::comb;
use crate::parts::field::{self, Field};
use crate::parts::findings::sentence;
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::view::matching::ASK;
use tripoise_core::view::matching::load::{FORM, Load, LoadAnswer, LoadAsked};
use tripoise_core::view::matching::shown::{DressShown, SetShown, Shown};

/// The part of the page that asks for a load's sets and shows them.
pub fn load(load: &Load) -> impl IntoView + use<> {
    let kilns = (load.kilns.len() > 1).then(|| kilns(load));
    view! {
        {(load.asked.is_none() && !load.kilns.is_empty()).then(|| view! { <p class="say">"For which kiln?"</p> })}
        {kilns}
        {load.asked.as_ref().map(ask)}
        {load.answer.as_ref().map(answer)}
    }
}

fn kilns(load: &Load) -> impl IntoView + use<> {
    let links: Vec<_> = load
        .kilns
        .iter()
        .map(|(link, here)| {
            let (href, text) = (link.href.clone(), link.text.clone());
            view! {
                <li>
                    <a class="button" href=href aria-current=here.then_some("page")>
                        {text}
                    </a>
                </li>
            }
        })
        .collect();
    view! { <ul class="actions" aria-label="Kiln">{links}</ul> }
}

fn ask(asked: &LoadAsked) -> impl IntoView + use<> {
    let LoadAsked { kiln, layers, keep, size } = asked.clone();
    let fields: Vec<_> = layers
        .into_iter()
        .map(|[name, label, typed]| {
            field::number(Field::new(ASK, name, format!("Layers on {label}")).value(typed))
        })
        .collect();
    let choices =
        |pairs: [(&str, &str); 2]| pairs.map(|(key, said)| (key.to_owned(), said.to_owned())).to_vec();
    let mode = choices([("keep", "kept where they hold"), ("fresh", "taken apart: a fresh match")]);
    let sizes = choices([("3", "three"), ("4", "four")]);
    view! {
        <form method="get" action="/match" class="ask">
            <input type="hidden" name="kiln" value=kiln />
            <div class="tops">{fields}</div>
            {field::radios(
                Field::new(ASK, "mode", "Present sets").value(if keep { "keep" } else { "fresh" }),
                mode,
            )}
            {field::radios(Field::new(ASK, "size", "Posts to a set").value(size.to_string()), sizes)}
            <button class="quiet" type="submit">
                "Find the sets"
            </button>
        </form>
    }
}

fn answer(answer: &LoadAnswer) -> impl IntoView + use<> {
    let said = answer.said.clone();
    let heights: Vec<_> = answer.heights.iter().map(height).collect();
    let any_new = answer.heights.iter().flat_map(|height| &height.sets).any(|set| set.made.is_some());
    // A form that came back says why even where nothing is left to make.
    let came_back = !Frame::get().form.get_untracked().problems.is_empty();
    let body = view! { <div id="make-sets" tabindex="-1">{heights}</div> };
    let body = if any_new || came_back {
        let button = any_new.then(|| {
            view! {
                {submit("Make the ticked sets")}
                <p class="hint">
                    "All of them are recorded, or none. A post that goes into a new set takes its present one apart. One tap takes it all back."
                </p>
            }
        });
        form(
            FORM,
            view! {
                {body}
                {button}
            },
        )
    } else {
        body.into_any()
    };
    view! {
        <section aria-label="The sets">
            <h2>"The sets"</h2>
            <p class="say">{said} "."</p>
            {body}
            {left_out(answer)}
        </section>
    }
}

fn height(shown: &Shown) -> impl IntoView + use<> {
    let Shown { title, spare, guard, .. } = shown.clone();
    let sets: Vec<_> = shown.sets.iter().map(set).collect();
    let mending: Vec<_> = shown.dressing.iter().map(dressing).collect();
    let shims: Vec<_> = shown
        .shims
        .iter()
        .cloned()
        .map(|shim| {
            view! {
                <li>
                    {shim.said} "." <p class="small">{sentence(&shim.rests_on)} "."</p>
                </li>
            }
        })
        .collect();
    let exact: Vec<_> = shown.exact.iter().map(|line| view! { <p>{line.clone()}</p> }).collect();
    view! {
        <section>
            <h3>{title}</h3>
            {(!sets.is_empty()).then(|| view! { <ul class="findings">{sets}</ul> })}
            {(!spare.is_empty()).then(|| view! { <p class="small">{sentence(&spare)} "."</p> })}
            {shown.comb.as_ref().map(comb)}
            {(!mending.is_empty())
                .then(|| {
                    view! {
                        <h4>"Missing: the least grinding that makes it"</h4>
                        <ul class="findings">{mending}</ul>
                        <p class="hint">
                            "Measure again once they are dressed, then find the sets again. Common practice brings the higher ones level with the lowest."
                        </p>
                    }
                })}
            {(!shims.is_empty())
                .then(|| {
                    view! {
                        <h4>"Or a shim, one at most"</h4>
                        <ul class="findings">{shims}</ul>
                    }
                })}
            <details>
                <summary>"What is exact about it"</summary>
                {(!guard.is_empty()).then(|| view! { <p>{sentence(&guard)} "."</p> })}
                {exact}
            </details>
        </section>
    }
}

fn set(set: &SetShown) -> impl IntoView + use<> {
    let SetShown { code, said, takes, made } = set.clone();
    let head = match made {
        Some(made) => {
            let label = format!("{code}, new");
            field::tick(Field::new(FORM, set.field(), label).value(made.token), true).into_any()
        }
        None => view! {
            <p>
                <a href=format!("/set/{code}")>{code.to_string()}</a>
                ", stands as it is"
            </p>
        }
        .into_any(),
    };
    view! {
        <li>
            {head} <p>{said}</p>
            {(!takes.is_empty()).then(|| view! { <p class="small">{sentence(&takes)} "."</p> })}
        </li>
    }
}

fn dressing(dressing: &DressShown) -> impl IntoView + use<> {
    let said = dressing.said.clone();
    let jobs: Vec<_> = dressing
        .jobs
        .iter()
        .cloned()
        .map(|job| {
            view! {
                <a class="button" href=job.href>
                    {job.text}
                </a>
            }
        })
        .collect();
    view! {
        <li>
            {said} "." <div class="actions">{jobs}</div>
        </li>
    }
}

fn left_out(answer: &LoadAnswer) -> Option<impl IntoView + use<>> {
    (!answer.left_out.is_empty()).then(|| {
        let rows: Vec<_> = answer
            .left_out
            .iter()
            .map(|[code, why]| {
                view! {
                    <tr>
                        <th scope="row">
                            <a href=format!("/post/{code}")>{code.clone()}</a>
                        </th>
                        <td>{sentence(why)}</td>
                    </tr>
                }
            })
            .collect();
        view! {
            <details>
                <summary>"Posts of these heights that cannot be loaded"</summary>
                <table>
                    <caption>"Posts that take no part, and why"</caption>
                    <thead>
                        <tr>
                            <th scope="col">"Post"</th>
                            <th scope="col">"Why"</th>
                        </tr>
                    </thead>
                    <tbody>{rows}</tbody>
                </table>
            </details>
        }
    })
}
