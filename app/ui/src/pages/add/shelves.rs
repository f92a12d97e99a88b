//! `/add/shelves`.
use super::{bought, how_many, kiln_first, like, marks, own_code, where_kept};
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::{Material, Use};
use tripoise_core::view::add::MOST_SHELVES;
use tripoise_core::view::add::shelves::AddShelves;
use tripoise_core::view::{Link, Page};

const FORM: &str = "shelves";

/// Ten shelves like this, or one of them corrected.
pub fn render(page: &Page, data: &AddShelves) -> impl IntoView + use<> {
    if data.kilns.is_empty() {
        return kiln_first().into_any();
    }
    let one = data.correcting.is_some();
    let unit = page.unit.sign();
    let first = if one {
        own_code(FORM).into_any()
    } else {
        view! {
            {like(&data.like)}
            {how_many(FORM, 'F', &data.taken, MOST_SHELVES)}
            {marks(FORM)}
        }
        .into_any()
    };
    let fields = view! {
        {first}
        {field::select(
            Field::new(FORM, "material", "Material").hint("as on the invoice"),
            field::options::<Material>(),
        )}
        {size(unit)}
        {bought(FORM)}
        {where_kept(FORM, &data.kilns)}
        {grade()}
        {submit(if one { "Correct it" } else { "Enter them" })}
    };
    view! {
        {data.entered.as_ref().map(next_steps)}
        {form(FORM, fields)}
        {usual()}
        <p class="caution">
            "Wide shelves are heavy, and dense alumina more so. Lift with two hands, or with two people when reaching down into a kiln. Follow your local rules for lifting."
        </p>
    }
    .into_any()
}

fn next_steps(posts: &Link) -> impl IntoView + use<> {
    let Link { href, text } = posts.clone();
    view! {
        <div class="actions">
            <a class="button first" href=href>
                {text}
            </a>
            <a class="button" href="/rack">
                "See the rack"
            </a>
        </div>
        <p>"Or enter the next batch of shelves:"</p>
    }
}

/// Shape and size. The style sheet hides the fields that the chosen shape does not have; without it, all
/// show and the reading takes only those that belong.
fn size(unit: &'static str) -> impl IntoView {
    let shapes = [("rectangle", "rectangle"), ("round", "round"), ("half_round", "half-round")];
    let shapes = shapes.iter().map(|(key, said)| ((*key).to_owned(), (*said).to_owned())).collect();
    let in_unit = |text: &str| format!("{text}, {unit}");
    view! {
        <div class="size">
            {field::radios(Field::new(FORM, "shape", "Shape"), shapes)}
            <div class="sides">
                {field::length(Field::new(FORM, "length", in_unit("Length")).hint("or with its unit: 24 in, 61 cm"))}
                {field::length(Field::new(FORM, "width", in_unit("Width")))}
            </div>
            <div class="across">
                {field::length(
                    Field::new(FORM, "diameter", in_unit("Diameter"))
                        .hint("of a round shelf, or along the straight edge of a half-round one"),
                )}
            </div>
            {field::length(Field::new(FORM, "thickness", in_unit("Thickness")))}
        </div>
    }
}

/// The grade by eye, with "not looked at" first.
fn grade() -> impl IntoView {
    let mut options = vec![(String::new(), "not looked at".to_owned())];
    options.extend(field::options::<Use>());
    let hint = "by eye, the most demanding use they are flat enough for; the first reading replaces it";
    field::select(Field::new(FORM, "graded", "Flat enough for").hint(hint), options)
}

/// What shelves are usually sold as.
fn usual() -> impl IntoView {
    let rows = [
        ("cordierite", "16 to 25 mm"),
        ("high alumina", "19 to 25 mm"),
        ("silicon carbide, clay-bonded", "19 to 25 mm"),
        ("silicon carbide, nitride-bonded, slit", "10 to 13 mm"),
        ("silicon carbide, dense and thin", "8 mm"),
        ("silicon carbide, recrystallised", "8 to 10 mm"),
        ("silicon carbide, silicon-infiltrated", "6 to 8 mm"),
    ];
    let rows = rows.map(|(material, thickness)| {
        view! {
            <tr>
                <th scope="row">{material}</th>
                <td>{thickness}</td>
            </tr>
        }
    });
    view! {
        <details>
            <summary>"Which material is it?"</summary>
            <table>
                <caption>"Usual thickness: common practice, no source"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Material"</th>
                        <th scope="col">"Thickness"</th>
                    </tr>
                </thead>
                <tbody>{Vec::from(rows)}</tbody>
            </table>
        </details>
    }
}
