//! `/api/v1/events`: the one way in for every event, and the feed from which other devices follow.
//!
//! `POST` takes a JSON array of up to 200 records and answers for each by its id: `stored`,
//! `already_had`, `conflict` or `refused` with its problems. `GET ?since=SEQ&epoch=E` pages the feed; with
//! `&last=ID`, the id of the event that the device has under SEQ, a store set back unseen is noticed too.
//! Every answer carries the store's `epoch`; when it changes, a device starts again from 0 and offers its
//! own events once more. With `POST ?all_or_none=true` nothing is stored unless every record can be; those
//! held back by another are refused without a problem of their own.
//!
//! A clock more than 24 hours ahead of the server's is set back to the server's time: the record is
//! stored with `hlc` set back and `hlc_claimed` as sent, and the answer's `hlc` tells the device.
use crate::error::ApiError;
use crate::exchange::{self, Offer};
use crate::state::AppState;
use crate::store::MAX_RECORD_BYTES;
use crate::store::jobs::Together;
use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get};
use axum::{Json, Router};
use jiff::Timestamp;
use serde::Deserialize;
use serde_json::Value;
use tripoise_core::sync::wire::{Answered, Asked, Feed, MAX_RECORDS, Taken};

/// House choice: 200 of the longest records, and commas.
const MAX_BODY_BYTES: usize = MAX_RECORDS * (MAX_RECORD_BYTES + 16);

/// The routes of the family.
pub fn router() -> Router<AppState> {
    let events = get(feed).post(take).layer(DefaultBodyLimit::max(MAX_BODY_BYTES));
    Router::new().route("/api/v1/events", events).route("/api/{*path}", any(nothing_here))
}

async fn nothing_here(uri: Uri) -> ApiError {
    let text = format!("there is nothing at {}; events are at /api/v1/events", uri.path());
    ApiError::request(StatusCode::NOT_FOUND, text)
}

/// What `POST` takes beside its body.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct How {
    /// Whether nothing is stored unless every record can be: for one form of several entries.
    #[serde(default)]
    all_or_none: bool,
}

async fn take(
    State(state): State<AppState>,
    how: Result<Query<How>, QueryRejection>,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    let epoch = state.store.store().epoch();
    match take_records(&state, how, &headers, body).await {
        Ok(answers) => {
            let last_seq = state.store.store().len();
            Json(Taken { epoch: epoch.0, last_seq, answers }).into_response()
        }
        Err(refused) => refused.answer(Some(epoch)),
    }
}

async fn take_records(
    state: &AppState,
    how: Result<Query<How>, QueryRejection>,
    headers: &HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Result<Vec<Answered>, ApiError> {
    let Query(How { all_or_none }) =
        how.map_err(|refused| ApiError::request(refused.status(), refused.body_text()))?;
    let body = body.map_err(|refused| ApiError::request(refused.status(), refused.body_text()))?;
    let sent = parse(headers, &body)?;
    let together = if all_or_none { Together::AllOrNone } else { Together::Each };
    let mut offer = Offer::read(sent, Timestamp::now().as_millisecond(), together);
    let given = state.store.append_together(offer.take_accepted(), together).await?;
    Ok(offer.answered(given))
}

fn parse(headers: &HeaderMap, body: &Bytes) -> Result<Vec<Value>, ApiError> {
    let sent_as = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or("");
    if !sent_as.trim_start().to_ascii_lowercase().starts_with("application/json") {
        let text = format!("send events as application/json, not {sent_as:?}");
        return Err(ApiError::request(StatusCode::UNSUPPORTED_MEDIA_TYPE, text));
    }
    let sent: Vec<Value> = serde_json::from_slice(body).map_err(|cause| {
        let text = format!("the body is not a JSON array of events: {cause}");
        ApiError::request(StatusCode::BAD_REQUEST, text)
    })?;
    if sent.len() > MAX_RECORDS {
        let text = format!("{} events were sent at once; send at most {MAX_RECORDS}", sent.len());
        return Err(ApiError::request(StatusCode::PAYLOAD_TOO_LARGE, text));
    }
    Ok(sent)
}

async fn feed(State(state): State<AppState>, asked: Result<Query<Asked>, QueryRejection>) -> Response {
    let epoch = state.store.store().epoch();
    match feed_page(&state, asked).await {
        Ok(feed) => Json(feed).into_response(),
        Err(refused) => refused.answer(Some(epoch)),
    }
}

async fn feed_page(state: &AppState, asked: Result<Query<Asked>, QueryRejection>) -> Result<Feed, ApiError> {
    let Query(asked) = asked.map_err(|refused| {
        let text =
            format!("{}; ask with ?since=NUMBER&epoch=EPOCH&last=ID&limit=NUMBER", refused.body_text());
        ApiError::request(StatusCode::BAD_REQUEST, text)
    })?;
    Ok(state.store.read(move |store| exchange::feed(store, &asked)).await?)
}
