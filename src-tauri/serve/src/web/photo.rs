//! Photos: a file of up to 24 MiB comes in, which is more than a question may be; and a kept one goes out.

use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use http_body_util::BodyExt as _;
use serde_json::Value;
use solderlast_core::ask::{Bench, in_json};
use solderlast_core::logbook::photos::{MEDIA_TYPE, MOST_BYTES, PhotoRefusal};
use solderlast_core::record::audition::{AuditionId, PhotoKind};
use solderlast_core::record::names::EntryId;
use tokio::sync::Semaphore;

use super::body::{hear_out, stated_length, waits_for_a_word};
use super::{json, refused};
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal};

/// A file takes longer than a question.
const LONGER: u32 = 6;
/// How many photos come in at a time; each holds its file in memory.
static AT_A_TIME: Semaphore = Semaphore::const_new(2);
/// How many are decoded at a time; each holds its picture in memory, which is several times its file.
static DECODED: Semaphore = Semaphore::const_new(1);

/// Whose photo it is: the names are those of an ask that writes.
#[derive(Debug, Clone, Copy)]
pub struct PhotoPlace {
    /// The audition, or for a photo of the wiring the install.
    pub audition: AuditionId,
    /// The new entry.
    pub entry: EntryId,
    /// Before, after, or of the wiring.
    pub look: PhotoKind,
}

impl PhotoPlace {
    /// Reads the three words of an address or of headers.
    ///
    /// # Errors
    /// A refusal when one of them is not what it should be.
    pub fn read(audition: &str, entry: &str, look: &str) -> Result<Self, Refusal> {
        let wrong = |field| Refusal::new(Code::Unclear, "This is no place for a photo. Nothing was kept.").about(field);
        let word = |text: &str| Value::String(text.to_owned());
        Ok(Self {
            audition: serde_json::from_value(word(audition)).map_err(|_| wrong("audition"))?,
            entry: serde_json::from_value(word(entry)).map_err(|_| wrong("entry"))?,
            look: serde_json::from_value(word(look)).map_err(|_| wrong("look"))?,
        })
    }
}

/// Takes the photo in the body of this request, within six times `patience`.
pub async fn take(
    bench: Arc<Bench>,
    taken: Result<PhotoPlace, Refusal>,
    request: Request,
    patience: Duration,
) -> Response {
    let taken = match taken {
        Ok(taken) => taken,
        Err(refusal) => return refused(StatusCode::BAD_REQUEST, &refusal),
    };
    if !is_file(request.headers()) {
        let refusal = Refusal::new(Code::NotAFile, "A photo has to be sent as a picture file. Nothing was kept.");
        return refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, &refusal);
    }
    let stated = stated_length(request.headers());
    if let Some(bytes) = stated.filter(|bytes| *bytes > MOST_BYTES as u64) {
        if !waits_for_a_word(request.headers()) {
            hear_out(request.into_body(), patience).await;
        }
        return too_heavy(bytes);
    }
    let mut body = request.into_body();
    let read = async {
        let place = AT_A_TIME.acquire().await;
        (place, whole(&mut body, stated).await)
    };
    let Ok((place, read)) = tokio::time::timeout(patience * LONGER, read).await else {
        let refusal =
            Refusal::new(Code::TooSlow, "The photo took too long to arrive. Nothing was kept. Send it again.");
        return refused(StatusCode::REQUEST_TIMEOUT, &refusal);
    };
    match read {
        Ok(file) => json(StatusCode::OK, kept(bench, taken, file).await),
        Err(NotWhole::TooHeavy(bytes)) => {
            drop(place);
            hear_out(body, patience).await;
            too_heavy(bytes)
        }
        Err(NotWhole::CutOff) => {
            let refusal =
                Refusal::new(Code::CutOff, "The photo ended before it was whole. Nothing was kept. Send it again.");
            refused(StatusCode::BAD_REQUEST, &refusal)
        }
    }
}

/// Hands a whole file to the bench, and gives its answer as JSON.
pub async fn kept(bench: Arc<Bench>, taken: PhotoPlace, file: Vec<u8>) -> Vec<u8> {
    let PhotoPlace { audition, entry, look } = taken;
    let _one = DECODED.acquire().await;
    let answer = off_the_loop(move || in_json(&bench.take_photo(entry, audition, look, &file))).await;
    answer.unwrap_or_else(|refusal| refusal.answer())
}

/// A kept photo.
pub async fn give(bench: Arc<Bench>, name: String) -> Response {
    match off_the_loop(move || bench.photo(&name)).await {
        Ok(Ok(bytes)) => ([(header::CONTENT_TYPE, MEDIA_TYPE)], bytes).into_response(),
        Ok(Err(refusal)) => json(StatusCode::NOT_FOUND, refusal.answer()),
        Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    }
}

fn too_heavy(bytes: u64) -> Response {
    let refusal: solderlast_core::ask::Refusal =
        PhotoRefusal::TooHeavy(usize::try_from(bytes).unwrap_or(usize::MAX)).into();
    json(StatusCode::PAYLOAD_TOO_LARGE, refusal.answer())
}

enum NotWhole {
    TooHeavy(u64),
    CutOff,
}

/// The file in a body that is stated to be no longer than it may, or not stated at all.
async fn whole(body: &mut Body, stated: Option<u64>) -> Result<Vec<u8>, NotWhole> {
    // In one piece, or a file that grows would take twice its room.
    let mut file = Vec::with_capacity(stated.and_then(|bytes| usize::try_from(bytes).ok()).unwrap_or(0));
    while let Some(frame) = body.frame().await {
        let Ok(frame) = frame else { return Err(NotWhole::CutOff) };
        let Ok(data) = frame.into_data() else { continue };
        if file.len() + data.len() > MOST_BYTES {
            return Err(NotWhole::TooHeavy((file.len() + data.len()) as u64));
        }
        file.extend_from_slice(&data);
    }
    Ok(file)
}

fn is_file(headers: &HeaderMap) -> bool {
    let mut kinds = headers.get_all(header::CONTENT_TYPE).iter();
    let kind = kinds.next().and_then(|kind| kind.to_str().ok()).map(str::to_ascii_lowercase).unwrap_or_default();
    (kind.starts_with("image/") || kind == "application/octet-stream") && kinds.next().is_none()
}
