//! `/devices`: the paired devices, for this machine and for any of them; codes, for this machine only.
use super::{page_of, pairing};
use crate::access::devices::{Device, clean_name};
use crate::access::visit::{Visit, Visitor};
use crate::access::{Access, Reach};
use crate::assets;
use crate::error::ApiError;
use crate::network::NetworkError;
use crate::state::AppState;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Form, Router};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::Deserialize;
use std::sync::Arc;
use tripoise_core::label::Symbol;
use tripoise_ui::network::{self, DeviceLine, DevicesPage, ShownCode, Square};
use uuid::Uuid;

/// House choice: an id and a name fit many times over.
const MAX_FORM_BYTES: usize = 8 * 1024;

/// The family.
pub fn router() -> Router<AppState> {
    Router::new().route("/devices", get(show).post(take).layer(DefaultBodyLimit::max(MAX_FORM_BYTES)))
}

/// What `POST` takes.
#[derive(Debug, Deserialize)]
struct Asked {
    r#do: String,
    device: Option<Uuid>,
    #[serde(default)]
    name: String,
}

async fn show(State(state): State<AppState>, Extension(visit): Extension<Visit>) -> Response {
    let access = Arc::clone(&state.access);
    let made = tokio::task::spawn_blocking(move || page(&access, &visit, None)).await;
    match made {
        Ok(Ok(page)) => page,
        Ok(Err(cause)) => failed(&cause),
        Err(cause) => failed(&cause),
    }
}

async fn take(
    State(state): State<AppState>,
    Extension(visit): Extension<Visit>,
    Form(asked): Form<Asked>,
) -> Response {
    let access = Arc::clone(&state.access);
    let done = tokio::task::spawn_blocking(move || {
        match act(&access, &visit, &asked) {
        Ok(()) => Ok(Redirect::to("/devices").into_response()),
        Err(Refused::Typed(text)) => page(&access, &visit, Some(text)).map(|mut answer| {
            *answer.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            answer
        }),
        Err(Refused::NotHere) => Ok(ApiError::request(
            StatusCode::FORBIDDEN,
            "pairing codes are made on the machine that Tripoise runs on: on its page /devices, or with tripoise pair",
        )
        .into_response()),
        Err(Refused::Failed(cause)) => Err(cause),
    }
    });
    match done.await {
        Ok(Ok(answer)) => answer,
        Ok(Err(cause)) => failed(&cause),
        Err(cause) => failed(&cause),
    }
}

enum Refused {
    Typed(String),
    NotHere,
    Failed(NetworkError),
}

impl From<NetworkError> for Refused {
    fn from(cause: NetworkError) -> Self {
        Self::Failed(cause)
    }
}

fn act(access: &Access, visit: &Visit, asked: &Asked) -> Result<(), Refused> {
    let now = Timestamp::now();
    let known = asked.device.filter(|id| access.devices.all().iter().any(|device| device.id == *id));
    match (asked.r#do.as_str(), known) {
        ("code", _) if makes_codes(access, visit) => {
            access.codes().make(now)?;
        }
        ("code", _) => return Err(Refused::NotHere),
        ("rename", Some(id)) => {
            let name = clean_name(&asked.name).ok_or_else(|| {
                Refused::Typed("Call the device something, in up to 40 letters.".to_owned())
            })?;
            access.devices.rename(id, &name)?;
        }
        ("revoke", Some(id)) => {
            access.devices.revoke(id, now)?;
            tracing::info!(device.id = %id, "shut a device out");
        }
        ("rename" | "revoke", None) => {
            return Err(Refused::Typed("No such device is listed. Look again.".to_owned()));
        }
        _ => return Err(Refused::Typed("Nothing is done that way here. Use the buttons.".to_owned())),
    }
    Ok(())
}

fn makes_codes(access: &Access, visit: &Visit) -> bool {
    visit.visitor == Visitor::ThisMachine && pairing::can_pair(&access.reach)
}

fn page(access: &Access, visit: &Visit, problem: Option<String>) -> Result<Response, NetworkError> {
    let now = Timestamp::now();
    let makes_codes = makes_codes(access, visit);
    let current = if makes_codes { access.codes().current(now)? } else { None };
    let code = current.map(|current| ShownCode {
        code: current.code.to_string(),
        until: local(current.until, "%H:%M"),
        square: access
            .offer
            .as_ref()
            .and_then(|offer| square(&format!("{}?code={}", offer.pair_url(), current.code.letters()))),
    });
    let (you, this) = match &visit.visitor {
        Visitor::Device(device) => {
            (format!("You are looking from \u{201c}{}\u{201d}.", device.name), Some(device.id))
        }
        _ => {
            let text = "You are looking from the machine that Tripoise runs on: it needs no pairing, whoever sits at it can read the store anyway.";
            (text.to_owned(), None)
        }
    };
    let alone = (access.reach == Reach::ThisMachine)
        .then(|| "Only this machine is served. To let phones in, start the server with --lan.".to_owned());
    let devices = access.devices.all().into_iter().map(|device| line(device, this)).collect();
    let has_set_up = access.offer.is_some();
    let page = DevicesPage { you, makes_codes, alone, code, has_set_up, devices, problem };
    Ok(page_of(network::devices(page, assets::names().map_or("", |names| names.css))))
}

fn line(device: Device, this: Option<Uuid>) -> DeviceLine {
    DeviceLine {
        id: device.id.to_string(),
        name: device.name,
        paired: local(device.paired_at, "%Y-%m-%d"),
        seen: local(device.seen_at, "%Y-%m-%d, about %H:%M"),
        revoked: device.revoked_at.map(|at| local(at, "%Y-%m-%d")),
        is_this: this == Some(device.id),
    }
}

/// A moment by the clock on the studio's wall.
fn local(at: Timestamp, format: &str) -> String {
    at.to_zoned_datetime(TimeZone::system()).strftime(format).to_string()
}

/// An address as a symbol; `None` where it is too long for one.
pub(super) fn square(text: &str) -> Option<Square> {
    let symbol = Symbol::of(text).ok()?;
    Some(Square { text: text.to_owned(), side: symbol.side_with_quiet(), path: symbol.path() })
}

fn failed(cause: &dyn std::fmt::Display) -> Response {
    tracing::error!(%cause, "the list of devices could not be kept");
    let text = "the server could not write to its disk; make room on it and try again";
    ApiError::request(StatusCode::INSUFFICIENT_STORAGE, text).into_response()
}
