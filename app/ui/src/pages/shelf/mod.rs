//! The pages of one shelf.
use crate::parts::aloud;
use leptos::prelude::*;
use tripoise_core::view::shelf::ShelfPage;
use tripoise_core::view::{Page, spoken};

mod bend;
mod card;
mod crack;
mod figures;
mod log;
mod measure;
mod tables;

/// Whichever of them it is.
pub fn render(page: &Page, data: &ShelfPage) -> AnyView {
    match data {
        ShelfPage::Card(card) => {
            if page.bench {
                aloud::say(format!("{}, {}", spoken::code(&page.title), card.mark.word));
            }
            card::render(card, page.bench).into_any()
        }
        ShelfPage::Bend(data) => bend::render(page, data).into_any(),
        ShelfPage::Measure(data) => measure::render(page, data).into_any(),
        ShelfPage::Crack(data) => crack::render(page, data).into_any(),
        ShelfPage::Ground(data) => log::ground(data).into_any(),
        ShelfPage::Washed(data) => log::washed(data).into_any(),
        ShelfPage::Tapped(named) => log::tapped(named).into_any(),
        ShelfPage::Flipped(data) => log::flipped(data).into_any(),
        ShelfPage::Graded(named) => log::graded(named).into_any(),
    }
}

/// Back to the card without recording.
fn back(path: &str) -> impl IntoView + use<> {
    let path = path.to_owned();
    view! {
        <p>
            <a class="button quiet" href=path>
                "Back to the shelf"
            </a>
        </p>
    }
}
