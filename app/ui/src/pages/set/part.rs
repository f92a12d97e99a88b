//! Take a set apart.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::set::part::{FORM, SetPart};

/// The form.
pub fn render(page: &Page, data: &SetPart) -> impl IntoView + use<> {
    let correcting = page.correcting.is_some();
    let code = data.code.clone();
    if data.apart {
        return view! {
            <p class="say">{format!("{code} is apart already.")}</p>
            <p>
                <a class="button" href=format!("/set/{code}")>
                    "Its card"
                </a>
            </p>
        }
        .into_any();
    }
    let fields = view! {
        {field::text(
            Field::new(FORM, "reason", "Why").hint("so that nobody puts the same posts together again"),
            "text",
        )}
        {submit(if correcting { "Correct it" } else { "Take it apart" })}
    };
    view! {
        <p class="say">{format!("{} are free again afterwards.", data.posts.join(", "))}</p>
        {form(FORM, fields)}
    }
    .into_any()
}
