//! One file a page. The route table itself is pure and stands in the core (`view/route.rs`); this is its
//! other half: which view belongs to which data.
use leptos::prelude::*;
use tripoise_core::view::{Page, PageData};

mod about;
mod add;
mod bench;
mod entry;
mod find;
mod firings;
mod home;
mod kiln;
mod labels;
mod life;
mod matching;
mod more;
mod not_found;
mod phone;
mod photo;
mod piece;
mod plans;
mod post;
mod rack;
mod scan;
mod set;
mod settings;
mod shelf;

/// The page's own part, between heading and bar.
pub fn render(page: &Page) -> AnyView {
    match &page.data {
        PageData::Home(data) => home::render(data).into_any(),
        PageData::Rack(data) => rack::render(data).into_any(),
        PageData::Find(data) => find::render(page, data).into_any(),
        PageData::Scan(data) => scan::render(page, data).into_any(),
        PageData::Piece(data) => piece::render(page, data).into_any(),
        PageData::Record(data) => entry::record(data).into_any(),
        PageData::Entry(data) => entry::render(data).into_any(),
        PageData::Firings(data) => firings::render(data).into_any(),
        PageData::NewFiring(data) => firings::new::render(page, data).into_any(),
        PageData::Bench(data) => bench::render(page, data),
        PageData::AfterFiring(data) => firings::after::render(data).into_any(),
        PageData::Firing(data) => firings::one::render(data).into_any(),
        PageData::Kiln(data) => kiln::render(data).into_any(),
        PageData::KilnInside(data) => kiln::inside(page, data).into_any(),
        PageData::Plans(data) => plans::render(page, data),
        PageData::Settings(data) => settings::render(data).into_any(),
        PageData::Setting(data) => settings::one(page, data).into_any(),
        PageData::Life(data) => life::render(data).into_any(),
        PageData::Phone(data) => phone::render(data),
        PageData::More(data) => more::render(data).into_any(),
        PageData::About => about::render().into_any(),
        PageData::AddKiln(_) => add::kiln::render(page).into_any(),
        PageData::AddShelves(data) => add::shelves::render(page, data).into_any(),
        PageData::AddPosts(data) => add::posts::render(page, data).into_any(),
        PageData::Shelf(data) => shelf::render(page, data),
        PageData::PostCard(data) => post::card::render(data).into_any(),
        PageData::PostList(data) => post::list::render(data).into_any(),
        PageData::PostMeasure(data) => post::measure::render(page, data).into_any(),
        PageData::PostDress(data) => post::dress::render(page, data).into_any(),
        PageData::SetCard(data) => set::card::render(page, data).into_any(),
        PageData::SetList(data) => set::list::render(data).into_any(),
        PageData::SetNew(data) => set::new::render(page, data).into_any(),
        PageData::SetPart(data) => set::part::render(page, data).into_any(),
        PageData::Match(data) => matching::render(page, data).into_any(),
        PageData::Labels(data) => labels::render(page, data),
        PageData::NotFound(data) => not_found::render(data).into_any(),
    }
}
