//! `/plan/ID`.
use super::lines;
use crate::parts::field::{self, Field};
use crate::parts::figure::figure;
use crate::parts::form::{form, submit};
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::plans::check::CheckShown;
use tripoise_core::view::plans::one::{LayerSeen, OnePlan, StackSeen};

/// The verdict, the drawings, the layers from the floor up with their lines.
pub fn render(data: &OnePlan) -> impl IntoView + use<> {
    let is_open = data.became.is_none();
    let became = data.became.clone().map(|link| {
        if link.href.is_empty() {
            view! { <p class="aside">{link.text}</p> }.into_any()
        } else {
            view! {
                <p class="aside">
                    <a href=link.href>{link.text}</a>
                </p>
            }
            .into_any()
        }
    });
    let stacks: Vec<_> = data
        .seen
        .stacks
        .iter()
        .enumerate()
        .map(|(at, one)| stack(if is_open { &data.path } else { "" }, &data.seen.check, one, at, is_open))
        .collect();
    let (sheet, what_if) = (format!("{}/sheet", data.path), format!("{}/what-if", data.path));
    let (fire, fill) = (data.fire.clone(), format!("{}/fill", data.path));
    let kiln = data.kiln.clone();
    view! {
        {became}
        {lines::verdict(&data.seen.check)}
        {lines::list("About the whole plan", "", &data.seen.check.of_layer("", 0))}
        <div class="actions">
            <a class="button first" href=sheet>
                "Loading sheet"
            </a>
            {is_open
                .then(|| {
                    view! {
                        <a class="button" href=fill>
                            "Fill the plan"
                        </a>
                    }
                })}
            <a class="button" href=what_if>
                "What if"
            </a>
            {is_open
                .then(|| {
                    view! {
                        <a class="button" href=fire>
                            "It was fired"
                        </a>
                    }
                })}
        </div>
        {stacks}
        {data.seen.floor.as_ref().map(|floor| view! { <h2>"The floor"</h2> {figure(floor)} })}
        {lines::passed(&data.seen.check)}
        {is_open.then(|| overrule(data))}
        {restore(data)}
        <p>
            <a class="button quiet" href=kiln.href>
                {kiln.text}
            </a>
        </p>
        {is_open.then(|| form("drop", view! { <button class="quiet">"Give this plan up"</button> }))}
        <h2>"History"</h2>
        {rows::history(&data.history)}
    }
}

fn stack(
    plan: &str,
    check: &CheckShown,
    stack: &StackSeen,
    at: usize,
    is_open: bool,
) -> impl IntoView + use<> {
    let layers: Vec<_> = stack.layers.iter().map(|one| layer(plan, check, &stack.place, one)).collect();
    let title = tripoise_core::view::text::sentence(&stack.place);
    let add = is_open.then(|| {
        form(
            "add",
            view! {
                <button class="quiet" name="stack" value=at.to_string()>
                    "A layer on top"
                </button>
            },
        )
    });
    view! {
        <section class="stack">
            <h2>{title}</h2>
            {figure(&stack.side)}
            {lines::list(&format!("About {} as a whole", stack.place), plan, &check.of_layer(&stack.place, 0))}
            <ol class="layers">{layers}</ol>
            {add}
        </section>
    }
}

fn layer(plan: &str, check: &CheckShown, place: &str, layer: &LayerSeen) -> impl IntoView + use<> {
    let LayerSeen { href, number, said, facts, falls, is_loaded } = layer.clone();
    let falls: Vec<_> = falls.into_iter().map(|said| view! { <p class="hint">{said} "."</p> }).collect();
    let label = format!("About {place}, layer {number}");
    view! {
        <li>
            <a class="layer" href=href>
                <span class="code">{number.to_string()}</span>
                <span class="said">
                    {said} {is_loaded.then_some(", loaded")} {(!facts.is_empty()).then(|| view! { <small>{facts}</small> })}
                </span>
            </a>
            {lines::list(&label, plan, &check.of_layer(place, number))}
            {(!falls.is_empty())
                .then(|| {
                    view! {
                        <details>
                            <summary>"What falls together"</summary>
                            {falls}
                        </details>
                    }
                })}
        </li>
    }
}

fn overrule(data: &OnePlan) -> Option<impl IntoView + use<>> {
    let options: Vec<(String, String)> = data
        .seen
        .open_lines()
        .map(|line| {
            let place = if line.place.is_empty() { String::new() } else { format!("{}: ", line.place) };
            (line.name.clone(), format!("{place}{}", line.said))
        })
        .collect();
    (!options.is_empty()).then(|| {
        let fields = view! {
            {field::select(Field::new("overrule", "line", "Which line"), options)}
            {field::text(Field::new("overrule", "reason", "Why it may be loaded all the same").hint("It is kept with the firing."), "text")}
            {submit("Overrule it")}
        };
        view! {
            <details class="overrule">
                <summary>"Overrule a line"</summary>
                {form("overrule", fields)}
            </details>
        }
    })
}

fn restore(data: &OnePlan) -> Option<impl IntoView + use<>> {
    let lines: Vec<_> = data
        .seen
        .check
        .lines
        .iter()
        .map(|(_, _, line)| line)
        .filter(|line| !line.overruled.is_empty())
        .map(|line| {
            let (name, said) = (line.name.clone(), line.said.clone());
            view! {
                <li>
                    <p>{said}</p>
                    {form(
                        "restore",
                        view! {
                            <input type="hidden" name="line" value=name />
                            <button class="quiet">"Let it count again"</button>
                        },
                    )}
                </li>
            }
        })
        .collect();
    (!lines.is_empty()).then(|| {
        view! {
            <details>
                <summary>"Lines overruled"</summary>
                <ul class="lines">{lines}</ul>
            </details>
        }
    })
}
