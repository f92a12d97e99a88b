//! `/firings/new`: everything ticked, untick what was not in it.
use super::kilns;
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::cone_name::ConeName;
use tripoise_core::event::values::Ware;
use tripoise_core::view::Page;
use tripoise_core::view::firings::new::{LoadGroup, Loaded, NewFiring};

const FORM: &str = "firing";

/// The firing's form, or the kilns to choose from.
pub fn render(page: &Page, data: &NewFiring) -> impl IntoView + use<> {
    if data.kiln.is_none() {
        return kilns(&data.kilns).into_any();
    }
    let cones = ConeName::all().map(|cone| (cone.to_string(), format!("cone {cone}"))).collect();
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    let barred = data.groups.iter().flat_map(|group| &group.pieces).any(|piece| !piece.barred.is_empty());
    let button = if page.correcting.is_some() { "Correct it" } else { "Log the firing" };
    let ticked_said = match &data.plan {
        Some(plan) => {
            format!("Ticked: what the plan {} names. Untick what was not in it, tick what was.", plan.name)
        }
        None => "Untick what was not in it.".to_owned(),
    };
    let plans: Vec<_> = data
        .plans
        .iter()
        .map(|link| {
            let tripoise_core::view::Link { href, text } = link.clone();
            view! { <a class="button quiet" href=href>{text}</a> }
        })
        .collect();
    let fields = view! {
        {field::radios(Field::new(FORM, "ware", "What it was"), field::options::<Ware>())}
        {field::select(Field::new(FORM, "cone", "Cone reached"), cones)}
        {field::date(Field::new(FORM, "date", "Day"))}
        <div id="firing-in" class="load" tabindex="-1">
            <p>{ticked_said}</p>
            {groups}
        </div>
        {barred
            .then(|| {
                field::tick(
                    Field::new(FORM, "held", "Pieces on hold that are ticked were in it all the same"),
                    false,
                )
            })}
        {field::text(Field::new(FORM, "note", "Note").hint("may stay empty"), "text")}
        {submit(button)}
    };
    if data.groups.is_empty() {
        return view! {
            <p class="say">"These racks are empty. Enter their shelves and posts first."</p>
            <p>
                <a class="button first" href="/add/shelves">
                    "Enter shelves"
                </a>
            </p>
        }
        .into_any();
    }
    view! {
        {(!plans.is_empty()).then(|| view! { <div class="actions">{plans}</div> })}
        {form(FORM, fields)}
    }
    .into_any()
}

fn group(group: &LoadGroup) -> impl IntoView + use<> {
    let title = format!("{}: {}", group.said, group.pieces.len());
    let (free, barred): (Vec<&Loaded>, Vec<&Loaded>) =
        group.pieces.iter().partition(|piece| piece.barred.is_empty());
    let free: Vec<_> = free.into_iter().map(tick).collect();
    let barred: Vec<_> = barred.into_iter().map(tick).collect();
    let few = group.pieces.len() <= 12;
    view! {
        <details open=few>
            <summary>{title.clone()}</summary>
            <fieldset>
                <legend>{title}</legend>
                <div class="ticks">{free}</div>
                {barred}
            </fieldset>
        </details>
    }
}

/// Ticked by the form's own beginning, which also holds for a form that came back.
fn tick(piece: &Loaded) -> impl IntoView + use<> {
    let label = if piece.barred.is_empty() {
        piece.code.clone()
    } else {
        format!("{}, {}", piece.code, piece.barred)
    };
    field::tick(Field::new(FORM, "in", label).value(piece.code.clone()), false)
}
