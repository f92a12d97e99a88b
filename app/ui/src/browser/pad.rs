//! What the number pad does to the page: focus, the phone's own keyboard, the check of one field.
//!
//! What this does not do: type; `press` and `touch::fill` do. On the server nothing here does anything.
use crate::app::Frame;

/// Keeps the phone's own keyboard down on these fields, or lets it come up.
#[cfg(feature = "hydrate")]
pub fn keyboard(ids: &[String], show: bool) {
    for id in ids {
        let Some(field) = leptos::prelude::document().get_element_by_id(id) else { continue };
        let mode = if show { "text" } else { "none" };
        if field.set_attribute("inputmode", mode).is_err() {
            leptos::logging::warn!("the field {id} keeps its keyboard");
        }
    }
}

/// Never called: effects do not run on the server.
#[cfg(not(feature = "hydrate"))]
pub fn keyboard(_ids: &[String], _show: bool) {}

/// Puts the focus on a field.
#[cfg(feature = "hydrate")]
pub fn focus(id: &str) {
    use wasm_bindgen::JsCast;
    let field = leptos::prelude::document().get_element_by_id(id);
    if let Some(field) = field.and_then(|found| found.dyn_into::<web_sys::HtmlElement>().ok())
        && field.focus().is_err()
    {
        leptos::logging::warn!("the field {id} takes no focus");
    }
}

/// Never called: nothing is pressed on the server.
#[cfg(not(feature = "hydrate"))]
pub fn focus(_id: &str) {}

/// The id of the field that an event came from.
#[cfg(feature = "hydrate")]
pub fn id_of(event: &leptos::ev::Event) -> Option<String> {
    use wasm_bindgen::JsCast;
    let field: web_sys::Element = event.target()?.dyn_into().ok()?;
    Some(field.id())
}

/// Never called on the server.
#[cfg(not(feature = "hydrate"))]
pub fn id_of(_event: &leptos::ev::Event) -> Option<String> {
    None
}

/// Reads the whole form as it stands and shows what is wrong with this one field, or asked about it.
#[cfg(feature = "hydrate")]
pub fn check(frame: Frame, form: &'static str, id: &str) {
    use leptos::prelude::*;
    use tripoise_core::form;
    use wasm_bindgen::JsCast;
    let Some(name) = id.strip_prefix(form).and_then(|rest| rest.strip_prefix('-')) else { return };
    let field = document().get_element_by_id(id).and_then(|f| f.dyn_into::<web_sys::HtmlInputElement>().ok());
    let Some((field, within)) = field.and_then(|field| field.form().map(|within| (field, within))) else {
        return;
    };
    let typed = field.value();
    let Some(values) = super::send::values_in(&within) else { return };
    let page = frame.page.get_untracked();
    let read = form::submit(&page, &values, &mut super::record::new_id);
    let problem = read.err().into_iter().flatten().find(|problem| problem.field == name);
    let problem = problem.filter(|_| !typed.trim().is_empty());
    let known = frame.live.with_untracked(|live| live.get(name).map(|live| live.problem.clone()));
    // A question that stands already is left as it is, with its box as somebody set it.
    if known != problem {
        frame.live.update(|live| match problem {
            Some(problem) => {
                live.insert(name.to_owned(), crate::app::Live { form, problem, typed });
            }
            None => {
                live.remove(name);
            }
        });
    }
}

/// Never called: nothing is typed on the server.
#[cfg(not(feature = "hydrate"))]
pub fn check(_frame: Frame, _form: &'static str, _id: &str) {}
