//! The frame around every page: banner, heading, the page itself, the bar.
use crate::browser;
use crate::pages;
use crate::parts::{banner, nav};
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use tripoise_core::form::Problem;
use tripoise_core::view::{FormState, Page};

/// What every part of a page can ask for: the page itself, and the state of its forms.
#[derive(Clone, Copy)]
pub struct Frame {
    /// The page, from the server or made on the phone.
    pub page: RwSignal<Arc<Page>>,
    /// What came back with the form, or what this browser found wrong with it.
    pub form: RwSignal<FormState>,
    /// What is wrong with single fields, or asked about them, before the form is sent.
    pub live: RwSignal<BTreeMap<String, Live>>,
    /// Whether a form is being recorded at this moment.
    pub busy: RwSignal<bool>,
}

/// What one field holds, and what is to be said of that.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Live {
    /// The form's `do` value.
    pub form: &'static str,
    /// What is wrong or asked.
    pub problem: Problem,
    /// What was typed then.
    pub typed: String,
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
    let (page, live) = (RwSignal::new(page), RwSignal::new(BTreeMap::new()));
    let frame = Frame { page, form, live, busy: RwSignal::new(false) };
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
