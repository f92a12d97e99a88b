//! `/pair`: a code and a name make a device known; it gets its cookie.
//!
//! `GET` only shows the form, with the code from the QR symbol filled in: programs that fetch a link to
//! preview it take nothing. The code is taken by the `POST` that a person's tap sends.
use super::page_of;
use crate::access::code::PairingCode;
use crate::access::devices::{self, Token};
use crate::access::visit::{Door, Visit, Visitor, set_cookie};
use crate::access::{Access, Reach};
use crate::assets;
use crate::network::NetworkError;
use crate::state::AppState;
use axum::extract::rejection::QueryRejection;
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Form, Router};
use jiff::Timestamp;
use serde::Deserialize;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tripoise_ui::network::{self, PairPage};

/// House choice: a code, a name and an address fit four times over.
const MAX_FORM_BYTES: usize = 8 * 1024;

/// The family.
pub fn router() -> Router<AppState> {
    Router::new().route("/pair", get(show).post(pair).layer(DefaultBodyLimit::max(MAX_FORM_BYTES)))
}

/// What `GET` and `POST` take.
#[derive(Debug, Default, Deserialize)]
struct Asked {
    #[serde(default)]
    code: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    next: String,
}

async fn show(
    State(state): State<AppState>,
    Extension(visit): Extension<Visit>,
    asked: Result<Query<Asked>, QueryRejection>,
) -> Response {
    let asked = asked.map(|Query(asked)| asked).unwrap_or_default();
    let needless = match &visit.visitor {
        Visitor::ThisMachine => Some("This is the studio's own machine: it needs no pairing.".to_owned()),
        Visitor::Device(device) => {
            Some(format!("This device is paired, as \u{201c}{}\u{201d}.", device.name))
        }
        Visitor::Stranger => None,
    };
    page(&state.access, &visit, asked, None, needless).into_response()
}

fn page(
    access: &Access,
    visit: &Visit,
    asked: Asked,
    problem: Option<String>,
    needless: Option<String>,
) -> Response {
    let page = PairPage {
        // Shown as a code is, where it is one.
        code: asked.code.parse::<PairingCode>().map_or(asked.code, |code| code.to_string()),
        name: asked.name,
        next: next(&asked.next).to_owned(),
        problem,
        needless,
        over_plain_http: !visit.is_secure_context(),
        has_set_up: access.offer.is_some(),
    };
    page_of(network::pair(page, assets::names().map_or("", |names| names.css)))
}

/// Why a device was not let in.
enum NotPaired {
    Typed(String),
    Wait(Duration),
    Failed(NetworkError),
}

async fn pair(
    State(state): State<AppState>,
    Extension(visit): Extension<Visit>,
    Form(asked): Form<Asked>,
) -> Response {
    if visit.visitor != Visitor::Stranger {
        return Redirect::to(next(&asked.next)).into_response();
    }
    let (access, address) = (Arc::clone(&state.access), visit.address);
    let (code, name) = (asked.code.clone(), asked.name.clone());
    let done = tokio::task::spawn_blocking(move || try_to_pair(&access, address, &code, &name)).await;
    let (status, problem, wait) = match done {
        Ok(Ok(token)) => return let_in(&token, visit.door, next(&asked.next)),
        Ok(Err(NotPaired::Typed(text))) => (StatusCode::UNPROCESSABLE_ENTITY, text, None),
        Ok(Err(NotPaired::Wait(wait))) => {
            let seconds = wait.as_secs() + 1;
            let text = format!("Too many wrong codes came lately. Wait {seconds} s, then tap again.");
            (StatusCode::TOO_MANY_REQUESTS, text, Some(seconds))
        }
        Ok(Err(NotPaired::Failed(cause))) => {
            tracing::error!(%cause, "a device could not be paired");
            let text =
                "The server could not write this down. Make room on its disk, make a new code, try again.";
            (StatusCode::INSUFFICIENT_STORAGE, text.to_owned(), None)
        }
        Err(cause) => {
            tracing::error!(%cause, "pairing was cut short");
            let text = "The server failed. Make a new code and try again.".to_owned();
            (StatusCode::INTERNAL_SERVER_ERROR, text, None)
        }
    };
    let mut answer = page(&state.access, &visit, asked, Some(problem), None);
    *answer.status_mut() = status;
    if let Some(seconds) = wait {
        answer.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
    }
    answer
}

fn try_to_pair(
    access: &Access,
    address: std::net::IpAddr,
    code: &str,
    name: &str,
) -> Result<Token, NotPaired> {
    // Looked at before the code, so that a slip in the name does not cost the code.
    let name = devices::clean_name(name).ok_or_else(|| {
        NotPaired::Typed(format!("Call the device something, in up to {} letters.", devices::LONGEST_NAME))
    })?;
    let code: PairingCode = code.parse().map_err(|_| {
        NotPaired::Typed(
            "A pairing code has eight letters, none of them a vowel. Type it as it is shown.".to_owned(),
        )
    })?;
    // Held from the look to the count, so that tries at the same moment do not all pass.
    let mut delays = access.delays();
    if let Some(wait) = delays.wait(address, Instant::now()) {
        return Err(NotPaired::Wait(wait));
    }
    if !access.codes().take(&code, Timestamp::now()).map_err(NotPaired::Failed)? {
        delays.wrong(address, Instant::now());
        return Err(NotPaired::Typed(
            "That is not the code that is good now. Codes are good once, for ten minutes: make a new one on the studio's machine."
                .to_owned(),
        ));
    }
    delays.right(address);
    drop(delays);
    let (device, token) = access.devices.pair(&name, Timestamp::now()).map_err(NotPaired::Failed)?;
    tracing::info!(device.id = %device.id, "paired a device");
    Ok(token)
}

fn let_in(token: &Token, door: Door, next: &str) -> Response {
    let mut answer = Redirect::to(next).into_response();
    if let Some((name, value)) = set_cookie(token.as_str(), door) {
        answer.headers_mut().insert(name, value);
    }
    answer.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    answer
}

/// Where to go afterwards: a path of our own, else the first page. `//host` and `/\host` name other sites.
fn next(asked: &str) -> &str {
    let ours = asked.starts_with('/')
        && !asked[1..].starts_with(['/', '\\'])
        && asked.bytes().all(|byte| byte.is_ascii_graphic())
        && !asked.starts_with("/pair");
    if ours { asked } else { "/" }
}

/// Whether devices can be paired at all.
#[must_use]
pub const fn can_pair(reach: &Reach) -> bool {
    !matches!(reach, Reach::ThisMachine)
}

#[cfg(test)]
mod tests {
    use super::next;

    #[test]
    fn after_pairing_nobody_is_sent_to_another_site() {
        for (asked, goes_to) in [
            ("/shelf/F07?done=1", "/shelf/F07?done=1"),
            ("/", "/"),
            ("", "/"),
            ("//evil.example/", "/"),
            ("/\\evil.example", "/"),
            ("https://evil.example/", "/"),
            ("/a\r\nset-cookie: x", "/"),
            ("/\t/evil.example", "/"),
            ("/pair?next=%2F", "/"),
        ] {
            assert_eq!(next(asked), goes_to, "{asked:?}");
        }
    }
}
