//! A post's end was dressed.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::{GrindMethod, Mask};
use tripoise_core::view::Page;
use tripoise_core::view::bench::batch::usual;
use tripoise_core::view::post::dress::{FORM, PostDress, USUAL};

/// The form, with the cautions beside it.
pub fn render(page: &Page, data: &PostDress) -> impl IntoView + use<> {
    let unit = page.unit.sign();
    let correcting = page.correcting.is_some();
    let (method, mask, minutes) = usual(data.like, USUAL);
    let remembered = if minutes.is_empty() { "may stay empty" } else { "as last time; may stay empty" };
    let set = data.set.clone().map(|set| {
        view! {
            <p>
                "It stands in set " <a href=set.href>{set.text}</a>
                ". Dressing it alone makes it the short one."
            </p>
        }
    });
    let fields = view! {
        {field::length(
            Field::new(FORM, "removed", format!("What came off, {unit}"))
                .hint("leave it empty where nobody knows; measure again afterwards all the same"),
        )}
        {field::number(Field::new(FORM, "minutes", "Minutes").value(minutes).hint(remembered))}
        {field::radios(
            Field::new(FORM, "method", "Wet or dry").value(method.key()),
            field::options::<GrindMethod>(),
        )}
        {field::radios(Field::new(FORM, "mask", "Mask").value(mask.key()), field::options::<Mask>())}
        {submit(if correcting { "Correct it" } else { "Dressed" })}
    };
    view! {
        <div class="caution">
            <p>
                <strong>"Bring the two higher posts of a set down to the shortest, never one alone."</strong>
            </p>
            {set}
            <ul>
                <li>"Scrape first, then rub the end flat on coarse wet grit and check it with a square."</li>
                <li>
                    "The dust of fired clay and silicon carbide harms lungs: work wet, wear a half mask with P100 or FFP3 filters, never sweep dry. Follow your local rules."
                </li>
                <li>"Wash both ends thin again: it adds 0.1 to 0.3 mm. Then measure."</li>
            </ul>
        </div>
        {form(FORM, fields)}
    }
}
