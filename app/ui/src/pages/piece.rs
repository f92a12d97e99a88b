//! Hold, release, move, retire, return and note, for a shelf and for a post.
use super::photo;
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::found;
use leptos::prelude::*;
use tripoise_core::event::values::{HoldReason, RetireReason};
use tripoise_core::view::Page;
use tripoise_core::view::add::KilnChoice;
use tripoise_core::view::firings::after::holding_said;
use tripoise_core::view::piece::{Act, PiecePage};

/// One form, and how the piece stands.
pub fn render(page: &Page, data: &PiecePage) -> impl IntoView + use<> {
    let correcting = page.correcting.is_some();
    let button = |text: &'static str| submit(if correcting { "Correct it" } else { text });
    let form = match &data.act {
        Act::Hold => form("hold", view! { {hold()} {button("Put it on hold")} }).into_any(),
        Act::Release { wet_silicon_carbide, dense_thin, last_dry_g } => {
            let caution = wet_silicon_carbide.then(|| dry_out(*dense_thin));
            let fields = view! {
                {release(*last_dry_g)}
                {button("Take it off hold")}
            };
            view! {
                {caution}
                {form("release", fields)}
            }
            .into_any()
        }
        Act::Move { kilns } => form("move", view! { {moved(kilns)} {button("Move it")} }).into_any(),
        Act::Retire { cost, set } => {
            let fields = view! {
                {retire(cost, set)}
                {button("Retire it")}
            };
            form("retire", fields).into_any()
        }
        Act::Return => form("return", view! { {come_back()} {button("Bring it back")} }).into_any(),
        Act::Photo => photo::render().into_any(),
        Act::Found { seen, .. } => {
            let puts = holding_said(seen.piece);
            let fields = view! {
                {found::boxes("found", seen, "")}
                <p class="hint">{format!("These put it on hold: {puts}.")}</p>
                {submit("Note it")}
            };
            form("found", fields).into_any()
        }
        Act::Note => form("note", view! { {note()} {button("Keep the note")} }).into_any(),
    };
    let back = format!("Back to {}", data.code);
    view! {
        <p class="say">{data.standing.clone()}</p>
        {form}
        <p>
            <a class="button quiet" href=data.card.clone()>
                {back}
            </a>
        </p>
    }
}

fn hold() -> impl IntoView {
    view! {
        {field::radios(Field::new("hold", "reason", "Why"), field::options::<HoldReason>())}
        {field::area(Field::new("hold", "note", "In your words").hint("needed for another reason"), 2)}
    }
}

/// What must be said before a wet shelf of silicon carbide goes anywhere near a kiln.
fn dry_out(dense_thin: bool) -> impl IntoView {
    let bursts = if dense_thin {
        "Dense thin silicon carbide bursts when it is fired wet. "
    } else {
        "Silicon carbide takes up water, and a wet shelf can burst or crack in the kiln. "
    };
    view! {
        <div class="caution">
            <p>
                <strong>{bursts}</strong>
                "Dry it by its supplier's sheet: at least 24 h at about 95 \u{b0}C. "
                "Weigh it before and after; while it still loses weight, it is wet."
            </p>
            <p>
                "This record cannot tell that it is dry. It keeps what you say the release rests on. "
                "Supplier's sheet and local rules come first."
            </p>
        </div>
    }
}

fn release(last_dry_g: Option<u32>) -> impl IntoView {
    let last = match last_dry_g {
        Some(grams) => {
            format!(
                "it was {grams} g when it was last dry; 5 g more is asked about (calculated: 1 % of pores in 4 kg hold 15 g)"
            )
        }
        None => "may stay empty; with it, the next release has something to compare".to_owned(),
    };
    let because = Field::new("release", "because", "What it rests on");
    view! {
        {field::area(because.hint("such as 24 h at 95 C, or drip ground off"), 2)}
        {field::number(Field::new("release", "mass", "Dry mass, grams").hint(last))}
    }
}

fn moved(kilns: &[KilnChoice]) -> impl IntoView + use<> {
    let options = kilns.iter().map(|kiln| (kiln.id.to_string(), kiln.name.clone())).collect();
    view! {
        {field::select(Field::new("move", "kiln", "Whose racks it goes to"), options)}
        {field::text(Field::new("move", "place", "Place").hint("such as rack B slot 4; may stay empty"), "text")}
    }
}

fn retire(cost: &str, set: &str) -> impl IntoView + use<> {
    let lines = [
        (!cost.is_empty()).then(|| format!("For the books: {cost}.")),
        (!set.is_empty()).then(|| format!("Set {set} stands on it and must be made again without it.")),
    ];
    let lines: Vec<_> = lines.into_iter().flatten().map(|line| view! { <p>{line}</p> }).collect();
    view! {
        {lines}
        {field::radios(Field::new("retire", "reason", "Why"), field::options::<RetireReason>())}
        {field::area(
            Field::new("retire", "note", "In your words")
                .hint("what was seen, so that nobody brings it back; needed for another reason"),
            3,
        )}
    }
}

fn come_back() -> impl IntoView {
    view! {
        <p class="caution">
            "It was set aside for that reason. Say what is different now; the reason stays in its history."
        </p>
        {field::area(
            Field::new("return", "because", "What changed").hint("such as cut down, ground, or retired by mistake"),
            2,
        )}
    }
}

fn note() -> impl IntoView {
    field::area(Field::new("note", "text", "Note").hint("it stays in the piece's history"), 4)
}
