//! Labels: choose, print, the table of grids, the marking guide.
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::labels::LabelsPage;

mod choose;
mod grids;
mod marking;
mod sheet;

/// One of the pages about labels.
pub fn render(page: &Page, data: &LabelsPage) -> AnyView {
    match data {
        LabelsPage::Choose(data) => choose::render(data).into_any(),
        LabelsPage::Sheet(data) => sheet::render(data).into_any(),
        LabelsPage::Grids(data) => grids::list(data).into_any(),
        LabelsPage::Grid(data) => grids::one(page, data).into_any(),
        LabelsPage::Marking(data) => marking::render(data).into_any(),
    }
}
