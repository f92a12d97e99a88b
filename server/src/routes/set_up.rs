//! `/set-up` and the studio's certificate: what a phone needs before it can trust anything.
//!
//! Everybody may have it, over plain HTTP too. The certificate's key never leaves the server's folder.
use super::devices::square;
use super::page_of;
use crate::access::Offer;
use crate::assets;
use crate::error::ApiError;
use crate::network::profile;
use crate::state::AppState;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::net::{IpAddr, SocketAddr};
use tripoise_ui::network::{self, SetUpPage};

/// The family.
pub fn router() -> Router<AppState> {
    Router::new()
        .route("/set-up", get(show))
        .route("/studio-ca.crt", get(certificate))
        .route("/studio-ca.mobileconfig", get(for_ios))
}

async fn show(State(state): State<AppState>) -> Response {
    let page = state.access.offer.as_ref().and_then(|offer| page(offer, &state.access.told()));
    page_of(network::set_up(page, assets::names().map_or("", |names| names.css)))
}

fn page(offer: &Offer, told: &[IpAddr]) -> Option<SetUpPage> {
    // By address, since a phone that is not set up may not find the name yet.
    let first = told.first().map_or_else(
        || format!("http://{}:{}/set-up", offer.host, offer.http_port),
        |address| format!("http://{}/set-up", SocketAddr::new(*address, offer.http_port)),
    );
    let by_address = told
        .iter()
        .map(|address| format!("https://{}/pair", SocketAddr::new(*address, offer.https_port)))
        .collect();
    Some(SetUpPage {
        fingerprint: offer.fingerprint.clone(),
        first: square(&first)?,
        then: square(&offer.pair_url())?,
        by_address,
    })
}

async fn certificate(State(state): State<AppState>) -> Result<Response, ApiError> {
    let offer = state.access.offer.as_ref().ok_or_else(no_certificate)?;
    let headers = [
        // The type that phones open as a certificate to install.
        (header::CONTENT_TYPE, "application/x-x509-ca-cert"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"studio-ca.crt\""),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    Ok((headers, offer.authority_der.clone()).into_response())
}

async fn for_ios(State(state): State<AppState>) -> Result<Response, ApiError> {
    let offer = state.access.offer.as_ref().ok_or_else(no_certificate)?;
    let headers =
        [(header::CONTENT_TYPE, "application/x-apple-aspen-config"), (header::CACHE_CONTROL, "no-cache")];
    Ok((headers, profile::text(&offer.authority_pem, &offer.host)).into_response())
}

fn no_certificate() -> ApiError {
    let text = "there is no certificate to install; the server was started without --lan";
    ApiError::request(StatusCode::NOT_FOUND, text)
}
