//! Takes: a file of up to 200 MB comes in part after part and is never held in memory whole; a kept one goes out, from any of its
//! bytes.

use std::io::{Read as _, Seek as _, SeekFrom};
use std::sync::Arc;
use std::time::Duration;

use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde_json::Value;
use solderlast_core::ask::{Bench, ReceivingTake, TakePlace, in_json};
use solderlast_core::record::entry::About;
use solderlast_core::record::take::LARGEST;
use solderlast_core::takes::file::Unreadable;
use solderlast_core::takes::keep::{MEDIA_TYPE, NotKept};
use tokio::sync::Semaphore;

use super::body::{hear_out, received, stated_length, waits_for_a_word};
use super::pouring::{pour, poured};
use super::{json, refused};
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal};

/// How many are heard and written at a time; each takes a processor for itself.
static HEARD: Semaphore = Semaphore::const_new(1);

/// Reads what a take is of, and as what it was made: the words of an address or of headers, the last of them JSON.
///
/// # Errors
/// A refusal when one of them is not what it should be.
pub fn place(thing: &str, id: &str, entry: &str, recorded: &str) -> Result<TakePlace, Refusal> {
    let wrong = |field| Refusal::new(Code::Unclear, "This is no place for a take. Nothing was kept.").about(field);
    let about: About =
        serde_json::from_value(serde_json::json!({"thing": thing, "id": id})).map_err(|_| wrong("about"))?;
    Ok(TakePlace {
        entry: serde_json::from_value(Value::String(entry.to_owned())).map_err(|_| wrong("entry"))?,
        about,
        recorded: serde_json::from_str(recorded).map_err(|_| wrong("recorded"))?,
    })
}

/// Takes in the recording in the body of this request. Each part has to come within `patience`.
pub async fn take(
    bench: Arc<Bench>,
    place: Result<TakePlace, Refusal>,
    request: Request,
    patience: Duration,
) -> Response {
    let place = match place {
        Ok(place) => place,
        Err(refusal) => return refused(StatusCode::BAD_REQUEST, &refusal),
    };
    if !is_file(request.headers()) {
        let refusal = Refusal::new(Code::NotAFile, "A take has to be sent as a sound file. Nothing was kept.");
        return refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, &refusal);
    }
    if let Some(bytes) = stated_length(request.headers()).filter(|bytes| *bytes > LARGEST) {
        if !waits_for_a_word(request.headers()) {
            hear_out(request.into_body(), patience).await;
        }
        let refusal: solderlast_core::ask::Refusal = NotKept::Unreadable(Unreadable::TooLarge { bytes }).into();
        return json(StatusCode::PAYLOAD_TOO_LARGE, refusal.answer());
    }
    let mut body = request.into_body();
    let open = Arc::clone(&bench);
    match received("The take", &mut body, patience, move || open.receive_take(), ReceivingTake::take).await {
        Ok(received) => json(StatusCode::OK, kept(bench, place, received).await),
        Err(answer) => {
            hear_out(body, patience).await;
            *answer
        }
    }
}

/// Hands a whole file to the bench, and gives its answer as JSON.
pub async fn kept(bench: Arc<Bench>, place: TakePlace, received: ReceivingTake) -> Vec<u8> {
    let _one = HEARD.acquire().await;
    let answer = off_the_loop(move || in_json(&bench.keep_take(&place, received))).await;
    answer.unwrap_or_else(|refusal| refusal.answer())
}

/// A kept take, or a part of it.
pub async fn give(bench: Arc<Bench>, name: String, headers: &HeaderMap) -> Response {
    let wanted = headers.get(header::RANGE).and_then(|range| range.to_str().ok()).and_then(range);
    let from_its_middle = matches!(wanted, Some(Wanted::From(from, _)) if from > 0);
    let (mut file, bytes) = match off_the_loop(move || bench.take_file(&name, from_its_middle)).await {
        Ok(Ok(found)) => found,
        Ok(Err(refusal)) => return json(StatusCode::NOT_FOUND, refusal.answer()),
        Err(refusal) => return refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    };
    let part = match wanted.map(|wanted| wanted.of(bytes)) {
        Some(None) => {
            let all = format!("bytes */{bytes}");
            return (StatusCode::RANGE_NOT_SATISFIABLE, [(header::CONTENT_RANGE, all)]).into_response();
        }
        Some(Some(part)) => Some(part),
        None => None,
    };
    let (first, length) = part.unwrap_or((0, bytes));
    let body = poured(move |out| {
        file.seek(SeekFrom::Start(first))?;
        pour(file.take(length), out)
    });
    let mut answer = ([(header::CONTENT_TYPE, MEDIA_TYPE), (header::ACCEPT_RANGES, "bytes")], body).into_response();
    answer.headers_mut().insert(header::CONTENT_LENGTH, HeaderValue::from(length));
    if part.is_some() {
        *answer.status_mut() = StatusCode::PARTIAL_CONTENT;
        let shown = format!("bytes {first}-{}/{bytes}", first + length - 1);
        if let Ok(shown) = HeaderValue::try_from(shown) {
            answer.headers_mut().insert(header::CONTENT_RANGE, shown);
        }
    }
    answer
}

/// The part of a file that is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wanted {
    /// From this byte to this one, or to the end.
    From(u64, Option<u64>),
    /// So many at the end.
    Last(u64),
}

/// Reads one range (RFC 9110); what asks for several, or makes no sense, is answered with the whole.
fn range(text: &str) -> Option<Wanted> {
    let (first, last) = text.strip_prefix("bytes=")?.split_once('-')?;
    let number = |text: &str| text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse::<u64>().ok()).flatten();
    match (first, last) {
        ("", last) => number(last).map(Wanted::Last),
        (first, "") => number(first).map(|first| Wanted::From(first, None)),
        (first, last) => {
            let (first, last) = (number(first)?, number(last)?);
            (first <= last).then_some(Wanted::From(first, Some(last)))
        }
    }
}

impl Wanted {
    /// Its first byte and its length in a file of so many bytes; nothing when it has none of them.
    fn of(self, bytes: u64) -> Option<(u64, u64)> {
        let (first, end) = match self {
            Self::From(first, last) => (first, last.map_or(bytes, |last| bytes.min(last.saturating_add(1)))),
            Self::Last(length) => (bytes.saturating_sub(length), bytes),
        };
        (first < end).then(|| (first, end - first))
    }
}

fn is_file(headers: &HeaderMap) -> bool {
    let mut kinds = headers.get_all(header::CONTENT_TYPE).iter();
    let kind = kinds.next().and_then(|kind| kind.to_str().ok()).map(str::to_ascii_lowercase).unwrap_or_default();
    let sound = kind.starts_with("audio/") || kind.starts_with("video/") || kind == "application/octet-stream";
    // Whatever its sender takes it for; what is in it is looked at.
    (sound || kind == "application/ogg") && kinds.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_part_that_is_asked_for_is_given() {
        for (asked, part) in [
            ("bytes=0-", Some(Some((0, 1000)))),
            ("bytes=0-99", Some(Some((0, 100)))),
            ("bytes=990-2000", Some(Some((990, 10)))),
            ("bytes=-10", Some(Some((990, 10)))),
            ("bytes=-5000", Some(Some((0, 1000)))),
            ("bytes=999-999", Some(Some((999, 1)))),
            ("bytes=1000-", Some(None)),
            ("bytes=-0", Some(None)),
            ("bytes=18446744073709551615-18446744073709551615", Some(None)),
            ("bytes=5-2", None),
            ("bytes=0-1,5-6", None),
            ("bytes=", None),
            ("bytes=-", None),
            ("bytes=a-b", None),
            ("lines=0-1", None),
        ] {
            assert_eq!(range(asked).map(|wanted| wanted.of(1000)), part, "{asked}");
        }
        assert_eq!(range("bytes=0-").map(|wanted| wanted.of(0)), Some(None));
    }
}
