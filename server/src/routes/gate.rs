//! The gate: whoever is not this machine itself or a paired device gets the pairing set and nothing else.
//!
//! What is open is listed here, path by path; all else is shut, whatever routes there are or come to be.
//! So a new route needs no thought, and a test walks them all.
//!
//! What this does not do: ask what a device may do. A paired one may do everything; roles will be asked
//! here.
use crate::access::Reach;
use crate::access::visit::{Visit, Visitor, renewed_cookie};
use crate::assets;
use crate::error::ApiError;
use crate::state::AppState;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use std::sync::Arc;

/// What a stranger may read: how to set a phone up, and the page that pairs it.
pub const OPEN_TO_READ: [&str; 4] = ["/set-up", "/studio-ca.crt", "/studio-ca.mobileconfig", "/pair"];

/// What a stranger may send: the pairing form.
pub const OPEN_TO_SEND: [&str; 1] = ["/pair"];

/// The gate, as a layer around every route. Leaves the [`Visit`] for handlers, and on the answer.
pub async fn check(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let visit = Visit::of(&state.access, &request);
    let mut answer = pass(&state, visit.clone(), request, next).await;
    answer.extensions_mut().insert(visit);
    answer
}

async fn pass(state: &AppState, visit: Visit, mut request: Request, next: Next) -> Response {
    if visit.visitor == Visitor::Stranger {
        if state.access.reach == Reach::ThisMachine {
            return passed_on().into_response();
        }
        if !is_open(request.method(), request.uri().path()) {
            return refuse(request.method(), request.uri(), request.headers());
        }
    }
    let renewed = match &visit.visitor {
        Visitor::Device(device) => {
            let (access, id) = (Arc::clone(&state.access), device.id);
            let seen = tokio::task::spawn_blocking(move || access.devices.seen(id, Timestamp::now()));
            match seen.await {
                Ok(Ok(true)) => renewed_cookie(request.headers(), visit.door, &state.access),
                Ok(Ok(false)) | Err(_) => None,
                Ok(Err(cause)) => {
                    tracing::warn!(%cause, "when a device was seen could not be kept");
                    None
                }
            }
        }
        _ => None,
    };
    request.extensions_mut().insert(visit);
    let mut answer = next.run(request).await;
    if let Some((name, value)) = renewed {
        answer.headers_mut().entry(name).or_insert(value);
    }
    answer
}

/// Whether everybody may have it. The path is compared as it came, undecoded, as routes are.
fn is_open(method: &Method, path: &str) -> bool {
    let style = assets::names().is_some_and(|names| names.css == path);
    match *method {
        Method::GET | Method::HEAD => style || OPEN_TO_READ.contains(&path),
        Method::POST => OPEN_TO_SEND.contains(&path),
        _ => false,
    }
}

/// A page is answered with the way to the pairing page, everything else with 401.
fn refuse(method: &Method, uri: &Uri, headers: &HeaderMap) -> Response {
    let reads = [Method::GET, Method::HEAD].contains(method);
    let takes_pages = headers
        .get_all(header::ACCEPT)
        .iter()
        .any(|accepted| accepted.to_str().is_ok_and(|accepted| accepted.contains("text/html")));
    let mut answer = if reads && takes_pages && !uri.path().starts_with("/api/") {
        let wanted = uri.path_and_query().map_or("/", |wanted| wanted.as_str());
        let next: String =
            form_urlencoded::Serializer::new(String::new()).append_pair("next", wanted).finish();
        Redirect::to(&format!("/pair?{next}")).into_response()
    } else {
        let text = "this device is not paired; open /pair with a code from the studio's own machine";
        ApiError::request(StatusCode::UNAUTHORIZED, text).into_response()
    };
    let headers = answer.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    // The answer depends on the cookie: no cache on the way may hand it to another.
    headers.insert(header::VARY, HeaderValue::from_static("cookie, accept"));
    answer
}

/// The server listens to this machine only, and yet the request came from elsewhere.
fn passed_on() -> ApiError {
    let text = "this request was passed on by a proxy, and the server was not told of one; start it with --behind-proxy NAME";
    ApiError::request(StatusCode::FORBIDDEN, text)
}
