//! Photos: a file of up to 24 MiB comes in, which is more than a question may be; and a kept one goes out.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::Request;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use http_body_util::BodyExt as _;
use serde_json::Value;
use solderlast_core::ask::{Bench, in_json};
use solderlast_core::audition::{AuditionId, Look};
use solderlast_core::logbook::EntryId;
use solderlast_core::photos::{MEDIA_TYPE, MOST_BYTES, PhotoRefusal};
use tokio::sync::Semaphore;

use super::{json, refused};
use crate::refusal::{Refusal, refused as refused_json};
use crate::workshop::off_the_loop;

/// How much of a file that is too heavy is taken in and thrown away, so that a browser hears the answer: 64 MiB.
const MOST_HEARD_OUT: u64 = 64 * 1024 * 1024;
/// A file takes longer than a question.
const LONGER: u32 = 6;
/// How many photos are taken in at a time; each holds its file and its decoded picture in memory.
static AT_A_TIME: Semaphore = Semaphore::const_new(2);

/// Whose photo it is: the names are those of an ask that writes.
#[derive(Debug, Clone, Copy)]
pub struct Taken {
    /// The audition, or for a photo of the wiring the install.
    pub audition: AuditionId,
    /// The new entry.
    pub entry: EntryId,
    /// Before, after, or of the wiring.
    pub look: Look,
}

impl Taken {
    /// Reads the three words of an address or of headers.
    ///
    /// # Errors
    /// A refusal when one of them is not what it should be.
    pub fn read(audition: &str, entry: &str, look: &str) -> Result<Self, Refusal> {
        let wrong =
            |field| Refusal::new("not-understood", "This is no place for a photo. Nothing was kept.").about(field);
        let word = |text: &str| Value::String(text.to_owned());
        Ok(Self {
            audition: serde_json::from_value(word(audition)).map_err(|_| wrong("audition"))?,
            entry: serde_json::from_value(word(entry)).map_err(|_| wrong("entry"))?,
            look: serde_json::from_value(word(look)).map_err(|_| wrong("look"))?,
        })
    }
}

/// Takes the photo in the body of this request, within six times `patience`.
pub async fn take(bench: Arc<Bench>, taken: Result<Taken, Refusal>, request: Request, patience: Duration) -> Response {
    let taken = match taken {
        Ok(taken) => taken,
        Err(refusal) => return refused(StatusCode::BAD_REQUEST, &refusal),
    };
    if !is_file(request.headers()) {
        let refusal = Refusal::new("not-a-file", "A photo has to be sent as a picture file. Nothing was kept.");
        return refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, &refusal);
    }
    let read = async {
        let place = AT_A_TIME.acquire().await;
        (place, whole(request).await)
    };
    let Ok((_place, read)) = tokio::time::timeout(patience * LONGER, read).await else {
        let refusal = Refusal::new("too-slow", "The photo took too long to arrive. Nothing was kept. Send it again.");
        return refused(StatusCode::REQUEST_TIMEOUT, &refusal);
    };
    match read {
        Ok(file) => json(StatusCode::OK, kept(bench, taken, file).await),
        Err(NotWhole::TooHeavy(bytes)) => {
            let refusal: solderlast_core::ask::Refusal = PhotoRefusal::TooHeavy(bytes).into();
            json(StatusCode::PAYLOAD_TOO_LARGE, refused_json(&refusal))
        }
        Err(NotWhole::CutOff) => {
            let refusal =
                Refusal::new("cut-off", "The photo ended before it was whole. Nothing was kept. Send it again.");
            refused(StatusCode::BAD_REQUEST, &refusal)
        }
    }
}

/// Hands a whole file to the bench, and gives its answer as JSON.
pub async fn kept(bench: Arc<Bench>, taken: Taken, file: Vec<u8>) -> Vec<u8> {
    let Taken { audition, entry, look } = taken;
    let answer = off_the_loop(move || in_json(&bench.take_photo(entry, audition, look, &file))).await;
    answer.unwrap_or_else(|refusal| refusal.answer())
}

/// A kept photo.
pub async fn give(bench: Arc<Bench>, name: String) -> Response {
    match off_the_loop(move || bench.photo(&name)).await {
        Ok(Ok(bytes)) => ([(header::CONTENT_TYPE, MEDIA_TYPE)], bytes).into_response(),
        Ok(Err(refusal)) => json(StatusCode::NOT_FOUND, refused_json(&refusal)),
        Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    }
}

enum NotWhole {
    TooHeavy(usize),
    CutOff,
}

async fn whole(request: Request) -> Result<Vec<u8>, NotWhole> {
    let stated: Option<u64> =
        request.headers().get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse().ok());
    let in_memory = |bytes: u64| usize::try_from(bytes).unwrap_or(usize::MAX);
    if let Some(bytes) = stated.filter(|bytes| *bytes > MOST_HEARD_OUT) {
        return Err(NotWhole::TooHeavy(in_memory(bytes)));
    }
    let mut body = request.into_body();
    let (mut file, mut heard) = (Vec::new(), 0_u64);
    while let Some(frame) = body.frame().await {
        let Ok(frame) = frame else { return Err(NotWhole::CutOff) };
        let Ok(data) = frame.into_data() else { continue };
        heard += data.len() as u64;
        if heard <= MOST_BYTES as u64 {
            file.extend_from_slice(&data);
        } else {
            file = Vec::new();
        }
        if heard > MOST_HEARD_OUT {
            break;
        }
    }
    if heard > MOST_BYTES as u64 { Err(NotWhole::TooHeavy(in_memory(heard))) } else { Ok(file) }
}

fn is_file(headers: &HeaderMap) -> bool {
    let mut kinds = headers.get_all(header::CONTENT_TYPE).iter();
    let kind = kinds.next().and_then(|kind| kind.to_str().ok()).map(str::to_ascii_lowercase).unwrap_or_default();
    (kind.starts_with("image/") || kind == "application/octet-stream") && kinds.next().is_none()
}
