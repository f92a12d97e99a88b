//! The first page: what stands between now and the next load, or what to do first.
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::view::home::{Begin, Home};

/// The first page.
pub fn render(data: &Home) -> impl IntoView + use<> {
    let begin = data.begin.map(first_steps);
    let beginning = data.begin.is_some();
    let list = (!data.jobs.is_empty()).then(|| rows::list("What to do before the next load", &data.jobs));
    let sentence = (!beginning).then(|| view! { <p class="say">{data.sentence.clone()}</p> });
    let more = (!data.more.is_empty()).then(|| {
        let more = data.more.clone();
        view! {
            <p>
                <a href="/rack">{more}</a>
            </p>
        }
    });
    let next = (!beginning).then(|| {
        view! {
            <div class="actions">
                <a class="button first" href="/bench">
                    "At the bench"
                </a>
                <a class="button" href="/plans">
                    "Plan a load"
                </a>
                <a class="button" href="/firings/new">
                    "Log a firing"
                </a>
                <a class="button" href="/posts">
                    "Posts and sets"
                </a>
            </div>
        }
    });
    view! {
        {begin}
        {sentence}
        {list}
        {more}
        {next}
    }
}

/// The three steps, with the next one as the large button.
fn first_steps(begin: Begin) -> impl IntoView {
    let steps = [
        (Begin::Kiln, "/add/kiln", "Name your kiln"),
        (Begin::Shelves, "/add/shelves", "Enter shelves, ten alike at a time, graded by eye"),
        (Begin::Posts, "/add/posts", "Enter posts, a dozen of one height at a time"),
    ];
    let items: Vec<_> = steps
        .into_iter()
        .map(|(step, href, text)| {
            let class = if step == begin { "button first" } else { "button quiet" };
            let later = (step as u8) > (begin as u8);
            if later {
                view! { <li>{text}</li> }.into_any()
            } else {
                view! {
                    <li>
                        <a class=class href=href>
                            {text}
                        </a>
                    </li>
                }
                .into_any()
            }
        })
        .collect();
    let said = match begin {
        Begin::Kiln => "Nothing is on record yet. Five minutes are enough to begin:",
        Begin::Shelves | Begin::Posts => "The stock is not all entered yet:",
    };
    view! {
        <p class="say">{said}</p>
        <ol class="steps">{items}</ol>
        <p>"Nothing needs measuring to begin with. Measure when a piece is in your hand anyway."</p>
    }
}
