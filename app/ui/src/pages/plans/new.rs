//! `/plans/new`.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::cone_name::ConeName;
use tripoise_core::event::values::Ware;
use tripoise_core::view::plans::new::{FORM, NewPlan, PlaceAsked};

/// The form, or what comes before it.
pub fn render(data: &NewPlan) -> impl IntoView + use<> {
    if let Some(link) = data.inside_first.clone() {
        return view! {
            <p class="say">"A plan is drawn in the kiln\u{2019}s inside, with at least one place for a stack."</p>
            <p>
                <a class="button first" href=link.href>
                    {link.text}
                </a>
            </p>
        }
        .into_any();
    }
    if data.kiln.is_none() {
        let buttons: Vec<_> = data
            .kilns
            .iter()
            .map(|kiln| {
                let href = format!("/plans/new?kiln={}", kiln.id);
                let text = format!("Plan a load of {}", kiln.name);
                view! {
                    <a class="button first" href=href>
                        {text}
                    </a>
                }
            })
            .collect();
        return view! { <div class="actions">{buttons}</div> }.into_any();
    }
    let cones = ConeName::all().map(|cone| (cone.to_string(), format!("cone {cone}"))).collect();
    let places: Vec<_> = data.places.iter().map(place).collect();
    let fields = view! {
        {field::text(Field::new(FORM, "name", "Name"), "text")}
        {field::radios(Field::new(FORM, "ware", "What it is"), field::options::<Ware>())}
        {field::select(Field::new(FORM, "cone", "To cone"), cones)}
        <h2>"How many layers of which height"</h2>
        <p class="hint">
            "The lowest stand at the bottom. Shelves and sets are chosen from the rack, the best at the bottom; ware is put in as usual. Everything can be changed afterwards."
        </p>
        {places}
        {submit("Make the plan")}
    };
    form(FORM, fields).into_any()
}

fn place(place: &PlaceAsked) -> impl IntoView + use<> {
    let heights: Vec<_> = place
        .heights
        .iter()
        .map(|height| field::number(Field::new(FORM, height.field.clone(), height.said.clone())))
        .collect();
    let none = heights.is_empty();
    view! {
        <fieldset>
            <legend>{place.name.clone()}</legend>
            {none.then(|| view! { <p>"No sets are on record for this kiln yet; match posts first."</p> })}
            <div class="sides-by-side">{heights}</div>
        </fieldset>
    }
}
