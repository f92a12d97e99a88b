//! `/kiln/ID`: a kiln with its inside drawn; `/kiln/ID/inside`: its form.
use crate::parts::field::{self, Field, options};
use crate::parts::figure::figure;
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::KeepOutKind;
use tripoise_core::view::kiln::inside::{FORM, FORMS, Inside};
use tripoise_core::view::kiln::{Drawn, KilnPage};
use tripoise_core::view::{Link, Page};

/// The kiln.
pub fn render(data: &KilnPage) -> impl IntoView + use<> {
    let form = data.form.clone();
    let links: Vec<_> = data
        .links
        .iter()
        .map(|link| {
            let Link { href, text } = link.clone();
            view! {
                <a class="button" href=href>
                    {text}
                </a>
            }
        })
        .collect();
    let is_new = data.inside.is_none();
    view! {
        {data.inside.as_ref().map(drawn)}
        {is_new
            .then(|| {
                view! {
                    <p class="say">
                        "Its inside is not on record yet. Measure it once: width, depth, height, where stacks stand, and what is to be kept clear."
                    </p>
                }
            })}
        <div class="actions">
            <a class=if is_new { "button first" } else { "button" } href=form>
                {if is_new { "Enter its inside" } else { "Change its inside" }}
            </a>
            {links}
        </div>
    }
}

fn drawn(drawn: &Drawn) -> impl IntoView + use<> {
    let places: Vec<_> = drawn.places.iter().map(line).collect();
    let kept: Vec<_> = drawn.keep_outs.iter().map(line).collect();
    let (no_places, no_kept) = (places.is_empty(), kept.is_empty());
    view! {
        <p class="say">{tripoise_core::view::text::sentence(&drawn.said)} "."</p>
        <div class="beside">{figure(&drawn.above)} {figure(&drawn.section)}</div>
        <h2>"Places for stacks"</h2>
        {no_places.then(|| view! { <p>"None yet."</p> })}
        <ul class="lines">{places}</ul>
        <h2>"Kept clear"</h2>
        {no_kept.then(|| view! { <p>"Nothing on record."</p> })}
        <ol class="lines">{kept}</ol>
    }
}

fn line([name, said]: &[String; 2]) -> impl IntoView + use<> {
    let (name, said) = (name.clone(), said.clone());
    view! {
        <li>
            <strong>{name}</strong> ": " {said}
        </li>
    }
}

/// The form of its inside.
pub fn inside(page: &Page, data: &Inside) -> impl IntoView + use<> {
    let unit = page.unit.sign();
    let forms = FORMS.map(|(key, said)| (key.to_owned(), said.to_owned())).to_vec();
    let length = |name: &str, label: &str| field::length(Field::new(FORM, name, format!("{label}, {unit}")));
    let places: Vec<_> = (1..=data.n_places).map(|row| place(row, data.n_places, unit)).collect();
    let keep_outs: Vec<_> = (1..=data.n_keep_outs).map(|row| keep_out(row, data.n_keep_outs, unit)).collect();
    let fields = view! {
        <div class="chamber">
            {field::radios(Field::new(FORM, "form", "The chamber is"), forms)}
            <div class="sides-by-side straight">
                {length("width", "Width, left to right")} {length("depth", "Depth, front to back")}
            </div>
            <div class="across">{length("diameter", "Across")}</div>
            <div class="sides-by-side">
                {length("height", "Height, to roof, lid or crown")}
                <div class="arch">{length("spring", "Spring line, from the floor")}</div>
            </div>
        </div>
        <h2>"Places for stacks"</h2>
        <p class="hint">"Each where one stack stands: its front left corner from the chamber\u{2019}s, and its size."</p>
        <details>
            <summary>"Lay out places for me"</summary>
            <div class="thirds-of-fields">
                {field::number(Field::new(FORM, "lay_n", "How many"))}
                {length("lay_l", "Shelf, left to right")} {length("lay_w", "Shelf, front to back")}
            </div>
            <button class="quiet" type="submit" formmethod="get" name="then" value="lay_out">
                "Lay them out in the middle of the floor"
            </button>
        </details>
        {places}
        <h2>"To be kept clear"</h2>
        <p class="hint">
            {format!("Usual distances: {}. An empty distance takes the usual one; the settings change that.", data.usual)}
        </p>
        {keep_outs}
        {submit("Record the inside")}
    };
    view! {
        {form(FORM, fields)}
        <p>
            <a class="button quiet" href=data.back.clone()>
                "Back to the kiln"
            </a>
        </p>
    }
}

/// Two rows are offered beyond those that are filled; they are folded up.
fn fold(row: usize, n_rows: usize, title: String, fields: AnyView) -> AnyView {
    let is_blank = row + 2 > n_rows;
    view! {
        <details open=!is_blank>
            <summary>{title.clone()}</summary>
            <fieldset>
                <legend class="away">{title}</legend>
                {fields}
            </fieldset>
        </details>
    }
    .into_any()
}

fn place(row: usize, n_rows: usize, unit: &'static str) -> AnyView {
    let name = |what: &str| format!("place_{row}_{what}");
    let length =
        |what: &str, label: &str| field::length(Field::new(FORM, name(what), format!("{label}, {unit}")));
    let fields = view! {
        {field::text(Field::new(FORM, name("name"), "Called").hint("left, back, ..."), "text")}
        <div class="sides-by-side">
            {length("x", "In from the left")} {length("y", "From the front")} {length("l", "Left to right")}
            {length("w", "Front to back")}
        </div>
    };
    fold(row, n_rows, format!("Place {row}"), fields.into_any())
}

fn keep_out(row: usize, n_rows: usize, unit: &'static str) -> AnyView {
    let name = |what: &str| format!("keep_{row}_{what}");
    let length =
        |what: &str, label: &str| field::length(Field::new(FORM, name(what), format!("{label}, {unit}")));
    let mut kinds = options::<KeepOutKind>();
    kinds.insert(0, (String::new(), "nothing".to_owned()));
    let fields = view! {
        {field::select(Field::new(FORM, name("kind"), "What is there"), kinds)}
        <div class="sides-by-side">
            {length("x", "In from the left")} {length("y", "From the front")} {length("l", "Left to right")}
            {length("w", "Front to back")} {length("from", "From, over the floor")}
            {length("to", "Up to, over the floor")} {length("clear", "Distance kept")}
        </div>
    };
    fold(row, n_rows, format!("Part {row}"), fields.into_any())
}
