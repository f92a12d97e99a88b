//! `GET /labels/pdf/ID`: a sheet of labels as PDF.
use crate::error::ApiError;
use crate::label_pdf;
use crate::state::AppState;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use tripoise_core::view::labels::sheet;

/// The family.
pub fn router() -> Router<AppState> {
    Router::new().route("/labels/pdf/{id}", get(pdf))
}

async fn pdf(State(state): State<AppState>, Path(id): Path<String>) -> Result<Response, ApiError> {
    let world = state.world();
    let page = sheet::page(&world, &id).map_err(|said| ApiError::request(StatusCode::NOT_FOUND, said))?;
    // 500 labels take a tenth of a second: not on a thread that answers others.
    let written = tokio::task::spawn_blocking(move || label_pdf::write(&page)).await;
    let content = written.map_err(|cause| failed(&cause))?.map_err(|cause| failed(&cause))?;
    let headers = [
        (header::CONTENT_TYPE, "application/pdf"),
        (header::CONTENT_DISPOSITION, "inline; filename=\"labels.pdf\""),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    Ok((headers, content).into_response())
}

fn failed(cause: &dyn std::fmt::Display) -> ApiError {
    tracing::error!(%cause, "a sheet of labels could not be drawn");
    ApiError::request(StatusCode::INTERNAL_SERVER_ERROR, "the server could not draw the labels; see its log")
}
