//! A crack: two taps on the outline, or four numbers.
use super::back;
use crate::app::Frame;
use crate::browser::touch;
use crate::parts::field::{Field, length, options, radios, select, text};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::Ring;
use tripoise_core::form::quantity::{Feelers, read_length};
use tripoise_core::outline::Spot;
use tripoise_core::view::shelf::crack::{CrackPage, KnownCrack};
use tripoise_core::view::shelf::drawing::{Scale, WIDTH};
use tripoise_core::view::text::{LengthUnit, length_input};
use tripoise_core::view::{FormState, Page};

const FORM: &str = "record";
const FIELDS: [&str; 4] = ["from_x", "from_y", "to_x", "to_y"];

/// The two ends as far as they are known.
type Ends = (Option<Spot>, Option<Spot>);

fn field(name: &str, label: &str) -> Field {
    Field::new(FORM, name, label)
}

fn id(name: &str) -> String {
    format!("{FORM}-{name}")
}

/// The form for a crack.
pub fn render(page: &Page, data: &CrackPage) -> impl IntoView + use<> {
    let unit = page.unit;
    let feelers = data.named.feelers.clone();
    let ends = RwSignal::new(typed_in(&Frame::get().form.get_untracked(), unit, &feelers));
    let chosen = RwSignal::new(String::from("new"));
    let known = data.known.clone();
    let on_input = move |_| {
        let choice = touch::field(&id("crack"));
        if chosen.get_untracked() != choice {
            chosen.set(choice.clone());
            if let Some(crack) = known.iter().find(|crack| crack.id.to_string() == choice) {
                fill((Some(crack.from), Some(crack.to)), unit);
            }
        }
        ends.set(in_fields(unit, &feelers));
    };
    let listed: Vec<(String, String)> = [("new".to_owned(), "a new one".to_owned())]
        .into_iter()
        .chain(data.known.iter().map(|crack| (crack.id.to_string(), crack.said.clone())))
        .collect();
    let sign = unit.sign();
    let fields = view! {
        <div on:input=on_input>
            {(!data.known.is_empty()).then(|| select(field("crack", "Which crack").value("new"), listed))}
            {drawing(data, ends, unit)}
            {length(field("from_x", "Start: to the right").hint(format!("From the front left corner, in {sign}.")))}
            {length(field("from_y", "Start: to the back").hint("0 on the front edge."))}
            {length(field("to_x", "End: to the right"))}
            {length(field("to_y", "End: to the back"))}
            <p class="say" aria-live="polite">{said(data, ends, unit)}</p>
        </div>
        {radios(field("ring", "Tap test").value(Ring::NotTapped.key()).hint("A wet shelf sounds dull as well."), options::<Ring>())}
        {text(field("note", "Note").hint("May stay empty."), "text")}
        {submit("Record the crack")}
    };
    view! { {form(FORM, fields)} {back(&data.named.path)} }
}

/// The crack's size as it stands, and the class it falls in.
fn said(
    data: &CrackPage,
    ends: RwSignal<Ends>,
    unit: LengthUnit,
) -> impl Fn() -> String + Send + Sync + 'static + use<> {
    let data = data.clone();
    move || match ends.get() {
        (Some(from), Some(to)) if from != to => format!("{}.", data.said(from, to, unit)),
        (Some(_), _) => "Now its other end.".to_owned(),
        _ => "Tap where the crack starts, then where it ends; or type the four numbers.".to_owned(),
    }
}

fn drawing(data: &CrackPage, ends: RwSignal<Ends>, unit: LengthUnit) -> impl IntoView + use<> {
    let scale = Scale::of(&data.outline);
    let height = scale.height();
    let outline = scale.outline(&data.outline);
    let known: Vec<_> = data.known.iter().map(known_line).collect();
    let thin = if data.known.is_empty() { "" } else { " Thin lines: cracks on record." };
    let caption = format!("From above, front at the bottom.{thin}");
    let bounds = data.outline.bounds();
    let tapped = move |event| {
        let Some((across, down)) = touch::place(&event) else { return };
        let spot = scale.back(across, down);
        let spot = Spot {
            x_nm: spot.x_nm.clamp(tripoise_core::units::Length::ZERO, bounds.0),
            y_nm: spot.y_nm.clamp(tripoise_core::units::Length::ZERO, bounds.1),
        };
        let next = match ends.get_untracked() {
            (Some(from), None) => (Some(from), Some(spot)),
            _ => (Some(spot), None),
        };
        fill(next, unit);
        ends.set(next);
    };
    let path = move || match ends.get() {
        (Some(from), Some(to)) => scale.line(from, to),
        _ => String::new(),
    };
    let end = move |which: fn(Ends) -> Option<Spot>| {
        move || {
            which(ends.get()).map(|spot| {
                let (x, y) = scale.spot(spot);
                view! { <circle cx=x.to_string() cy=y.to_string() r="7" fill="var(--iron)"></circle> }
            })
        }
    };
    view! {
        <figure>
            <svg
                viewBox=format!("0 0 {WIDTH} {height}")
                width="100%"
                role="img"
                aria-label="The outline from above, front at the bottom. Tap the crack's start, then its end; or type the numbers below."
                on:click=tapped
            >
                <path d=outline fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                {known}
                <path d=path fill="none" stroke="var(--iron)" stroke-width="5"></path>
                {end(|ends| ends.0)}
                {end(|ends| ends.1)}
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn known_line(crack: &KnownCrack) -> impl IntoView + use<> {
    view! { <path d=crack.path.clone() fill="none" stroke="var(--iron)" stroke-width="2" stroke-dasharray="6 4"></path> }
}

/// The ends that a returned form or a correction begins with.
fn typed_in(form: &FormState, unit: LengthUnit, feelers: &Feelers) -> Ends {
    let typed =
        |name: &str| form.values.get(name).and_then(|values| values.first()).cloned().unwrap_or_default();
    spots(FIELDS.map(typed), unit, feelers)
}

fn in_fields(unit: LengthUnit, feelers: &Feelers) -> Ends {
    spots(FIELDS.map(|name| touch::field(&id(name))), unit, feelers)
}

fn spots(texts: [String; 4], unit: LengthUnit, feelers: &Feelers) -> Ends {
    let [from_x, from_y, to_x, to_y] = texts.map(|text| read_length(&text, unit, feelers).ok());
    let spot = |x, y| Some(Spot { x_nm: x?, y_nm: y? });
    (spot(from_x, from_y), spot(to_x, to_y))
}

fn fill(ends: Ends, unit: LengthUnit) {
    let (from, to) = ends;
    let parts = [
        from.map(|spot| spot.x_nm),
        from.map(|spot| spot.y_nm),
        to.map(|spot| spot.x_nm),
        to.map(|spot| spot.y_nm),
    ];
    for (name, part) in FIELDS.iter().zip(parts) {
        touch::fill(&id(name), &part.map_or_else(String::new, |length| length_input(length, unit)));
    }
}
