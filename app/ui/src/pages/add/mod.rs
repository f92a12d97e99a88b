//! The pages that enter a stock, and the fields that shelves and posts share.
use crate::app::Frame;
use crate::browser;
use crate::parts::field::{self, Field};
use leptos::prelude::*;
use tripoise_core::code::Code;
use tripoise_core::view::add::{KilnChoice, given};

pub mod kiln;
pub mod posts;
pub mod shelves;

/// Leads to the kiln's form where no kiln is on record.
fn kiln_first() -> impl IntoView {
    view! {
        <p class="say">"Shelves and posts belong to a kiln's racks. Name the kiln first."</p>
        <p>
            <a class="button first" href="/add/kiln">
                "Name your kiln"
            </a>
        </p>
    }
}

/// How many, with the codes that they will get, said before anything is saved.
fn how_many(form: &'static str, letter: char, taken: &[Code], most: u32) -> impl IntoView + use<> {
    let state = Frame::get().form.get_untracked();
    let first = state.values.get("count").and_then(|values| values.first()).cloned().unwrap_or_default();
    let count = RwSignal::new(first);
    let taken = taken.to_vec();
    let said = move || {
        let given = given(letter, &taken, &count.get(), most);
        format!("{given}, unless they bear marks already")
    };
    let listen = move |event: leptos::ev::Event| {
        if let Some((_, value)) = browser::typed(&event) {
            count.set(value);
        }
    };
    view! {
        <div on:input=listen>
            {field::number(Field::new(form, "count", "How many").hint(format!("1 to {most}")))}
            <p class="given" role="status">
                {said}
            </p>
        </div>
    }
}

/// The marks that the pieces already bear.
fn marks(form: &'static str) -> impl IntoView {
    let state = Frame::get().form.get_untracked();
    let open = state.values.get("marks").is_some_and(|typed| !typed.concat().trim().is_empty());
    let hint = "one a line or with commas, one for each piece; a check character after a hyphen is verified";
    view! {
        <details open=open>
            <summary>"They bear marks already"</summary>
            {field::area(Field::new(form, "marks", "Marks they already bear").hint(hint), 4)}
        </details>
    }
}

/// The code of the one piece that is being corrected.
fn own_code(form: &'static str) -> impl IntoView {
    field::text(Field::new(form, "code", "Code").hint("letters A to Z and digits"), "text")
}

/// Price, day, firings: all may stay empty.
fn bought(form: &'static str) -> impl IntoView {
    view! {
        {field::number(
            Field::new(form, "price", "Price each").hint("in your own currency; may stay empty"),
        )}
        {field::date(Field::new(form, "bought", "Bought on").hint("may stay empty"))}
        {field::number(
            Field::new(form, "firings", "Firings so far, each").hint("by your own count; empty is none"),
        )}
    }
}

/// Whose racks, and where in them.
fn where_kept(form: &'static str, kilns: &[KilnChoice]) -> impl IntoView + use<> {
    let options = kilns.iter().map(|kiln| (kiln.id.to_string(), kiln.name.clone())).collect();
    view! {
        {field::select(Field::new(form, "kiln", "Which kiln"), options)}
        {field::text(Field::new(form, "place", "Place").hint("such as rack B; may stay empty"), "text")}
    }
}

/// What a batch before left filled in.
fn like(said: &str) -> Option<impl IntoView + use<>> {
    (!said.is_empty()).then(|| view! { <p class="hint">{said.to_owned()}</p> })
}
