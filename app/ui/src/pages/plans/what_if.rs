//! `/plan/ID/what-if`: a change tried on the check, before and after beside each other, and saved when it is wanted.
use super::lines;
use crate::parts::form::{form, submit};
use crate::parts::mark::mark;
use leptos::prelude::*;
use std::sync::{Arc, Mutex, PoisonError};
use tripoise_core::judge::stack::PlateCache;
use tripoise_core::view::Page;
use tripoise_core::view::plans::what_if::{Asked, CHANGES, Compared, WhatIf};

/// The choices, and what they would do.
pub fn render(page: &Page, data: &WhatIf) -> impl IntoView + use<> {
    let asked = RwSignal::new(data.asked.clone());
    let world = Arc::new(data.bench.world());
    let cache = Mutex::new(PlateCache::default());
    let back = data.path.clone();
    let data = Arc::new(data.clone());
    let compared = {
        let data = Arc::clone(&data);
        Memo::new(move |_| {
            let mut cache = cache.lock().unwrap_or_else(PoisonError::into_inner);
            data.compared(&world, &asked.get(), &mut cache)
        })
    };
    let changed = move |event: leptos::ev::Event| {
        if let Some((name, value)) = crate::browser::typed(&event) {
            asked.update(|asked| match name.as_str() {
                "change" => asked.change = value,
                "shelf" => asked.shelf = value,
                "other" => asked.other = value,
                "layer" => asked.layer = value,
                "set" => asked.set = value,
                _ => {}
            });
        }
    };
    let Asked { change, shelf, other, layer, set } = data.asked.clone();
    let others: Vec<_> = data.spare.iter().chain(&data.shelves).cloned().collect();
    let kinds = CHANGES.map(|(key, said)| {
        let here = change == key;
        view! {
            <label class="choice">
                <input type="radio" name="change" value=key checked=here />
                <span>{said}</span>
            </label>
        }
    });
    view! {
        <form method="get" action=page.path.clone() class="ask what-if" on:input=changed on:change=changed>
            <fieldset class="choices">
                <legend>"What if we"</legend>
                <div class="options">{kinds}</div>
            </fieldset>
            <div class="of-shelf">{select("shelf", "The shelf", &data.shelves, &shelf)}</div>
            <div class="of-other">{select("other", "The shelf that takes its place", &others, &other)}</div>
            <div class="of-layer">{select("layer", "The layer", &data.layers, &layer)}</div>
            <div class="of-swap">{select("set", "The set that is to stand there", &data.sets, &set)}</div>
            <button class="quiet" type="submit">
                "Try it"
            </button>
        </form>
        <div aria-live="polite">{move || results(&compared.get())}</div>
        {data.is_open.then(|| save(asked, compared))}
        <p>
            <a class="button quiet" href=back>
                "Back to the plan"
            </a>
        </p>
    }
}

/// The change made the plan's; shown once it can be.
fn save(asked: RwSignal<Asked>, compared: Memo<Compared>) -> impl IntoView {
    let field = move |name: &'static str, of: fn(&Asked) -> &String| {
        view! { <input type="hidden" name=name value=move || asked.with(|asked| of(asked).clone()) /> }
    };
    let fields = view! {
        {field("change", |asked| &asked.change)}
        {field("shelf", |asked| &asked.shelf)}
        {field("other", |asked| &asked.other)}
        {field("layer", |asked| &asked.layer)}
        {field("set", |asked| &asked.set)}
        {submit("Save the plan so")}
    };
    let away = move || compared.with(|compared| !compared.problem.is_empty() || !compared.of_plan);
    view! { <div hidden=away>{form("save", fields)}</div> }
}

fn select(
    name: &'static str,
    label: &'static str,
    options: &[(String, String)],
    chosen: &str,
) -> impl IntoView {
    let id = format!("what-if-{name}");
    let options: Vec<_> = std::iter::once((String::new(), "choose".to_owned()))
        .chain(options.iter().cloned())
        .map(|(value, said)| {
            let here = value == chosen;
            view! {
                <option value=value selected=here>
                    {said}
                </option>
            }
        })
        .collect();
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <select id=id name=name>
                {options}
            </select>
        </div>
    }
}

fn results(compared: &Compared) -> impl IntoView + use<> {
    let Compared { said, problem, n_same, .. } = compared.clone();
    if !problem.is_empty() {
        return view! {
            <p class="say">"Now: " {mark(&compared.before)}</p>
            <p>{tripoise_core::view::text::sentence(&problem)} "."</p>
        }
        .into_any();
    }
    let none = compared.gone.is_empty() && compared.new.is_empty();
    view! {
        <h2>{said}</h2>
        <div class="beside before-after">
            <section>
                <h3>"Now"</h3>
                <p>{mark(&compared.before)}</p>
                {lines::list("Lines that go or change", "", &compared.gone)}
            </section>
            <section>
                <h3>"Then"</h3>
                <p>{mark(&compared.after)}</p>
                {lines::list("Lines that come or change", "", &compared.new)}
            </section>
        </div>
        {none.then(|| view! { <p>"No line changes."</p> })}
        <p class="hint">{format!("{n_same} lines stay as they are. Nothing is recorded yet.")}</p>
    }
    .into_any()
}
