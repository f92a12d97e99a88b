//! Posts of one height matched into sets: what to ask, the answer drawn, and a button that makes the sets.
use super::post::list::heights;
use crate::parts::comb::comb;
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::matching::{ASK, Answer, Asked, FORM, Match, Proposal};

/// The page.
pub fn render(page: &Page, data: &Match) -> impl IntoView + use<> {
    let none = data.heights.is_empty();
    let unit = page.unit.sign();
    view! {
        {none
            .then(|| {
                view! {
                    <p class="say">"No posts are on record yet."</p>
                    <a class="button first" href="/add/posts">
                        "Enter posts"
                    </a>
                }
            })}
        {(!none && data.asked.is_none()).then(|| view! { <p class="say">"Of which height?"</p> })}
        {height_links(data)}
        {data.asked.as_ref().map(|asked| ask(asked, unit))}
        {data.answer.as_ref().map(answer)}
    }
}

/// One height is a link too here: without a choice there is nothing else on the page.
fn height_links(data: &Match) -> AnyView {
    match data.heights.as_slice() {
        [(link, false)] => view! {
            <a class="button first" href=link.href.clone()>
                {link.text.clone()}
            </a>
        }
        .into_any(),
        many => heights("Nominal height", many).into_any(),
    }
}

fn ask(asked: &Asked, unit: &'static str) -> impl IntoView + use<> {
    let Asked { nominal, kilns, kiln, size, keep, tolerance, dress } = asked.clone();
    let field = |name: &'static str, label: String| Field::new(ASK, name, label);
    let choices =
        |pairs: [(&str, &str); 2]| pairs.map(|(key, said)| (key.to_owned(), said.to_owned())).to_vec();
    let mode = choices([("keep", "kept where they hold"), ("fresh", "taken apart: a fresh match")]);
    let sizes = choices([("3", "three"), ("4", "four")]);
    let kilns = (kilns.len() > 1).then(|| {
        let all = [(String::new(), "all of them".to_owned())];
        field::select(
            field("kiln", "From whose racks".to_owned()).value(kiln),
            all.into_iter().chain(kilns).collect(),
        )
    });
    view! {
        <form method="get" action="/match">
            <input type="hidden" name="nominal" value=nominal.0.to_string() />
            {field::radios(field("mode", "Present sets".to_owned()).value(if keep { "keep" } else { "fresh" }), mode)}
            {field::radios(field("size", "Posts to a set".to_owned()).value(size.to_string()), sizes)}
            {field::length(field("tolerance", format!("Spread asked for, {unit}")).value(tolerance))}
            {field::length(
                field("dress", format!("Grind off a post at most, {unit}")).value(dress).hint("0: none is ground"),
            )}
            {kilns}
            <button class="quiet" type="submit">
                "Match them"
            </button>
        </form>
    }
}

fn answer(answer: &Answer) -> impl IntoView + use<> {
    let Answer { said, exact, guard, .. } = answer.clone();
    let sets: Vec<_> = answer.sets.iter().map(proposal).collect();
    let shown = answer.shown();
    let n_new = answer.sets.iter().filter(|set| set.is_made_now()).count();
    let button = match n_new {
        0 => None,
        1 => Some("Make the new set"),
        _ => Some("Make the new sets"),
    };
    view! {
        <section aria-label="The sets">
            <h2>"The sets"</h2>
            <p class="say">{said} "."</p>
            <p>{exact}</p>
            <p class="hint">{guard}</p>
            {answer.comb.as_ref().map(comb)}
            <ul class="findings">{sets}</ul>
            {button.map(|text| form(FORM, view! { <input type="hidden" name="shown" value=shown.clone() /> {submit(text)} <p class="hint">"A post that goes into a new set takes its present one apart. One tap takes it all back."</p> }))}
            {left(answer)}
        </section>
    }
}

fn proposal(set: &Proposal) -> impl IntoView + use<> {
    let Proposal { code, stands, posts, spread, dress, moves } = set.clone();
    let posts: Vec<String> = posts.into_iter().map(|(_, code)| code).collect();
    let head =
        format!("{}: {} apart{}", posts.join(", "), spread, if stands { ", stays as it is" } else { "" });
    let code = code.to_string();
    let name = if stands {
        view! { <a href=format!("/set/{code}")>{code.clone()}</a> }.into_any()
    } else {
        view! { <strong>{code}</strong> }.into_any()
    };
    view! {
        <li>
            {name} " " {head}
            {(!dress.is_empty())
                .then(|| {
                    view! { <p>{format!("First dress {}; measure again, then match again.", dress.join(" and "))}</p> }
                })}
            {(!moves.is_empty()).then(|| view! { <p class="small">{moves.join("; ")}</p> })}
        </li>
    }
}

fn left(answer: &Answer) -> Option<impl IntoView + use<>> {
    (!answer.left.is_empty()).then(|| {
        let rows: Vec<_> = answer
            .left
            .iter()
            .cloned()
            .map(|[code, height, why]| {
                view! {
                    <tr>
                        <th scope="row">
                            <a href=format!("/post/{code}")>{code.clone()}</a>
                        </th>
                        <td class="n">{height}</td>
                        <td>{why}</td>
                    </tr>
                }
            })
            .collect();
        view! {
            <h3>"In no set"</h3>
            <table>
                <caption>"Posts of this height that are left over, and why"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Post"</th>
                        <th scope="col">"Height"</th>
                        <th scope="col">"Why"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        }
    })
}
