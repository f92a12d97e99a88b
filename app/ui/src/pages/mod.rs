//! One file a page. The route table itself is pure and stands in the core (`view/route.rs`); this is its
//! other half: which view belongs to which data.
use leptos::prelude::*;
use tripoise_core::view::{Page, PageData};

mod add;
mod find;
mod home;
mod not_found;
mod rack;
mod shelf;

/// The page's own part, between heading and bar.
pub fn render(page: &Page) -> AnyView {
    match &page.data {
        PageData::Home(data) => home::render(data).into_any(),
        PageData::Rack(data) => rack::render(data).into_any(),
        PageData::Find(data) => find::render(data).into_any(),
        PageData::AddKiln(_) => add::kiln::render(page).into_any(),
        PageData::AddShelves(data) => add::shelves::render(page, data).into_any(),
        PageData::AddPosts(data) => add::posts::render(page, data).into_any(),
        PageData::Shelf(data) => shelf::render(page, data),
        PageData::NotFound(data) => not_found::render(data).into_any(),
    }
}
