//! Every page: `GET` renders it, `POST` reads one of its forms for a browser without JavaScript. A form with a file
//! is read in [`super::photo_form`].
//!
//! The path is not matched here but by [`tripoise_core::view::page`], the same function that will answer
//! on a phone without the server. A form that could be read is recorded as the server's own events and
//! answered with a redirect, so that reloading records nothing twice; one that could not comes back with
//! everything that was typed.
use super::photo_form::{self, NotRead, Posted};
use crate::access::visit::Visit;
use crate::assets;
use crate::error::ApiError;
use crate::state::AppState;
use crate::store::StoreError;
use crate::store::writer::{Draft, Recorded};
use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, FromRequest as _, State};
use axum::http::{HeaderMap, HeaderValue, Request as HttpRequest, StatusCode, Uri, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use jiff::{Timestamp, ZonedDateTime};
use leptos::context::use_context;
use leptos::nonce::use_nonce;
use leptos_axum::ResponseOptions;
use std::collections::BTreeMap;
use std::sync::Arc;
use tripoise_core::form::{self, FormValues, Problem};
use tripoise_core::ids::EventId;
use tripoise_core::view::{FormState, Page, PageData, Request, page};
use uuid::Uuid;

/// House choice: 256 KiB, a grid of 10,000 typed heights with room to spare.
pub(super) const MAX_FORM_BYTES: usize = 256 * 1024;

/// The pages, as whatever no other route takes.
pub fn router() -> Router<AppState> {
    // Rendering spawns on this process's runtime. An error means that it was set already.
    drop(any_spawner::Executor::init_tokio());
    let handlers = get(show).post(take).layer(DefaultBodyLimit::max(MAX_FORM_BYTES));
    Router::new().route("/", handlers.clone()).route("/{*path}", handlers)
}

async fn show(State(state): State<AppState>, Extension(visit): Extension<Visit>, uri: Uri) -> Response {
    let page = asked(&state, &visit, &uri);
    let status = match page.data {
        PageData::NotFound(_) => StatusCode::NOT_FOUND,
        _ => StatusCode::OK,
    };
    render(page, status).await
}

async fn take(
    State(state): State<AppState>,
    Extension(visit): Extension<Visit>,
    uri: Uri,
    request: HttpRequest<Body>,
) -> Response {
    let page = asked(&state, &visit, &uri);
    let posted = if is_kind(request.headers(), "application/x-www-form-urlencoded") {
        match Bytes::from_request(request, &state).await {
            Ok(body) => {
                let values = FormValues::from_pairs(form_urlencoded::parse(&body).into_owned());
                Posted { values, problems: Vec::new() }
            }
            Err(refused) => return refused.into_response(),
        }
    } else if is_kind(request.headers(), "multipart/form-data") && photo_form::is_on(&page) {
        match photo_form::read(&state, request).await {
            Ok(posted) => posted,
            Err(NotRead::Request(refused)) => return refused.into_response(),
            Err(NotRead::Store(values, cause)) => return not_recorded(page, &values, cause).await,
        }
    } else {
        let text = "a form is wanted here; events go to /api/v1/events";
        return ApiError::request(StatusCode::UNSUPPORTED_MEDIA_TYPE, text).into_response();
    };
    let Posted { values, problems } = posted;
    if !problems.is_empty() {
        return come_back(page, &values, problems).await;
    }
    match record(&state, &page, &values).await {
        Ok(next) => Redirect::to(&next).into_response(),
        Err(NotRecorded::Problems(problems)) => come_back(page, &values, problems).await,
        Err(NotRecorded::Store(cause)) => not_recorded(page, &values, cause).await,
    }
}

/// The page with everything that was typed, where the store failed.
async fn not_recorded(page: Page, values: &FormValues, cause: StoreError) -> Response {
    let status = ApiError::from(cause).answer(None).status();
    let problem = Problem::new("do", "the server could not record this; nothing is lost here, try again");
    let mut response = come_back(page, values, vec![problem]).await;
    *response.status_mut() = status;
    response
}

enum NotRecorded {
    Problems(Vec<Problem>),
    Store(StoreError),
}

/// Reads the form and records its events; the address to go to next.
async fn record(state: &AppState, page: &Page, values: &FormValues) -> Result<String, NotRecorded> {
    let submission = form::submit(page, values, &mut Uuid::now_v7).map_err(NotRecorded::Problems)?;
    let drafts = submission
        .bodies
        .iter()
        .enumerate()
        .map(|(idx, body)| Draft { body: body.clone(), corrects: submission.corrects.filter(|_| idx == 0) });
    match state.record(drafts.collect(), Timestamp::now()).await {
        Ok(Recorded::Stored(records)) => {
            let last = records.last().map_or(EventId(Uuid::nil()), |record| record.id);
            Ok(submission.next_after(last))
        }
        Ok(Recorded::Refused(problems)) => Err(NotRecorded::Problems(problems)),
        Err(cause) => Err(NotRecorded::Store(cause)),
    }
}

/// The page with its form as it was typed, and what is wrong with it.
async fn come_back(mut page: Page, values: &FormValues, problems: Vec<Problem>) -> Response {
    page.form = FormState { action: values.get("do").to_owned(), values: values.0.clone(), problems };
    page.banner = None;
    render(page, StatusCode::UNPROCESSABLE_ENTITY).await
}

fn is_kind(headers: &HeaderMap, wanted: &str) -> bool {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    kind.is_some_and(|kind| kind.starts_with(wanted))
}

/// The page, with what only the server knows of how it was asked for.
fn asked(state: &AppState, visit: &Visit, uri: &Uri) -> Page {
    let mut page = page(&state.world(), &request(state, uri));
    page.over_plain_http = !visit.is_secure_context();
    page
}

fn request(state: &AppState, uri: &Uri) -> Request {
    let query = uri.query().unwrap_or_default();
    let query: BTreeMap<String, String> = form_urlencoded::parse(query.as_bytes()).into_owned().collect();
    let mut notices: Vec<String> = state.notes.to_vec();
    let snapshot = state.snapshot();
    if !snapshot.skipped.is_empty() {
        notices
            .push(format!("{} records could not be read; they are kept and counted", snapshot.skipped.len()));
    }
    if snapshot.n_conflicts > 0 {
        notices.push(format!(
            "{} records came twice with different content; both are kept",
            snapshot.n_conflicts
        ));
    }
    let path = percent_encoding::percent_decode_str(uri.path()).decode_utf8_lossy().into_owned();
    Request { path, query, today: ZonedDateTime::now().date(), notices }
}

async fn render(page: Page, status: StatusCode) -> Response {
    let page = Arc::new(page);
    let app = move || {
        set_policy();
        tripoise_ui::document(Arc::clone(&page), &bundle())
    };
    let handler = leptos_axum::render_app_to_stream(app);
    let mut response = handler(HttpRequest::new(Body::empty())).await;
    *response.status_mut() = status;
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    response
}

/// What a page may load: its own files, and the one inline script that bears this answer's nonce.
fn set_policy() {
    let (Some(nonce), Some(options)) = (use_nonce(), use_context::<ResponseOptions>()) else { return };
    let policy = format!(
        "default-src 'none'; script-src 'nonce-{nonce}' 'strict-dynamic' 'wasm-unsafe-eval'; style-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    );
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        options.insert_header(header::CONTENT_SECURITY_POLICY, policy);
    }
}

pub(super) fn bundle() -> tripoise_ui::Assets {
    match (assets::names(), assets::start_script()) {
        (Some(names), Some(start)) => {
            tripoise_ui::Assets { css: names.css.to_owned(), decoder: names.decoder.to_owned(), start }
        }
        _ => tripoise_ui::Assets::default(),
    }
}
