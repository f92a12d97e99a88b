//! `/firing/ID/after`: everything is fine unless it is touched.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::found;
use leptos::prelude::*;
use tripoise_core::view::firings::after::{After, AfterGroup, FORM, Seen, holding_said};
use tripoise_core::view::text::sentence;

/// House choice: a group of more pieces than this stands folded; a dozen fill two screens of a phone.
const OPEN: usize = 12;

/// The page.
pub fn render(data: &After) -> impl IntoView + use<> {
    let After { said, checked, .. } = data.clone();
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    let note = Field::new(FORM, "note", "On the whole firing").hint("may stay empty");
    let fields = view! {
        {groups}
        {field::text(note, "text")}
        {submit("The rest is fine")}
    };
    view! {
        <p class="say">{said}</p>
        {(!checked.is_empty()).then(|| view! { <p>{format!("{}.", sentence(&checked))}</p> })}
        <p>
            "Everything is fine unless you touch it. Tap a code to say what is wrong with that piece; each thing ticked opens its job at the bench."
        </p>
        {form(FORM, fields)}
    }
}

fn group(group: &AfterGroup) -> impl IntoView + use<> {
    let title = format!("{}: {}", sentence(&group.said), group.pieces.len());
    let open = group.pieces.len() <= OPEN;
    let hold = group.pieces.first().map(|seen| {
        let puts = holding_said(seen.piece);
        format!("These put it on hold: {puts}.")
    });
    let pieces: Vec<_> = group.pieces.iter().map(piece).collect();
    view! {
        <details open=open>
            <summary>{title}</summary>
            <p class="hint">{hold}</p>
            <div class="pieces">{pieces}</div>
        </details>
    }
}

fn piece(seen: &Seen) -> impl IntoView + use<> {
    let held = if seen.is_held { "on hold" } else { "" };
    let noted: Vec<&str> =
        seen.noted.iter().map(String::as_str).chain([held]).filter(|said| !said.is_empty()).collect();
    let known = noted.join(", ");
    view! {
        <details class="piece">
            <summary>
                <span class="code">{seen.code.clone()}</span>
                <span class="fine">"fine"</span>
                <span class="wrong">"noted below"</span>
                {(!known.is_empty()).then(|| view! { <small>{known}</small> })}
            </summary>
            {found::boxes(FORM, seen, &format!("_{}", seen.code))}
        </details>
    }
}
