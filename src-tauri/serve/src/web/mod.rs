//! What both doors need to speak HTTP carefully: connections with limits, a gate for strangers, headers, and the pages.

mod body;
pub mod bundle;
pub mod cookies;
pub mod folder;
pub mod gate;
pub mod headers;
pub mod heard;
pub mod listening;
pub mod pages;
pub mod photo;
mod pouring;
pub mod query;
pub mod question;
pub mod take;

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use crate::refusal::Refusal;

/// A JSON answer.
#[must_use]
pub fn json(status: StatusCode, answer: Vec<u8>) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], answer).into_response()
}

/// A refusal with its status.
#[must_use]
pub fn refused(status: StatusCode, refusal: &Refusal) -> Response {
    json(status, refusal.answer())
}
