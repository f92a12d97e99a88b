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
use crate::state::AppState;
use crate::store::jobs::Together;
use crate::store::writer::Answer;
use crate::store::{Epoch, MAX_RECORD_BYTES, Numbered, Outcome};
use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get};
use axum::{Json, Router};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use tripoise_core::ids::EventId;
use tripoise_core::record::{Hlc, Record};
use tripoise_core::world::check::Problem;
use uuid::Uuid;

/// How many records one request may carry.
pub const MAX_RECORDS: usize = 200;

/// House choice: 200 of the longest records, and commas.
const MAX_BODY_BYTES: usize = MAX_RECORDS * (MAX_RECORD_BYTES + 16);

/// How many records one page of the feed holds unless asked for fewer, and at most.
const PAGE: usize = 200;

/// How far a device's clock may be ahead of the server's. House choice: a day, beyond any time zone
/// mistaken for another.
const MAX_AHEAD_MS: i64 = 24 * 60 * 60 * 1000;

/// The routes of the family.
pub fn router() -> Router<AppState> {
    let events = get(feed).post(take).layer(DefaultBodyLimit::max(MAX_BODY_BYTES));
    Router::new().route("/api/v1/events", events).route("/api/{*path}", any(nothing_here))
}

async fn nothing_here(uri: Uri) -> ApiError {
    let text = format!("there is nothing at {}; events are at /api/v1/events", uri.path());
    ApiError::request(StatusCode::NOT_FOUND, text)
}

/// What `POST` answers.
#[derive(Debug, Serialize)]
struct Taken {
    epoch: Epoch,
    /// The number of the last event in the store.
    last_seq: u64,
    answers: Vec<One>,
}

/// The answer for one record.
#[derive(Debug, Serialize)]
struct One {
    /// As it was sent; null where there was none.
    id: Value,
    status: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    seq: Option<u64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    problems: Vec<Problem>,
    /// The clock under which it is kept, where it was set back.
    #[serde(skip_serializing_if = "Option::is_none")]
    hlc: Option<Hlc>,
}

/// What `POST` takes beside its body.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct How {
    /// Whether nothing is stored unless every record can be: for one form of several entries.
    #[serde(default)]
    all_or_none: bool,
}

/// What `GET` takes.
#[derive(Debug, Deserialize)]
struct Since {
    #[serde(default)]
    since: u64,
    epoch: Option<Uuid>,
    last: Option<EventId>,
    limit: Option<usize>,
}

/// What `GET` answers.
#[derive(Debug, Serialize)]
struct Feed {
    epoch: Epoch,
    /// Whether the answer starts from 0 since the numbering is another one than the device knew; the
    /// device then offers its own events again.
    reset: bool,
    events: Vec<Numbered>,
    /// What to ask for next.
    next: u64,
    /// Whether there is more now.
    more: bool,
    /// The number of the last event in the store.
    last_seq: u64,
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
            Json(Taken { epoch, last_seq, answers }).into_response()
        }
        Err(refused) => refused.answer(Some(epoch)),
    }
}

async fn take_records(
    state: &AppState,
    how: Result<Query<How>, QueryRejection>,
    headers: &HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Result<Vec<One>, ApiError> {
    let Query(How { all_or_none }) =
        how.map_err(|refused| ApiError::request(refused.status(), refused.body_text()))?;
    let body = body.map_err(|refused| ApiError::request(refused.status(), refused.body_text()))?;
    let sent = parse(headers, &body)?;
    let now_ms = Timestamp::now().as_millisecond();
    let mut answers = Vec::new();
    let mut accepted = Vec::new();
    for value in sent {
        let id = value.get("id").cloned().unwrap_or(Value::Null);
        let one = match read(value) {
            Ok(record) => {
                let (record, hlc) = set_clock_back(record, now_ms);
                accepted.push(record);
                One { id, status: "", seq: None, problems: Vec::new(), hlc }
            }
            Err(problem) => One { id, status: "refused", seq: None, problems: vec![problem], hlc: None },
        };
        answers.push(one);
    }
    if all_or_none && accepted.len() < answers.len() {
        answers.iter_mut().for_each(One::hold_back);
        return Ok(answers);
    }
    let together = if all_or_none { Together::AllOrNone } else { Together::Each };
    let mut given = state.store.append_together(accepted, together).await?.into_iter();
    for one in answers.iter_mut().filter(|one| one.status.is_empty()) {
        if let Some(answer) = given.next() {
            one.fill(answer);
        }
    }
    Ok(answers)
}

impl One {
    /// Refused for another record's sake, where it has no refusal of its own.
    fn hold_back(&mut self) {
        (self.status, self.hlc) = ("refused", None);
    }

    fn fill(&mut self, answer: Answer) {
        let (status, seq) = match answer {
            Answer::Kept(Outcome::Stored { seq }) => ("stored", seq),
            Answer::Kept(Outcome::AlreadyHad { seq }) => ("already_had", seq),
            Answer::Kept(Outcome::Conflict { seq }) => ("conflict", seq),
            Answer::Refused(problems) => {
                (self.status, self.problems, self.hlc) = ("refused", problems, None);
                return;
            }
        };
        (self.status, self.seq) = (status, Some(seq));
    }
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

/// Reads a record and checks what the fold does not look at.
fn read(value: Value) -> Result<Record, Problem> {
    let n_bytes = value.to_string().len();
    if n_bytes > MAX_RECORD_BYTES {
        let cause = format!("this event is {n_bytes} bytes long; at most {MAX_RECORD_BYTES} are kept");
        return Err(Problem::new("", cause));
    }
    let record: Record = serde_json::from_value(value.clone())
        .map_err(|cause| Problem::new(culprit(&value), cause.to_string()))?;
    if record.device_seq == 0 {
        return Err(Problem::new("device_seq", "a device counts its events from 1"));
    }
    let named = record.kind.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_');
    // House choice: 64 bytes; the longest kind so far has 16.
    if record.kind.is_empty() || record.kind.len() > 64 || !named {
        return Err(Problem::new("kind", "a kind is up to 64 lower-case letters and underscores"));
    }
    if !record.body.is_object() {
        return Err(Problem::new("body", "a body is a JSON object"));
    }
    Ok(record)
}

/// The field of the envelope that does not read; empty when it is not a single one.
fn culprit(value: &Value) -> &'static str {
    const FIELDS: [&str; 9] =
        ["id", "device", "device_seq", "hlc", "hlc_claimed", "observed_at", "corrects", "kind", "schema"];
    let fine = json!({
        "id": Uuid::nil(), "device": Uuid::nil(), "device_seq": 1, "hlc": Hlc(0),
        "observed_at": Timestamp::UNIX_EPOCH, "kind": "note_added", "schema": 1, "body": {},
    });
    let spoils = |field: &&str| {
        let mut fine = fine.clone();
        fine[*field] = value.get(*field).cloned().unwrap_or(Value::Null);
        serde_json::from_value::<Record>(fine).is_err()
    };
    FIELDS.into_iter().find(spoils).unwrap_or("")
}

/// The record as it is kept, and the clock it is kept under where that is not the one sent.
fn set_clock_back(mut record: Record, now_ms: i64) -> (Record, Option<Hlc>) {
    if record.hlc.ms() <= now_ms.saturating_add(MAX_AHEAD_MS) {
        return (record, None);
    }
    let kept = Hlc::at_ms(now_ms);
    record.hlc_claimed.get_or_insert(record.hlc);
    record.hlc = kept;
    (record, Some(kept))
}

async fn feed(State(state): State<AppState>, asked: Result<Query<Since>, QueryRejection>) -> Response {
    let epoch = state.store.store().epoch();
    match feed_page(&state, epoch, asked).await {
        Ok(feed) => Json(feed).into_response(),
        Err(refused) => refused.answer(Some(epoch)),
    }
}

/// Whether the device has another event under its number than the store.
async fn other_event(state: &AppState, asked: &Since) -> Result<bool, ApiError> {
    let (Some(last), Some(before)) = (asked.last, asked.since.checked_sub(1)) else { return Ok(false) };
    let kept = state.store.page(before, 1).await?;
    Ok(kept.first().is_none_or(|kept| kept.event.id != last))
}

async fn feed_page(
    state: &AppState,
    epoch: Epoch,
    asked: Result<Query<Since>, QueryRejection>,
) -> Result<Feed, ApiError> {
    let Query(asked) = asked.map_err(|refused| {
        let text =
            format!("{}; ask with ?since=NUMBER&epoch=EPOCH&last=ID&limit=NUMBER", refused.body_text());
        ApiError::request(StatusCode::BAD_REQUEST, text)
    })?;
    let last_seq = state.store.store().len();
    let other_epoch = asked.epoch.is_some_and(|known| known != epoch.0);
    // A device that is ahead of the store has seen numbers that a restore took away.
    let ahead = asked.since > last_seq;
    let reset = other_epoch || ahead || other_event(state, &asked).await?;
    let since = if reset { 0 } else { asked.since };
    let limit = asked.limit.unwrap_or(PAGE).clamp(1, PAGE);
    let events = state.store.page(since, limit).await?;
    let next = events.last().map_or(since, |last| last.seq);
    Ok(Feed { epoch, reset, events, next, more: next < last_seq, last_seq })
}
