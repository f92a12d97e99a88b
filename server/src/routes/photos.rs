//! `POST /api/v1/photos` keeps a photo; `GET /photos/HASH` gives it.
//!
//! The body is the file itself: JPEG, PNG or WebP by its first bytes, whatever it is said to be, at most 1.5 MB.
//! `?sha256=` says what should arrive. Keeping a photo twice is keeping it once. What this does not do: record
//! that it was taken; the event does, and names it by its hash.
use crate::error::ApiError;
use crate::state::AppState;
use crate::store::photos::{PhotoOutcome, hash_of};
use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use tripoise_core::photo::{MOST_BYTES, PhotoHash, PhotoKind};
use tripoise_core::sync::wire::{PhotoKept, Status};

/// A photo never changes under its name. House choice: a year, as for the bundle's files; for this browser only,
/// since a studio's photos are nobody else's.
const FOR_A_YEAR: &str = "private, max-age=31536000, immutable";

/// The family.
pub fn router() -> Router<AppState> {
    let keep = post(take).layer(DefaultBodyLimit::max(MOST_BYTES));
    Router::new().route("/api/v1/photos", keep).route("/photos/{hash}", get(show))
}

/// What `POST` takes beside its body.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    sha256: Option<String>,
}

async fn take(
    State(state): State<AppState>,
    expected: Result<Query<Expected>, QueryRejection>,
    body: Result<Bytes, BytesRejection>,
) -> Result<Response, ApiError> {
    let Query(expected) =
        expected.map_err(|refused| ApiError::request(refused.status(), refused.body_text()))?;
    let body = body.map_err(|refused| too_long_or(&refused))?;
    let media = PhotoKind::of(&body).ok_or_else(|| {
        let text = "this is no photo that is kept here; send a JPEG, PNG or WebP file as it is";
        ApiError::request(StatusCode::UNSUPPORTED_MEDIA_TYPE, text)
    })?;
    if expected.sha256.is_some_and(|expected| expected != hash_of(&body).as_str()) {
        let text = "the photo did not arrive as it was sent; send it again";
        return Err(ApiError::request(StatusCode::UNPROCESSABLE_ENTITY, text));
    }
    let bytes = body.len();
    let photos = state.photos.clone();
    // Waits for the disk: not on a thread that answers others.
    let kept = tokio::task::spawn_blocking(move || photos.keep(&body)).await;
    let (sha256, outcome) = kept.map_err(|cause| failed(&cause))??;
    let (code, status) = match outcome {
        PhotoOutcome::Stored => (StatusCode::CREATED, Status::Stored),
        PhotoOutcome::AlreadyHad => (StatusCode::OK, Status::AlreadyHad),
    };
    Ok((code, Json(PhotoKept { sha256, media, bytes, status })).into_response())
}

fn too_long_or(refused: &BytesRejection) -> ApiError {
    let status = refused.status();
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        let text = format!("a photo has at most {MOST_BYTES} bytes; scale it down");
        return ApiError::request(status, text);
    }
    ApiError::request(status, refused.body_text())
}

async fn show(State(state): State<AppState>, Path(name): Path<String>) -> Result<Response, ApiError> {
    let missing = || ApiError::request(StatusCode::NOT_FOUND, "no photo is kept under this name");
    let hash: PhotoHash = name.parse().map_err(|_| missing())?;
    let photos = state.photos.clone();
    let read = tokio::task::spawn_blocking(move || photos.read(&hash)).await;
    let content = read.map_err(|cause| failed(&cause))?.map_err(|cause| failed(&cause))?;
    let content = content.ok_or_else(missing)?;
    let media = PhotoKind::of(&content).ok_or_else(missing)?;
    let headers = [
        (header::CONTENT_TYPE, media.key()),
        (header::CACHE_CONTROL, FOR_A_YEAR),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Opened by itself, it is a picture and nothing else.
        (header::CONTENT_SECURITY_POLICY, "default-src 'none'; frame-ancestors 'none'"),
    ];
    Ok((headers, content).into_response())
}

fn failed(cause: &dyn std::fmt::Display) -> ApiError {
    tracing::error!(%cause, "a photo could not be kept or read");
    ApiError::request(StatusCode::INTERNAL_SERVER_ERROR, "the server could not reach its photos; see its log")
}
