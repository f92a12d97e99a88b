//! The frame around every page: banner, heading, the page itself, the bar.
use crate::browser;
use crate::pages;
use crate::parts::{banner, nav};
use leptos::prelude::*;
use std::sync::Arc;
use tripoise_core::view::{FormState, Page};

/// What every part of a page can ask for: the page itself, and the state of its forms.
#[derive(Clone, Copy)]
pub struct Frame {
    /// The page, from the server or made on the phone.
    pub page: RwSignal<Arc<Page>>,
    /// What came back with the form, or what this browser found wrong with it.
    pub form: RwSignal<FormState>,
    /// Whether a form is being recorded at this moment.
    pub busy: RwSignal<bool>,
}

impl Frame {
    /// The frame that [`App`] provides.
    #[must_use]
    pub fn get() -> Self {
        expect_context()
    }
}

/// One page in its frame.
#[component]
pub fn App(
    /// What to show.
    page: Arc<Page>,
) -> impl IntoView {
    let form = RwSignal::new(page.form.clone());
    let frame = Frame { page: RwSignal::new(page), form, busy: RwSignal::new(false) };
    provide_context(frame);
    browser::framed(frame);
    move || {
        let page = frame.page.get();
        let Page { title, subtitle, .. } = &*page;
        view! {
            <a class="skip" href="#main">"Skip to the page"</a>
            {nav::top()}
            <main id="main" class="page">
                {banner::plain_http(&page)}
                {banner::notices(&page)}
                {banner::recorded(&page)}
                <header class="head">
                    <h1>{title.clone()}</h1>
                    <p class="where">{subtitle.clone()}</p>
                </header>
                {pages::render(&page)}
            </main>
            {nav::bar(&page)}
        }
    }
}
