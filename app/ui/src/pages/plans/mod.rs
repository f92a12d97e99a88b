//! Plans of loads: the list, a new one, one of them, its layers, its sheet, what if.
use leptos::prelude::*;
use tripoise_core::view::Page;
use tripoise_core::view::plans::PlansPage;

mod layer;
mod lines;
mod list;
mod new;
mod one;
mod propose;
mod sheet;
mod what_if;

/// The page's own part.
pub fn render(page: &Page, data: &PlansPage) -> AnyView {
    match data {
        PlansPage::List(data) => list::render(data).into_any(),
        PlansPage::New(data) => new::render(data).into_any(),
        PlansPage::One(data) => one::render(data).into_any(),
        PlansPage::Layer(data) => layer::render(page, data).into_any(),
        PlansPage::Sheet(data) => sheet::render(data).into_any(),
        PlansPage::Propose(data) => propose::render(data).into_any(),
        PlansPage::WhatIf(data) => what_if::render(page, data).into_any(),
    }
}
