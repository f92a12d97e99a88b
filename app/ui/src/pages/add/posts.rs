//! `/add/posts`.
use super::{bought, how_many, kiln_first, like, marks, own_code, where_kept};
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::{Material, PostSection};
use tripoise_core::view::add::MOST_POSTS;
use tripoise_core::view::add::posts::AddPosts;
use tripoise_core::view::{Link, Page};

const FORM: &str = "posts";

/// Twelve posts of one height, or one of them corrected.
pub fn render(page: &Page, data: &AddPosts) -> impl IntoView + use<> {
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
            {how_many(FORM, 'P', &data.taken, MOST_POSTS)}
            {marks(FORM)}
        }
        .into_any()
    };
    let fields = view! {
        {first}
        {field::length(
            Field::new(FORM, "nominal", format!("Height they were sold as, {unit}"))
                .hint("never trusted: measure them when you have them in your hand"),
        )}
        {field::select(Field::new(FORM, "material", "Material"), field::options::<Material>())}
        {field::radios(Field::new(FORM, "section", "Section"), field::options::<PostSection>())}
        {field::length(
            Field::new(FORM, "width", format!("Width, {unit}")).hint("the least distance across the section"),
        )}
        {bought(FORM)}
        {where_kept(FORM, &data.kilns)}
        {submit(if one { "Correct it" } else { "Enter them" })}
    };
    view! {
        {data.entered.as_ref().map(next_steps)}
        {form(FORM, fields)}
    }
    .into_any()
}

fn next_steps(run: &Link) -> impl IntoView + use<> {
    let Link { href, text } = run.clone();
    view! {
        <div class="actions">
            <a class="button first" href=href>
                {text}
            </a>
            <a class="button" href="/rack?show=posts">
                "See the rack"
            </a>
        </div>
        <p>"Or enter the next batch of posts:"</p>
    }
}
