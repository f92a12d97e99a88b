//! `/bench/batch`: tick several, say once what was done to all of them.
use crate::parts::caution;
use crate::parts::field::{self, Field, options};
use crate::parts::form::{form, submit};
use crate::parts::jobs;
use crate::parts::wash;
use leptos::prelude::*;
use tripoise_core::event::values::{GrindMethod, HoldReason, Mask, Ring};
use tripoise_core::view::bench::batch::{Act, Batch, DRY, FORM, Group, Pick, usual};
use tripoise_core::view::post::dress::USUAL;
use tripoise_core::view::remember::Bench;
use tripoise_core::view::text::sentence;
use tripoise_core::view::{Link, Page};

/// House choice: a group of more pieces than this with none of them ticked stands folded.
const OPEN: usize = 24;

/// What to log, or the form for it.
pub fn render(page: &Page, data: &Batch) -> impl IntoView + use<> {
    let Some(act) = &data.act else {
        let choices: Vec<_> = data.choices.iter().map(|link| jobs::large(link, false)).collect();
        return view! {
            <p class="say">"What was done to them?"</p>
            <div class="actions">{choices}</div>
        }
        .into_any();
    };
    let picks: Vec<_> = data.picks.iter().map(pick_link).collect();
    let groups: Vec<_> = data.groups.iter().map(|one| group(page, one)).collect();
    let (caution, fields, button) = what(act);
    let fields = view! {
        <div id="batch-in" class="load" tabindex="-1">
            {groups}
        </div>
        {fields}
        {submit(button)}
    };
    view! {
        {caution}
        <nav class="filter" aria-label="Which are ticked">
            <p>"Tick:"</p>
            <ul>{picks}</ul>
        </nav>
        {form(FORM, fields)}
    }
    .into_any()
}

fn pick_link(link: &Link) -> impl IntoView + use<> {
    view! { <li>{jobs::large(link, false)}</li> }
}

/// The caution, the fields and the button of an action.
fn what(act: &Act) -> (Option<AnyView>, AnyView, &'static str) {
    match act {
        Act::Ground { like, wet_holds, lifting } => {
            let wet = if wet_holds.is_empty() {
                String::new()
            } else {
                format!("Ground wet, these go on hold until they are logged dry: {}.", wet_holds.join(", "))
            };
            let caution = caution::grinding(wet, lifting.clone()).into_any();
            (Some(caution), grinding(*like, DRY).into_any(), "All ground")
        }
        Act::Dressed { like } => {
            let caution = caution::grinding(String::new(), String::new()).into_any();
            (Some(caution), grinding(*like, USUAL).into_any(), "All dressed")
        }
        Act::Washed => (Some(wash::caution("").into_any()), wash::fields(FORM, "").into_any(), "All washed"),
        Act::Flipped => (None, ().into_any(), "All turned over"),
        Act::Tapped => {
            let heard = [Ring::Rings, Ring::Dull].map(|ring| (ring.key().to_owned(), ring.said().to_owned()));
            let hint = "A wet shelf sounds dull as well. One that sounds otherwise gets an entry of its own.";
            let field = Field::new(FORM, "ring", "What all of them sounded like").hint(hint);
            (None, field::radios(field, heard.to_vec()), "All tapped")
        }
        Act::Held => {
            let fields = view! {
                {field::radios(Field::new(FORM, "reason", "Why"), options::<HoldReason>())}
                {field::area(Field::new(FORM, "note", "In your words").hint("needed for another reason"), 2)}
            };
            (None, fields.into_any(), "All on hold")
        }
        Act::Moved { kilns } => {
            let kilns = kilns.iter().map(|kiln| (kiln.id.to_string(), kiln.name.clone())).collect();
            let place = Field::new(FORM, "place", "Place").hint("such as rack B slot 4; may stay empty");
            let fields = view! {
                {field::select(Field::new(FORM, "kiln", "Whose racks they go to"), kilns)}
                {field::text(place, "text")}
            };
            (None, fields.into_any(), "All moved")
        }
    }
}

fn grinding(like: Option<Bench>, begin: (GrindMethod, Mask)) -> impl IntoView {
    let (method, mask, minutes) = usual(like, begin);
    let remembered = if like.is_some() { " As last time." } else { "" };
    let hint = format!("Of each piece. Leave it empty where nobody looked at the clock.{remembered}");
    view! {
        {field::radios(Field::new(FORM, "method", "How").value(method.key()), options::<GrindMethod>())}
        {field::radios(Field::new(FORM, "mask", "Mask").value(mask.key()), options::<Mask>())}
        {field::number(Field::new(FORM, "minutes", "Minutes each").value(minutes).hint(hint))}
    }
}

fn group(page: &Page, group: &Group) -> impl IntoView + use<> {
    let title = format!("{}: {}", sentence(&group.said), group.pieces.len());
    let came_back = page.form.action == FORM;
    let any_ticked = group.pieces.iter().any(|pick| pick.ticked);
    let open = came_back || any_ticked || group.pieces.len() <= OPEN;
    let (plain, known): (Vec<&Pick>, Vec<&Pick>) =
        group.pieces.iter().partition(|pick| pick.known.is_empty() && pick.barred.is_empty());
    let plain: Vec<_> = plain.into_iter().map(tick).collect();
    let known: Vec<_> = known.into_iter().map(tick).collect();
    view! {
        <details open=open>
            <summary>{title.clone()}</summary>
            <fieldset>
                <legend>{title}</legend>
                <div class="ticks">{plain}</div>
                {known}
            </fieldset>
        </details>
    }
}

fn tick(pick: &Pick) -> AnyView {
    let said: Vec<&str> =
        [pick.code.as_str(), &pick.known, &pick.barred].into_iter().filter(|said| !said.is_empty()).collect();
    let label = said.join(", ");
    if pick.barred.is_empty() {
        return field::tick(Field::new(FORM, "in", label).value(pick.code.clone()), pick.ticked).into_any();
    }
    view! { <p class="hint">{label}</p> }.into_any()
}
