//! The body of a question: JSON, whole, not too long, and in time.

use std::error::Error as _;
use std::time::Duration;

use axum::body::{Bytes, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::Response;

use super::body::stated_length;
use super::refused;
use crate::refusal::{Code, LONGEST_ASK, Refusal, too_long};

/// Which answer about an audition is still there; nothing where all of it is wanted.
const HAS: &str = "solderlast-has";

/// Which answer who asks still has, by the name it was given; empty for none that is known by name.
#[must_use]
pub fn has(headers: &HeaderMap) -> Option<String> {
    headers.get(HAS).map(|has| has.to_str().unwrap_or_default().to_owned())
}

/// Reads the body of a question within `patience`.
///
/// # Errors
/// The answer to send instead: the body is not said to be JSON, is longer than [`LONGEST_ASK`], comes too slowly, or ends
/// before it is whole. Nothing of it has been looked at then.
pub async fn read(request: Request, patience: Duration) -> Result<Bytes, Box<Response>> {
    if !is_json(request.headers()) {
        let refusal =
            Refusal::new(Code::NotJson, "A question has to be sent as application/json. Nothing was written.");
        return Err(Box::new(refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, &refusal)));
    }
    if stated_length(request.headers()).is_some_and(|length| length > LONGEST_ASK as u64) {
        return Err(Box::new(refused(StatusCode::PAYLOAD_TOO_LARGE, &too_long())));
    }
    match tokio::time::timeout(patience, to_bytes(request.into_body(), LONGEST_ASK)).await {
        Ok(Ok(body)) => Ok(body),
        Ok(Err(error)) if error.source().is_some_and(|cause| cause.is::<http_body_util::LengthLimitError>()) => {
            Err(Box::new(refused(StatusCode::PAYLOAD_TOO_LARGE, &too_long())))
        }
        Ok(Err(_)) => {
            let refusal = Refusal::new(
                Code::CutOff,
                "The question ended before it was whole. Nothing was written. Send it again.",
            );
            Err(Box::new(refused(StatusCode::BAD_REQUEST, &refusal)))
        }
        Err(_) => {
            let refusal = Refusal::new(
                Code::TooSlow,
                "The question took too long to arrive. Nothing was written. Send it again.",
            );
            Err(Box::new(refused(StatusCode::REQUEST_TIMEOUT, &refusal)))
        }
    }
}

fn is_json(headers: &HeaderMap) -> bool {
    let mut kinds = headers.get_all(header::CONTENT_TYPE).iter();
    let kind = kinds.next().and_then(|kind| kind.to_str().ok()).and_then(|kind| kind.split(';').next());
    kind.is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json")) && kinds.next().is_none()
}
