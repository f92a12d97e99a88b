//! Every URL, one file per family, behind one guard.
//!
//! What this does not do: serve anything by itself.

pub mod assets;
pub mod events;
pub mod guard;
pub mod labels;
pub mod pages;
pub mod photos;

use crate::state::AppState;
use axum::Router;
use axum::middleware;
use tower_http::compression::CompressionLayer;

/// The whole server.
pub fn router(state: AppState) -> Router {
    Router::new()
        .merge(events::router())
        .merge(assets::router())
        .merge(labels::router())
        .merge(photos::router())
        .merge(pages::router())
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(state.clone(), guard::check))
        .with_state(state)
}
