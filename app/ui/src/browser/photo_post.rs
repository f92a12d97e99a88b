//! Sending the photos that wait, one after another, once a round of entries has gone through.
//!
//! What this does not do: decide which, or what an answer means; that is `tripoise_core::sync`.
use super::net::{NoAnswer, reason, send_file};
use super::store::{StoreError, What, change, photo_file};
use super::under_way::UnderWay;
use super::{badge, dealings, phone, record, screen};
use leptos::logging;
use std::cell::Cell;
use tripoise_core::sync::{PhotoAnswer, PhotoOffer, PhotoRound};
use wasm_bindgen_futures::spawn_local;

thread_local! {
    static RUNNING: Cell<bool> = const { Cell::new(false) };
}

/// Sends what waits, unless that is under way.
pub fn soon() {
    if RUNNING.replace(true) {
        return;
    }
    let under_way = UnderWay::begin();
    spawn_local(async move {
        match send_all().await {
            // The next round tries again.
            Ok(()) | Err(Stop::NoAnswer(NoAnswer::Unreachable)) | Err(Stop::Store(StoreError::Refused)) => {}
            Err(Stop::NoAnswer(NoAnswer::NotPaired)) => dealings::not_paired(),
            Err(Stop::NoAnswer(NoAnswer::Refused(said))) => logging::warn!("the server said: {said}"),
            Err(Stop::Store(cause)) => logging::warn!("{cause}"),
        }
        RUNNING.set(false);
        badge::show();
        screen::redraw_own_page();
        drop(under_way);
    });
}

/// Why a run ended early.
enum Stop {
    NoAnswer(NoAnswer),
    Store(StoreError),
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

async fn send_all() -> Result<(), Stop> {
    tidy().await?;
    let mut round = PhotoRound::default();
    loop {
        phone::load().await?;
        let Some(offer) = phone::held(|held| round.next(held)).flatten() else { return Ok(()) };
        let answer = send(&offer).await?;
        let now_ms = record::now_ms();
        change(|_| What::Waiting, |held| Ok(((), held.take_photo(&offer, &answer, now_ms)))).await?;
        badge::show();
        screen::refresh();
    }
}

async fn send(offer: &PhotoOffer) -> Result<PhotoAnswer, Stop> {
    let Some(content) = photo_file(&offer.sha256).await? else {
        return Ok(PhotoAnswer::Refused("the photo is no longer on this phone".to_owned()));
    };
    let (status, text) = send_file(&format!("/api/v1/photos?sha256={}", offer.sha256), &content).await?;
    // Anything else is about the phone or the server and not about this photo: it goes on waiting.
    PhotoAnswer::read(status, &text, &offer.sha256)
        .ok_or_else(|| Stop::NoAnswer(NoAnswer::Refused(reason(status, &text))))
}

/// Lets go of what need not be here any more.
async fn tidy() -> Result<(), StoreError> {
    phone::load().await?;
    let now_ms = record::now_ms();
    let nothing = phone::held(|held| held.tidy_photos(now_ms).is_empty());
    if nothing == Some(false) {
        change(|_| What::Waiting, |held| Ok(((), held.tidy_photos(now_ms)))).await?;
    }
    Ok(())
}
