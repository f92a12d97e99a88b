//! Every URL, one file per family, behind one guard (is this a request that may be answered) and one gate (may this
//! visitor come in).
//!
//! What this does not do: serve anything by itself.

pub mod assets;
pub mod devices;
pub mod events;
pub mod gate;
pub mod guard;
pub mod labels;
pub mod pages;
pub mod pairing;
mod photo_form;
pub mod photos;
pub mod set_up;
pub mod shell;

use crate::state::AppState;
use axum::Router;
use axum::http::header;
use axum::middleware;
use axum::response::{Html, IntoResponse, Response};
use tower_http::compression::CompressionLayer;

/// The whole server.
pub fn router(state: AppState) -> Router {
    Router::new()
        .merge(events::router())
        .merge(assets::router())
        .merge(labels::router())
        .merge(photos::router())
        .merge(set_up::router())
        .merge(pairing::router())
        .merge(devices::router())
        .merge(shell::router())
        .merge(pages::router())
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(state.clone(), gate::check))
        .layer(middleware::from_fn_with_state(state.clone(), guard::check))
        .with_state(state)
}

/// A document that has no program: its own style sheet, forms to its own server, and nothing else.
const PLAIN_PAGE: &str = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// One of the pages that are no part of the program. Never kept: they show codes and devices.
fn page_of(html: String) -> Response {
    let headers = [(header::CONTENT_SECURITY_POLICY, PLAIN_PAGE), (header::CACHE_CONTROL, "no-store")];
    (headers, Html(html)).into_response()
}

#[cfg(test)]
mod gate_tests;
