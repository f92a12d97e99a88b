//! What an API request gets when it cannot be done, and why the server as a whole stops.
//!
//! A 4xx says what to do. A 5xx body is a constant; the detail goes to one log line, here.
use crate::store::{Epoch, StoreError};
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::io;
use thiserror::Error;

/// Why the server stopped.
#[derive(Debug, Error)]
pub enum ServerError {
    /// The store's word.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The network's word.
    #[error("the server stopped listening ({0}); start it again")]
    Listen(#[from] io::Error),
}

/// Why an API request was not done.
#[derive(Debug, Error)]
pub enum ApiError {
    /// The request was not one that is understood.
    #[error("{text}")]
    Request {
        /// A 4xx.
        status: StatusCode,
        /// What is wrong and what is wanted.
        text: String,
    },
    /// The store could not do it.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The body of every refusal.
#[derive(Debug, Serialize)]
struct Refusal {
    /// So that a device notices a restore even from a refusal.
    #[serde(skip_serializing_if = "Option::is_none")]
    epoch: Option<Epoch>,
    error: String,
}

impl ApiError {
    /// A 4xx with its text.
    pub fn request(status: StatusCode, text: impl Into<String>) -> Self {
        Self::Request { status, text: text.into() }
    }

    /// The answer, with the store's epoch in it.
    #[must_use]
    pub fn answer(self, epoch: Option<Epoch>) -> Response {
        let (status, error) = self.told();
        if status.is_server_error() {
            tracing::error!(cause = %self, status = status.as_u16(), "a request could not be done");
        }
        (status, Json(Refusal { epoch, error })).into_response()
    }

    fn told(&self) -> (StatusCode, String) {
        let (status, text) = match self {
            Self::Request { status, text } => return (*status, text.clone()),
            Self::Store(StoreError::TooLong { .. }) => {
                return (StatusCode::PAYLOAD_TOO_LARGE, self.to_string());
            }
            Self::Store(StoreError::Write { .. }) => (
                StatusCode::INSUFFICIENT_STORAGE,
                "the server could not write to its disk; nothing was recorded; make room on it and try again",
            ),
            Self::Store(StoreError::Closed) => {
                (StatusCode::SERVICE_UNAVAILABLE, "the server is stopping; try again in a moment")
            }
            Self::Store(StoreError::Index { .. }) => (
                StatusCode::SERVICE_UNAVAILABLE,
                "the server could not keep its index; make room on its disk if it is full, then try again",
            ),
            Self::Store(_) => {
                (StatusCode::INTERNAL_SERVER_ERROR, "the server failed; see its log, then try again")
            }
        };
        (status, text.to_owned())
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        self.answer(None)
    }
}
