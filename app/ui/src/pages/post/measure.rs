//! Measure one post, or many in a run: a large field, a number pad, next.
use crate::parts::aloud;
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::keypad::{Pad, keypad};
use leptos::prelude::*;
use tripoise_core::event::values::Instrument;
use tripoise_core::form::post::measure::field_of;
use tripoise_core::view::post::measure::{FORM, MeasurePost, PostMeasure, Run, example};
use tripoise_core::view::{Link, Page, spoken};

/// The page.
pub fn render(page: &Page, data: &PostMeasure) -> impl IntoView + use<> {
    let unit = page.unit;
    let correcting = page.correcting.is_some();
    let fields = if data.all {
        let heights: Vec<_> = data
            .posts
            .iter()
            .map(|post| {
                let label = format!("{}, {}", post.code, unit.sign());
                field::length(Field::new(FORM, field_of(post), label).hint(post.last_said.clone()))
            })
            .collect();
        view! {
            {instrument(data)}
            {heights}
            {submit("Record them")}
        }
        .into_any()
    } else {
        if let Some(post) = data.posts.first() {
            aloud::recorded(page, &spoken::code(post.code.as_ref()));
        }
        let goes_on = data.run.as_ref().is_some_and(|run| run.left > 1);
        let text = match (correcting, goes_on) {
            (true, _) => "Correct it",
            (false, true) => "Next",
            (false, false) => "Record it",
        };
        let hint = data.posts.first().map(|post| hint(post, &example(post, unit))).unwrap_or_default();
        view! {
            {field::length(Field::new(FORM, "height", format!("Height, {}", unit.sign())).hint(hint))}
            {keypad(Pad {
                form: FORM,
                unit,
                fields: vec![("height".to_owned(), "Height".to_owned())],
                feelers: false,
                sketch: None,
                at: RwSignal::new(0),
            })}
            {submit(text)}
            {instrument(data)}
            {field::length(
                Field::new(FORM, "square", format!("End out of square, {}", unit.sign()))
                    .hint("may stay empty: the gap under a square across the post, at the worse end"),
            )}
        }
        .into_any()
    };
    view! {
        {data.run.as_ref().filter(|_| !data.all).map(count)}
        {form(FORM, fields)}
        {(!data.all).then(aloud::switch)}
        {data.run.as_ref().map(ways_out)}
    }
}

fn hint(post: &MeasurePost, example: &str) -> String {
    let last = if post.last.is_some() { "last: " } else { "" };
    format!("{last}{}; type it like {example}", post.last_said)
}

fn count(run: &Run) -> impl IntoView + use<> {
    let left = tripoise_core::view::text::count(u64::from(run.left), "post is", "posts are");
    view! { <p class="say">{format!("{left} still to come in this run, this one included.")}</p> }
}

fn ways_out(run: &Run) -> impl IntoView + use<> {
    let skip = run.skip.clone();
    let Link { href, text } = run.other.clone();
    view! {
        <div class="actions">
            {skip
                .map(|skip| {
                    view! {
                        <a class="button" href=skip.href>
                            {skip.text}
                        </a>
                    }
                })}
            <a class="button quiet" href=href>
                {text}
            </a>
        </div>
        <p class="hint">"Brush the ends clean first: grit under a post reads as height."</p>
    }
}

fn instrument(data: &PostMeasure) -> impl IntoView + use<> {
    field::select(
        Field::new(FORM, "instrument", "Read with").value(data.instrument.clone()),
        field::options::<Instrument>(),
    )
}
