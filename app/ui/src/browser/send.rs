//! From a tap on a form's button to the next page: read, keep on the phone, offer to the server, go on.
//!
//! What is on the phone is recorded; the server is waited for no longer than a moment. Where it refuses in
//! that moment, the form says why beside its fields, and what it says next takes the refused entries' place.
use super::store::{self, StoreError, What, change};
use super::under_way::UnderWay;
use super::{badge, direct, net, phone, record, screen, sync};
use crate::app::Frame;
use leptos::ev::SubmitEvent;
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use tripoise_core::form::{self, FormValues, Problem, Submission};
use tripoise_core::ids::EventId;
use tripoise_core::photo::PhotoHash;
use tripoise_core::sync::{Draft, WaitState, Write};
use tripoise_core::view::FormState;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;

/// What was typed, with the entries made of it: kept until they are on the phone, so that a second try is
/// the same entries.
#[derive(Clone)]
struct Pending {
    values: FormValues,
    drafts: Vec<Draft>,
    submission: Submission,
}

thread_local! {
    static PENDING: RefCell<Option<Pending>> = const { RefCell::new(None) };
    /// Entries of this page that the server refused and that were shown at the form.
    static REFUSED: RefCell<Vec<EventId>> = const { RefCell::new(Vec::new()) };
    static ASKED_TO_KEEP: Cell<bool> = const { Cell::new(false) };
}

/// Reads the form; shows what is wrong, or records it and goes to the next page.
pub fn submit(event: &SubmitEvent, frame: Frame) {
    // A button that only asks ("judge these") is answered elsewhere.
    if event.submitter().is_some_and(|button| button.get_attribute("formmethod").as_deref() == Some("get")) {
        return;
    }
    let Some(values) = values_of(event) else { return };
    event.prevent_default();
    send(values, frame);
}

/// The same from a form's values.
pub fn send(values: FormValues, frame: Frame) {
    if frame.busy.get_untracked() {
        return;
    }
    match prepare(&values, frame) {
        Ok(pending) => {
            frame.busy.set(true);
            let under_way = UnderWay::begin();
            spawn_local(async move {
                let outcome = deliver(pending).await;
                frame.busy.try_set(false);
                match outcome {
                    Ok(next) => {
                        if !screen::go(&next) {
                            let said = "recorded, but the next page did not open; go there by the bar below";
                            show(frame, &values, vec![Problem::new("do", said)]);
                        }
                    }
                    Err(problems) => show(frame, &values, problems),
                }
                drop(under_way);
            });
        }
        Err(problems) => show(frame, &values, problems),
    }
}

fn show(frame: Frame, values: &FormValues, problems: Vec<Problem>) {
    let action = values.get("do").to_owned();
    frame.form.try_set(FormState { action, values: values.0.clone(), problems });
    if let Some(alert) = document().query_selector(".problems").ok().flatten() {
        alert.scroll_into_view();
    }
}

/// Makes the entries, unless the same form is being sent again.
fn prepare(values: &FormValues, frame: Frame) -> Result<Pending, Vec<Problem>> {
    let again = PENDING.with_borrow(|pending| pending.clone().filter(|p| p.values == *values));
    if let Some(pending) = again {
        return Ok(pending);
    }
    let page = frame.page.get_untracked();
    let submission = form::submit(&page, values, &mut record::new_id)?;
    let drafts = record::drafts(&submission.bodies, submission.corrects);
    let pending = Pending { values: values.clone(), drafts, submission };
    PENDING.set(Some(pending.clone()));
    Ok(pending)
}

/// Keeps the entries, offers them, and says where to go.
async fn deliver(pending: Pending) -> Result<String, Vec<Problem>> {
    let Pending { drafts, submission, values } = pending;
    let last = drafts.last().map(|draft| draft.id);
    let nothing = || vec![Problem::new("do", "there is nothing to record; open the page again")];
    let last = last.ok_or_else(nothing)?;
    // Where the form came back from the server, that has the photo, and this phone need not.
    let needs_here: &[Draft] = if values.get("kept_on") == "server" { &[] } else { &drafts };
    match keep(&drafts, needs_here).await {
        Ok(()) => {}
        Err(StoreError::Refused) => {
            direct::send(drafts).await?;
            PENDING.set(None);
            return Ok(submission.next_after(last));
        }
        Err(cause) => return Err(vec![Problem::new("do", cause.to_string())]),
    }
    PENDING.set(None);
    badge::show();
    if !phone::is_folded() {
        // The next page then waits for all events of the studio to be added up: what was said is shown first.
        net::shown().await;
    }
    sync::in_a_moment().await;
    let ids: Vec<EventId> = drafts.iter().map(|draft| draft.id).collect();
    let problems = refusals(&ids);
    if problems.is_empty() {
        return Ok(submission.next_after(last));
    }
    REFUSED.set(ids);
    Err(problems)
}

/// One transaction: the new entries, in place of those of this form that were refused before. The photos that
/// `needs_here` names must be on this phone.
async fn keep(drafts: &[Draft], needs_here: &[Draft]) -> Result<(), StoreError> {
    // The image first: it follows the transaction.
    phone::load().await?;
    let refused = REFUSED.with_borrow(Clone::clone);
    let decide = |held: &tripoise_core::sync::Held| {
        held.has_photos_of(needs_here)?;
        let (_, mut write) = held.record(drafts.to_vec(), record::now_ms())?;
        write.drop_waiting.extend(held.put_away(&refused).drop_waiting);
        Ok(((), write))
    };
    change(|_| What::Waiting, decide).await?;
    REFUSED.set(Vec::new());
    if !ASKED_TO_KEEP.replace(true) {
        store::keep_for_good();
    }
    Ok(())
}

/// What the server has against these entries, where it has said so already.
fn refusals(ids: &[EventId]) -> Vec<Problem> {
    let found = phone::held(|held| {
        let states = ids.iter().filter_map(|id| held.waiting.get(id)).map(|entry| &entry.state);
        let problems = states.flat_map(|state| match state {
            WaitState::Refused { problems, .. } => problems.clone(),
            WaitState::Conflict => {
                vec![Problem::new("do", "the server has another entry under this id; open the page again")]
            }
            WaitState::ToSend | WaitState::Acknowledged { .. } => Vec::new(),
        });
        problems.collect()
    });
    found.unwrap_or_default()
}

/// Puts entries and photos away that the server did not take: a person has looked at them.
pub fn put_away(ids: Vec<EventId>, photos: Vec<PhotoHash>) {
    spawn_local(async move {
        let both = |held: &tripoise_core::sync::Held| Write {
            drop_photos: held.put_photos_away(&photos).drop_photos,
            ..held.put_away(&ids)
        };
        let put = change(|_| What::Waiting, |held| Ok(((), both(held)))).await;
        match put {
            Ok(_) => {
                badge::show();
                screen::refresh_now();
            }
            Err(cause) => leptos::logging::warn!("{cause}"),
        }
    });
}

/// The form's fields as a browser would post them, the pressed button's included.
pub fn values_of(event: &SubmitEvent) -> Option<FormValues> {
    let form: web_sys::HtmlFormElement = event.target()?.dyn_into().ok()?;
    let mut values = values_in(&form)?;
    if let Some(button) = event.submitter()
        && let (Some(name), Some(value)) = (button.get_attribute("name"), button.get_attribute("value"))
    {
        values.0.entry(name).or_default().push(value);
    }
    Some(values)
}

/// The form's fields as a browser would post them.
pub(super) fn values_in(form: &web_sys::HtmlFormElement) -> Option<FormValues> {
    let data = web_sys::FormData::new_with_form(form).ok()?;
    let mut pairs = Vec::new();
    for entry in js_sys::try_iter(&data).ok().flatten()? {
        let entry: js_sys::Array = entry.ok()?.dyn_into().ok()?;
        // A file field gives a File: what it holds is kept by its own program, and named in other fields.
        if let (Some(name), Some(value)) = (entry.get(0).as_string(), entry.get(1).as_string()) {
            pairs.push((name, value));
        }
    }
    Some(FormValues::from_pairs(pairs))
}
