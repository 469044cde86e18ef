//! Bodies that are refused, heard to their end all the same.
//!
//! A browser sends a whole file before it reads the answer, and takes a connection that is closed meanwhile for a broken
//! one. So what is still coming of a file that is refused is taken in and thrown away.

use std::time::Duration;

use axum::body::Body;
use axum::http::{HeaderMap, header};
use http_body_util::BodyExt as _;

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
