//! Lists of pieces: one tappable line each, and a history.
use crate::browser::folded;
use crate::parts::mark::mark;
use crate::parts::photos;
use leptos::prelude::*;
use tripoise_core::view::{HistoryLine, Row, Shape, text};

/// A list of rows. `label` names the list for a screen reader.
pub fn list(label: &str, rows: &[Row]) -> impl IntoView + use<> {
    let items: Vec<_> = rows.iter().map(|one| row(one, ())).collect();
    view! { <ul class="rows" aria-label=label.to_owned()>{items}</ul> }
}

/// One line of a list, with a drawing below what is said, or none: `()`.
pub fn row<D: IntoView + 'static>(row: &Row, drawing: D) -> impl IntoView + use<D> {
    let Row { href, code, said, more, .. } = row.clone();
    let gone = row.mark.shape == Shape::Gone;
    view! {
        <li>
            <a class="row" href=href>
                <span class="code" class:struck=gone>{code}</span>
                <span class="said">{said}{(!more.is_empty()).then(|| view! { <small>{more}</small> })}</span>
                {mark(&row.mark)}
                {drawing}
            </a>
        </li>
    }
}

/// House choice: lines of a history that stand open; about two screens of a phone. The rest is one tap away,
/// and printed in full.
const OPEN: usize = 12;

/// A piece's history, newest first. Each line leads to its entry, where it can be corrected or taken back.
pub fn history(lines: &[HistoryLine]) -> impl IntoView + use<> {
    let (open, rest) = lines.split_at(lines.len().min(OPEN));
    let earlier = (!rest.is_empty()).then(|| earlier(rest.to_vec()));
    view! {
        {entries("History, newest first", open)}
        {earlier}
    }
}

/// The folded part: drawn at once with the server's page, and otherwise when it is first wanted.
fn earlier(lines: Vec<HistoryLine>) -> impl IntoView + use<> {
    let is_drawn = RwSignal::new(folded::draws_all());
    let draw = move || {
        if is_drawn.try_get_untracked() == Some(false) {
            is_drawn.set(true);
        }
    };
    folded::before_printing(draw);
    view! {
        <details on:toggle=move |_| draw()>
            <summary>{text::count(lines.len() as u64, "earlier entry", "earlier entries")}</summary>
            {move || is_drawn.get().then(|| entries("Earlier history, newest first", &lines))}
        </details>
    }
}

/// Entries with their moments, all in sight. `label` names the list for a screen reader.
pub fn entries(label: &'static str, lines: &[HistoryLine]) -> impl IntoView + use<> {
    let items: Vec<_> = lines
        .iter()
        .map(|line| {
            let HistoryLine { event, at, said, standing, counts, photo } = line.clone();
            let moment = format!("{}Z", at.replace(' ', "T"));
            view! {
                <li class:void=!counts>
                    <a href=format!("/entry/{event}")>
                        <time datetime=moment>{at}</time>
                        <span class="said">{said}</span>
                        {photo.as_ref().map(photos::picture)}
                        {(!standing.is_empty()).then(|| view! { <em>{standing}</em> })}
                    </a>
                </li>
            }
        })
        .collect();
    view! { <ol class="history" aria-label=label>{items}</ol> }
}
