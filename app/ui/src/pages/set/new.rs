//! Put a set together: tick posts, and see at once how they go together.
use super::{stand, verdict};
use crate::app::Frame;
use crate::pages::post::list::heights;
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::mark::mark;
use leptos::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;
use tripoise_core::judge::post_set::{SetPost, judge_heights};
use tripoise_core::view::set::card::{Verdicted, verdicted};
use tripoise_core::view::set::choose::read_inset;
use tripoise_core::view::set::new::{FORM, Pick, SetNew};
use tripoise_core::view::{Link, Page};

/// What is chosen at this moment.
#[derive(Clone, Copy)]
struct Chosen {
    ticked: RwSignal<BTreeSet<String>>,
    shelf: RwSignal<String>,
    inset: RwSignal<String>,
}

/// The page.
pub fn render(page: &Page, data: &SetNew) -> impl IntoView + use<> {
    if data.nominal.is_none() {
        return which_height(data).into_any();
    }
    let data = Arc::new(data.clone());
    let chosen = chosen(&data);
    let judged = {
        let data = Arc::clone(&data);
        move || verdict::render(&judge(&data, chosen)).into_any()
    };
    let correcting = page.correcting.is_some();
    let code = if correcting { data.correcting.clone() } else { data.code.clone() };
    let nominal = data.nominal.map_or(0, |nominal| nominal.0).to_string();
    let unit = page.unit.sign();
    let options = stand::shelves(&data.stand);
    let fields = view! {
        <input type="hidden" name="nominal" value=nominal />
        {boxes(&data, chosen)}
        <div on:change=move |event| {
            if let Some((name, value)) = crate::browser::typed(&event) {
                match name.as_str() {
                    "shelf" => chosen.shelf.set(value),
                    "inset" => chosen.inset.set(value),
                    _ => {}
                }
            }
        }>
            {field::select(
                Field::new(FORM, "shelf", "Under which shelf").value(data.stand.shelf.clone()),
                options,
            )}
            {field::length(
                Field::new(FORM, "inset", format!("Posts in from the edge, {unit}"))
                    .value(data.stand.inset_text.clone()),
            )}
        </div>
        <button class="quiet" type="submit" formmethod="get" formaction="/sets/new">
            "Judge these"
        </button>
        <section id="together" aria-label="How they go together">
            <h2>"How they go together"</h2>
            {judged}
        </section>
        {field::text(Field::new(FORM, "code", "Code of the set").value(code), "text")}
        {submit(if correcting { "Correct it" } else { "Make this set" })}
    };
    view! {
        {suggestions(&data.suggestions)}
        {form(FORM, fields)}
        <p class="hint">
            "The posts are put where the shelf lies best; the plan shows which stands where."
        </p>
    }
    .into_any()
}

fn which_height(data: &SetNew) -> impl IntoView + use<> {
    let none = data.heights.is_empty();
    view! {
        <p class="say">{if none { "No posts are on record yet." } else { "Of which height?" }}</p>
        {heights("Nominal height", &data.heights)}
        {(data.heights.len() == 1)
            .then(|| {
                data.heights
                    .first()
                    .map(|(link, _)| {
                        let Link { href, text } = link.clone();
                        view! {
                            <a class="button first" href=href>
                                {text}
                            </a>
                        }
                    })
            })}
        {none
            .then(|| {
                view! {
                    <a class="button first" href="/add/posts">
                        "Enter posts"
                    </a>
                }
            })}
    }
}

/// What the page begins with: what came back with the form, or what the address ticks.
fn chosen(data: &SetNew) -> Chosen {
    let state = Frame::get().form.get_untracked();
    let came_back = state.action == FORM;
    let typed = |name: &str, otherwise: &str| {
        let typed = state.values.get(name).and_then(|values| values.first()).filter(|_| came_back);
        typed.cloned().unwrap_or_else(|| otherwise.to_owned())
    };
    let on = |pick: &&Pick| if came_back { state.values.contains_key(&pick.field()) } else { pick.ticked };
    Chosen {
        ticked: RwSignal::new(data.posts.iter().filter(on).map(|pick| pick.known.code.clone()).collect()),
        shelf: RwSignal::new(typed("shelf", &data.stand.shelf)),
        inset: RwSignal::new(typed("inset", &data.stand.inset_text)),
    }
}

fn judge(data: &SetNew, chosen: Chosen) -> Verdicted {
    let codes = chosen.ticked.get();
    let shelf = chosen.shelf.get();
    let inset = read_inset(&chosen.inset.get(), data.limits.unit).unwrap_or(data.stand.inset);
    let ticked: Vec<&Pick> = data.posts.iter().filter(|pick| codes.contains(&pick.known.code)).collect();
    let in_place = data.in_place(&ticked, &shelf, inset);
    let known: Vec<SetPost> = in_place.into_iter().map(|pick| pick.known.clone()).collect();
    let outline = data.stand.with_code(&shelf).map(|shelf| &shelf.outline);
    let judged = judge_heights(&data.limits, &known, outline, inset);
    verdicted(&data.limits, &judged, outline, inset, data.nominal.unwrap_or_default())
}

/// A box for every post, free ones first.
fn boxes(data: &Arc<SetNew>, chosen: Chosen) -> impl IntoView + use<> {
    let (free, taken): (Vec<&Pick>, Vec<&Pick>) = data.posts.iter().partition(|pick| pick.in_set.is_empty());
    let one = move |pick: &&Pick| {
        let code = pick.known.code.clone();
        let ticked = pick.ticked;
        view! {
            <div on:change=move |event| {
                let on = event_target_checked(&event);
                chosen
                    .ticked
                    .update(|codes| {
                        if on {
                            codes.insert(code.clone());
                        } else {
                            codes.remove(&code);
                        }
                    });
            }>{field::tick(Field::new(FORM, pick.field(), label(data, pick)).value("yes"), ticked)}</div>
        }
    };
    let now = {
        let data = Arc::clone(data);
        move || {
            let judged = judge(&data, chosen);
            view! {
                {mark(&judged.mark)}
                <span>{judged.said}</span>
            }
        }
    };
    let any_taken = taken.iter().any(|pick| pick.ticked);
    let free: Vec<_> = free.iter().map(one).collect();
    let n_taken = taken.len();
    let taken: Vec<_> = taken.iter().map(one).collect();
    view! {
        <fieldset id="set-posts" tabindex="-1">
            <legend>"Tick three posts, or four"</legend>
            <div class="boxes">{free}</div>
            {(n_taken > 0)
                .then(|| {
                    view! {
                        <details open=any_taken>
                            <summary>{format!("{n_taken} in other sets")}</summary>
                            <p class="hint">"Ticking one takes its present set apart."</p>
                            <div class="boxes">{taken}</div>
                        </details>
                    }
                })}
            <a class="now" href="#together" aria-live="polite">
                {now}
            </a>
        </fieldset>
    }
}

/// "P07, 149.8 mm", with what bars it.
fn label(data: &SetNew, pick: &Pick) -> String {
    let height = match pick.known.height {
        Some(height) => tripoise_core::view::text::length(height, data.limits.unit),
        None if pick.known.dressed => "dressed since measured".to_owned(),
        None => "not measured".to_owned(),
    };
    let set = if pick.in_set.is_empty() { String::new() } else { format!(", in {}", pick.in_set) };
    let barred =
        if pick.known.barred.is_empty() { String::new() } else { format!(", {}", pick.known.barred) };
    format!("{}, {height}{set}{barred}", pick.known.code)
}

fn suggestions(links: &[Link]) -> Option<impl IntoView + use<>> {
    (!links.is_empty()).then(|| {
        let links: Vec<_> = links
            .iter()
            .map(|link| {
                let Link { href, text } = link.clone();
                view! {
                    <li>
                        <a class="button quiet" href=href>
                            {text}
                        </a>
                    </li>
                }
            })
            .collect();
        view! {
            <h2>"Free posts that go together"</h2>
            <ul class="actions">{links}</ul>
        }
    })
}
