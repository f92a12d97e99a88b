//! When to exchange with the server, and carrying it out: on opening, when the network comes back, when the
//! tab comes back into view, on a timer, after each entry, and by hand.
//!
//! What this does not do: decide what to send or what an answer means; that is `tripoise_core::sync`.
use super::net::{NoAnswer, ask};
use super::store::{StoreError, What, change};
use super::under_way::UnderWay;
use super::{badge, dealings, listen, phone, photo_post, screen, worker};
use leptos::logging;
use std::cell::Cell;
use tripoise_core::sync::wire::{Asked, Feed, Taken};
use tripoise_core::sync::{Pull, Push, Question, Round};
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, future_to_promise, spawn_local};

/// House choice: 30 s, often enough that two people at one shelf see each other's entries while they talk.
const EVERY_MS: i32 = 30_000;

/// House choice: how long a form that is on the phone waits for the server before it goes on, 1.5 s.
const A_MOMENT_MS: i32 = 1_500;

thread_local! {
    static RUNNING: Cell<bool> = const { Cell::new(false) };
    static ASKED_AGAIN: Cell<bool> = const { Cell::new(false) };
    /// Whether the last round found no server.
    static ALONE: Cell<bool> = const { Cell::new(false) };
}

/// Begins to exchange whenever there is a reason to.
pub fn start() {
    let Some(window) = web_sys::window() else { return };
    listen::on(&window, "online", |_| {
        soon();
        worker::look_for_newer();
    });
    if let Some(document) = window.document() {
        listen::on(&document, "visibilitychange", |_| {
            if is_seen() {
                soon();
                worker::look_for_newer();
            }
        });
    }
    listen::every(EVERY_MS, || {
        if is_seen() {
            soon();
        }
    });
    soon();
}

fn is_seen() -> bool {
    leptos::prelude::document().visibility_state() == web_sys::VisibilityState::Visible
}

/// A round, without waiting for it.
pub fn soon() {
    let under_way = UnderWay::begin();
    spawn_local(async move {
        round().await;
        drop(under_way);
    });
}

/// A round, waited for no longer than a moment; not at all where the last one found no server.
pub async fn in_a_moment() {
    if ALONE.get() {
        // At a bench without network nobody waits for it entry by entry.
        return soon();
    }
    let done = future_to_promise(async {
        round().await;
        Ok(JsValue::NULL)
    });
    let late = future_to_promise(async {
        super::net::pause(A_MOMENT_MS).await;
        Ok(JsValue::NULL)
    });
    // Neither of the two is ever rejected.
    drop(JsFuture::from(js_sys::Promise::race(&js_sys::Array::of2(&done, &late))).await);
}

/// One round; where one is under way, another follows it.
async fn round() {
    if RUNNING.replace(true) {
        ASKED_AGAIN.set(true);
        while RUNNING.get() {
            super::net::pause(20).await;
        }
        return;
    }
    loop {
        ASKED_AGAIN.set(false);
        let ended = exchange().await;
        ALONE.set(matches!(ended, Err(Stop::NoAnswer(NoAnswer::Unreachable))));
        match ended {
            Ok(()) => {
                dealings::exchanged();
                // After the entries, and beside the next round: a photo on a slow line holds no entry up.
                photo_post::soon();
            }
            // What the badge says already: entries wait.
            Err(Stop::NoAnswer(NoAnswer::Unreachable)) => {}
            Err(Stop::NoAnswer(NoAnswer::NotPaired)) => dealings::not_paired(),
            Err(Stop::NoAnswer(NoAnswer::Refused(said))) => logging::warn!("the server said: {said}"),
            Err(Stop::Store(StoreError::Refused)) => break,
            Err(Stop::Store(cause)) => logging::warn!("{cause}"),
            Err(Stop::Unreadable(cause)) => logging::warn!("the server's answer could not be read: {cause}"),
        }
        if !ASKED_AGAIN.get() {
            break;
        }
    }
    RUNNING.set(false);
    badge::show();
    if dealings::weigh().await || screen::is_own_page() {
        screen::redraw_own_page();
    }
}

/// Why a round ended early.
enum Stop {
    NoAnswer(NoAnswer),
    Store(StoreError),
    Unreadable(serde_json::Error),
}

impl From<NoAnswer> for Stop {
    fn from(cause: NoAnswer) -> Self {
        Self::NoAnswer(cause)
    }
}

impl From<StoreError> for Stop {
    fn from(cause: StoreError) -> Self {
        Self::Store(cause)
    }
}

impl From<serde_json::Error> for Stop {
    fn from(cause: serde_json::Error) -> Self {
        Self::Unreadable(cause)
    }
}

async fn exchange() -> Result<(), Stop> {
    let mut round = Round::default();
    let mut changed = false;
    let ended = loop {
        if let Err(cause) = phone::load().await {
            break Err(cause.into());
        }
        let Some(question) = phone::held(|held| round.next(held)).flatten() else { break Ok(()) };
        let step = match question {
            Question::Push(push) => self::push(&mut round, &push).await,
            Question::Pull(pull) => self::pull(&mut round, &pull).await,
        };
        match step {
            Ok(changes) => changed |= changes,
            Err(cause) => break Err(cause),
        }
        badge::show();
    };
    if changed {
        screen::refresh();
    }
    ended
}

/// Whether the answer changed what this phone shows.
async fn push(round: &mut Round, push: &Push) -> Result<bool, Stop> {
    let address = if push.all_or_none { "/api/v1/events?all_or_none=true" } else { "/api/v1/events" };
    let answer = ask(address, Some(&serde_json::to_string(&push.records)?)).await?;
    let taken: Taken = serde_json::from_str(&answer)?;
    let (_, write) = change(|_| What::Waiting, |held| Ok(((), held.take_push(push, &taken)))).await?;
    round.pushed(!write.is_empty());
    Ok(!write.is_empty())
}

async fn pull(round: &mut Round, pull: &Pull) -> Result<bool, Stop> {
    let answer = ask(&address(&pull.asked), None).await?;
    let feed: Feed = serde_json::from_str(&answer)?;
    let reads = |phone: &tripoise_core::sync::Phone| What::Chunks(phone.reads(&feed));
    let (_, write) = change(reads, |held| Ok(((), held.take_pull(pull, &feed)))).await?;
    round.pulled(feed.more);
    Ok(!write.put_chunks.is_empty() || write.drop_generations_before.is_some())
}

fn address(asked: &Asked) -> String {
    let mut address = format!("/api/v1/events?since={}", asked.since);
    if let Some(epoch) = asked.epoch {
        address.push_str(&format!("&epoch={epoch}"));
    }
    if let Some(last) = asked.last {
        address.push_str(&format!("&last={last}"));
    }
    address
}
