//! What can be seen wrong with a piece: boxes to tick, and a line to write in.
use crate::parts::field::{self, Field};
use leptos::prelude::*;
use tripoise_core::view::firings::after::{Seen, flaws};

/// The boxes for one piece. The fields' names end with `suffix`; the group bears the id that a problem leads to.
pub fn boxes(form: &'static str, seen: &Seen, suffix: &str) -> impl IntoView + use<> {
    let name = format!("seen{suffix}");
    let ticks: Vec<_> = flaws(seen.piece)
        .map(|flaw| field::tick(Field::new(form, name.clone(), flaw.said()).value(flaw.key()), false))
        .collect();
    let legend = format!("What is wrong with {}", seen.code);
    let in_words = Field::new(form, format!("note{suffix}"), format!("{} in your words", seen.code));
    view! {
        <fieldset id=format!("{form}-{name}") tabindex="-1">
            <legend>{legend}</legend>
            <div class="flaws">{ticks}</div>
        </fieldset>
        {field::text(in_words.hint("may stay empty"), "text")}
    }
}
