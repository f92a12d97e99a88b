//! From a tap on a form's button to the server's answer.
use super::record;
use crate::app::Frame;
use leptos::ev::SubmitEvent;
use leptos::prelude::*;
use std::cell::RefCell;
use tripoise_core::form::{self, FormValues, Problem, Submission};
use tripoise_core::record::Record;
use tripoise_core::view::FormState;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

/// What was typed, with the records made of it: kept while the answer is outstanding, so that a second
/// try after a lost answer sends the same ids and is known to the server.
struct Pending {
    values: FormValues,
    records: Vec<Record>,
    submission: Submission,
}

thread_local! {
    static PENDING: RefCell<Option<Pending>> = const { RefCell::new(None) };
}

/// Reads the form; shows what is wrong, or records it and goes to the next page.
pub fn submit(event: &SubmitEvent, frame: Frame) {
    // A button that only asks ("judge these") is the browser's own affair.
    if event.submitter().is_some_and(|button| button.get_attribute("formmethod").as_deref() == Some("get")) {
        return;
    }
    let Some(values) = values_of(event) else { return };
    event.prevent_default();
    if frame.busy.get_untracked() {
        return;
    }
    match prepare(&values, frame) {
        Ok(()) => {
            frame.busy.set(true);
            spawn_local(async move {
                let problems = match deliver().await {
                    Ok(next) => match go_to(&next) {
                        Ok(()) => return,
                        Err(said) => vec![Problem::new("do", said)],
                    },
                    Err(problems) => problems,
                };
                frame.busy.set(false);
                show(frame, &values, problems);
            });
        }
        Err(problems) => show(frame, &values, problems),
    }
}

fn show(frame: Frame, values: &FormValues, problems: Vec<Problem>) {
    let action = values.get("do").to_owned();
    frame.form.set(FormState { action, values: values.0.clone(), problems });
    if let Some(alert) = document().query_selector(".problems").ok().flatten() {
        alert.scroll_into_view();
    }
}

/// Makes the records, unless the same form is being sent again.
fn prepare(values: &FormValues, frame: Frame) -> Result<(), Vec<Problem>> {
    let again = PENDING.with_borrow(|pending| pending.as_ref().is_some_and(|p| p.values == *values));
    if again {
        return Ok(());
    }
    let page = frame.page.get_untracked();
    let submission = form::submit(&page, values, &mut record::new_id)?;
    let records = record::wrap(submission.bodies.clone(), submission.corrects)
        .map_err(|said| vec![Problem::new("do", said)])?;
    PENDING.set(Some(Pending { values: values.clone(), records, submission }));
    Ok(())
}

/// Sends what is pending. Cleared when the server has it, or refused it; kept when there was no answer.
async fn deliver() -> Result<String, Vec<Problem>> {
    let nothing = || vec![Problem::new("do", "there is nothing to record; open the page again")];
    let json =
        PENDING.with_borrow(|pending| pending.as_ref().and_then(|p| serde_json::to_string(&p.records).ok()));
    let answer = post("/api/v1/events?all_or_none=true", &json.ok_or_else(nothing)?).await;
    let answer = answer.map_err(|said| vec![Problem::new("do", said)])?;
    let pending = PENDING.take().ok_or_else(nothing)?;
    let refused = problems_in(&answer);
    if !refused.is_empty() {
        return Err(refused);
    }
    let last = pending.records.last().ok_or_else(nothing)?;
    Ok(pending.submission.next_after(last.id))
}

/// The problems in an answer of `POST /api/v1/events`: empty when every event is stored.
fn problems_in(answer: &serde_json::Value) -> Vec<Problem> {
    let unreadable = || {
        Problem::new("do", "the server's answer could not be read; look at the history before trying again")
    };
    let Some(results) = answer.get("answers").and_then(|r| r.as_array()) else {
        return vec![unreadable()];
    };
    let mut found = Vec::new();
    for result in results {
        match result.get("status").and_then(|o| o.as_str()) {
            Some("stored" | "already_had") => {}
            Some("refused") => {
                match result.get("problems").cloned().map(serde_json::from_value::<Vec<Problem>>) {
                    Some(Ok(problems)) => found.extend(problems),
                    _ => found.push(unreadable()),
                }
            }
            Some("conflict") => found
                .push(Problem::new("do", "the server has another entry under this id; open the page again")),
            _ => found.push(unreadable()),
        }
    }
    found
}

/// Posts JSON.
///
/// # Errors   One line that says nothing was recorded, for want of an answer or for a refusal.
async fn post(address: &str, json: &str) -> Result<serde_json::Value, String> {
    let unreachable = |_: JsValue| {
        "the server did not answer; nothing is recorded, and what you typed is still here".to_owned()
    };
    let window = web_sys::window().ok_or_else(|| "this page has no window".to_owned())?;
    let init = web_sys::RequestInit::new();
    init.set_method("POST");
    init.set_body(&JsValue::from_str(json));
    let request = web_sys::Request::new_with_str_and_init(address, &init).map_err(unreachable)?;
    request.headers().set("content-type", "application/json").map_err(unreachable)?;
    let response = JsFuture::from(window.fetch_with_request(&request)).await.map_err(unreachable)?;
    let response: web_sys::Response = response.dyn_into().map_err(unreachable)?;
    let text = JsFuture::from(response.text().map_err(unreachable)?).await.map_err(unreachable)?;
    let text = text.as_string().unwrap_or_default();
    let answer: Option<serde_json::Value> = serde_json::from_str(&text).ok();
    match answer {
        Some(answer) if response.ok() => Ok(answer),
        Some(answer) => {
            Err(answer.get("error").and_then(|e| e.as_str()).unwrap_or("the server refused this").to_owned())
        }
        None => Err(format!("the server answered {}; nothing is recorded", response.status())),
    }
}

/// Goes to another page.
///
/// # Errors   One line, where the browser does not.
pub(super) fn go_to(next: &str) -> Result<(), String> {
    let stuck = "recorded, but the next page did not open; go there by the bar below";
    let window = web_sys::window().ok_or_else(|| stuck.to_owned())?;
    window.location().assign(next).map_err(|_| stuck.to_owned())
}

/// The form's fields as a browser would post them, the pressed button's included.
fn values_of(event: &SubmitEvent) -> Option<FormValues> {
    let form: web_sys::HtmlFormElement = event.target()?.dyn_into().ok()?;
    let mut values = fields_of(&form)?;
    if let Some(button) = event.submitter()
        && let (Some(name), Some(value)) = (button.get_attribute("name"), button.get_attribute("value"))
    {
        values.0.entry(name).or_default().push(value);
    }
    Some(values)
}

/// The form's fields as they stand.
pub(super) fn fields_of(form: &web_sys::HtmlFormElement) -> Option<FormValues> {
    let data = web_sys::FormData::new_with_form(form).ok()?;
    let mut pairs = Vec::new();
    for entry in js_sys::try_iter(&data).ok().flatten()? {
        let entry: js_sys::Array = entry.ok()?.dyn_into().ok()?;
        // A file field gives a File, which no form of this page has.
        if let (Some(name), Some(value)) = (entry.get(0).as_string(), entry.get(1).as_string()) {
            pairs.push((name, value));
        }
    }
    Some(FormValues::from_pairs(pairs))
}
