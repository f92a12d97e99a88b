//! `/plan/ID/sheet`: printed on one page, or ticked off on the phone.
use crate::parts::figure::figure;
use crate::parts::form::form;
use crate::parts::mark::mark;
use leptos::prelude::*;
use tripoise_core::view::plans::sheet::{Sheet, SheetLayer, SheetStack};

/// The sheet.
pub fn render(data: &Sheet) -> impl IntoView + use<> {
    let stacks: Vec<_> = data.stacks.iter().map(stack).collect();
    let overruled: Vec<_> = data.overruled.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    let cautions: Vec<_> = data.cautions.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    let (back, fire) = (data.path.clone(), data.fire.clone());
    view! {
        <div class="loading-sheet">
            <p class="say verdict-line">
                {mark(&data.verdict)} " " <span>{data.sentence.clone()}</span> " "
                <span class="screen">{data.progress.clone()} "."</span>
            </p>
            {(!overruled.is_empty()).then(|| view! { <ul class="lines">{overruled}</ul> })}
            <div class="sheet-stacks">{stacks}</div>
            <section class="caution">
                <ul>{cautions}</ul>
            </section>
        </div>
        <div class="actions">
            {(!fire.is_empty())
                .then(|| {
                    view! {
                        <a class="button first" href=fire>
                            "It was fired"
                        </a>
                    }
                })}
            <a class="button" href=back>
                "Back to the plan"
            </a>
        </div>
        <p class="hint screen">"Print it with the browser\u{2019}s own print: one page."</p>
    }
}

fn stack(stack: &SheetStack) -> impl IntoView + use<> {
    let layers: Vec<_> = stack.layers.iter().map(|one| layer(&stack.place, one)).collect();
    view! {
        <section>
            <h2>{tripoise_core::view::text::sentence(&stack.place)}</h2>
            <p class="hint">"From the floor up."</p>
            <ol class="sheet-layers">{layers}</ol>
            {stack.side.as_ref().map(|side| view! { <div class="sheet-side">{figure(side)}</div> })}
        </section>
    }
}

fn layer(place: &str, layer: &SheetLayer) -> impl IntoView + use<> {
    let SheetLayer { number, shelves, set, posts, clear, loading, is_loaded } = layer.clone();
    let stands = if set.is_empty() { posts.join(", ") } else { format!("{set}: {}", posts.join(", ")) };
    let loading: Vec<_> =
        loading.into_iter().map(|line| view! { <p class="small">"Load: " {line}</p> }).collect();
    let (word, next) = if is_loaded { ("Not loaded after all", "no") } else { ("Loaded", "yes") };
    let class = if is_loaded { "quiet" } else { "tick-off" };
    let label = format!("{word}: {place}, layer {number}");
    let place = place.to_owned();
    view! {
        <li class:loaded=is_loaded>
            <p class="sheet-head">
                <span class="code">{number.to_string()} ". " {shelves}</span>
                {(!clear.is_empty()).then(|| view! { <span>"clear " {clear}</span> })}
                <span class="box" aria-hidden="true"></span>
            </p>
            <p>{stands}</p>
            {loading}
            {form(
                "tick",
                view! {
                    <input type="hidden" name="place" value=place />
                    <input type="hidden" name="layer" value=number.to_string() />
                    <button class=class name="loaded" value=next aria-label=label>
                        {word}
                    </button>
                },
            )}
        </li>
    }
}
