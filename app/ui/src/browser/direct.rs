//! Straight to the server, where the browser gives the phone no store: nothing counts but the answer.
//!
//! What this does not do: keep anything. The device is a new one with every page load.
use super::net::{NoAnswer, ask};
use super::record;
use std::cell::RefCell;
use tripoise_core::form::Problem;
use tripoise_core::sync::wire::{Status, Taken};
use tripoise_core::sync::{Draft, Held};

thread_local! {
    static HELD: RefCell<Option<Held>> = const { RefCell::new(None) };
}

/// Sends what a form made, all of it or none.
///
/// # Errors   What to say beside the form; nothing is recorded then, as far as is known.
pub async fn send(drafts: Vec<Draft>) -> Result<(), Vec<Problem>> {
    let said = |text: String| vec![Problem::new("do", text)];
    let numbered = HELD.with_borrow_mut(|held| {
        let held = held.get_or_insert_with(|| Held::new(record::first_phone()));
        let (records, write) = held.record(drafts, record::now_ms())?;
        held.apply(&write);
        Ok(records)
    });
    let records = numbered.map_err(said)?;
    let json = serde_json::to_string(&records).map_err(|cause| said(cause.to_string()))?;
    let answer = ask("/api/v1/events?all_or_none=true", Some(&json)).await.map_err(|cause| match cause {
        NoAnswer::Refused(text) => said(text),
        NoAnswer::NotPaired => {
            said("this phone is not paired and this browser keeps nothing; open /pair in another tab, then try again".to_owned())
        }
        NoAnswer::Unreachable => {
            said("the server did not answer and this browser keeps nothing; what you typed is still here".to_owned())
        }
    })?;
    let taken: Taken = serde_json::from_str(&answer).map_err(|_| {
        said("the server's answer could not be read; look at the history before trying again".to_owned())
    })?;
    let refused =
        taken.answers.iter().filter(|one| !matches!(one.status, Status::Stored | Status::AlreadyHad));
    let problems: Vec<Problem> = refused.clone().flat_map(|one| one.problems.clone()).collect();
    match (refused.count(), problems.is_empty()) {
        (0, _) => Ok(()),
        (_, false) => Err(problems),
        _ => Err(said("the server has another entry under this id; open the page again".to_owned())),
    }
}
