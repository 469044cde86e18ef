//! Bodies that come in part after part, and those that are refused, heard to their end all the same.
//!
//! A browser sends a whole file before it reads the answer, and takes a connection that is closed meanwhile for a broken
//! one. So what is still coming of a file that is refused is taken in and thrown away.

use std::time::Duration;

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::Response;
use http_body_util::BodyExt as _;

use super::{json, refused};
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal};

/// How much is taken in and thrown away: 4 GB, the most that a bundle may have. Longer ones hear nothing.
const MOST: u64 = 4_000_000_000;

/// Hears a body to its end, each part within `patience`; nothing of it is kept.
pub(super) async fn hear_out(mut body: Body, patience: Duration) {
    let mut heard = 0;
    while let Ok(Some(Ok(frame))) = tokio::time::timeout(patience, body.frame()).await {
        heard += frame.data_ref().map_or(0, |data| data.len() as u64);
        if heard > MOST {
            return;
        }
    }
}

/// How long a body is, as its sender said.
pub(super) fn stated_length(headers: &HeaderMap) -> Option<u64> {
    headers.get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

/// Whether the sender waits for a word before it sends the body. It can be refused at once then.
pub(super) fn waits_for_a_word(headers: &HeaderMap) -> bool {
    headers.get(header::EXPECT).is_some_and(|expects| expects.as_bytes().eq_ignore_ascii_case(b"100-continue"))
}

/// Begins to receive a file, and hands it the body part after part; each has to come within `patience`. `what` begins a sentence:
/// `The take`.
pub(super) async fn received<R: Send + 'static>(
    what: &str,
    body: &mut Body,
    patience: Duration,
    begin: impl FnOnce() -> Result<R, Refusal> + Send + 'static,
    take: fn(&mut R, &[u8]) -> Result<(), Refusal>,
) -> Result<R, Box<Response>> {
    let faulty = |refusal: Refusal| Box::new(refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal));
    let said = |refusal: Refusal| Box::new(json(StatusCode::OK, refusal.answer()));
    let mut receiving = off_the_loop(begin).await.map_err(faulty)?.map_err(said)?;
    loop {
        let frame = match tokio::time::timeout(patience, body.frame()).await {
            Ok(Some(Ok(frame))) => frame,
            Ok(None) => return Ok(receiving),
            Ok(Some(Err(_))) => {
                let sentence = format!("{what} ended before it was whole. Nothing was kept. Send it again.");
                let refusal = Refusal::new(Code::CutOff, sentence);
                return Err(Box::new(refused(StatusCode::BAD_REQUEST, &refusal)));
            }
            Err(_) => {
                let sentence = format!("{what} took too long to arrive. Nothing was kept. Send it again.");
                let refusal = Refusal::new(Code::TooSlow, sentence);
                return Err(Box::new(refused(StatusCode::REQUEST_TIMEOUT, &refusal)));
            }
        };
        let Ok(part) = frame.into_data() else { continue };
        let taken = off_the_loop(move || {
            let taken = take(&mut receiving, &part);
            (receiving, taken)
        });
        let (back, taken) = taken.await.map_err(faulty)?;
        receiving = back;
        taken.map_err(said)?;
    }
}
