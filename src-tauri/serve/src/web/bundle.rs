//! Bundles and tables: files that come in and go out part after part, so that neither is ever held in memory whole.

use std::io;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde_json::Value;
use solderlast_core::ask::{Bench, in_json};
use solderlast_core::ask::{CarryId, Receiving};
use solderlast_core::logbook::{Find, Table};

use super::body::{hear_out, received};
use super::pouring::{Pouring, pour, poured};
use super::query;
use super::{json, refused};
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal};

/// Reads the name of a carrying in an address or a header.
///
/// # Errors
/// A refusal when it is none.
pub fn named(carry: &str) -> Result<CarryId, Refusal> {
    serde_json::from_value(Value::String(carry.to_owned()))
        .map_err(|_| Refusal::new(Code::Unclear, "This is no place for a bundle. Nothing was kept.").about("carry"))
}

/// Reads what to look for, as JSON; empty text for everything.
///
/// # Errors
/// A refusal when it can't be read.
pub fn find(text: &str) -> Result<Find, Refusal> {
    if text.is_empty() {
        return Ok(Find::default());
    }
    serde_json::from_str(text)
        .map_err(|_| Refusal::new(Code::Unclear, "What to look for is not as it should be.").about("find"))
}

/// Takes in the bundle in the body of this request and begins to look into it. Each part has to come within `patience`.
pub async fn take(bench: Arc<Bench>, carry: &str, request: Request, patience: Duration) -> Response {
    let carry = match named(carry) {
        Ok(carry) => carry,
        Err(refusal) => return refused(StatusCode::BAD_REQUEST, &refusal),
    };
    if !is_file(request.headers()) {
        let refusal = Refusal::new(Code::NotAFile, "A bundle has to be sent as a file. Nothing was kept.");
        return refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, &refusal);
    }
    let _guard = Arriving { bench: Arc::clone(&bench), carry };
    let mut body = request.into_body();
    let open = Arc::clone(&bench);
    match received("The bundle", &mut body, patience, move || open.receive_bundle(carry), Receiving::take).await {
        Ok(whole) => match off_the_loop(move || in_json(&bench.look_into(whole))).await {
            Ok(answer) => json(StatusCode::OK, answer),
            Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
        },
        Err(answer) => {
            hear_out(body, patience).await;
            *answer
        }
    }
}

/// A bundle that comes in. Whatever ends that, also a phone that is gone, lets go of it unless it came in whole.
struct Arriving {
    bench: Arc<Bench>,
    carry: CarryId,
}

impl Drop for Arriving {
    fn drop(&mut self) {
        self.bench.let_go_of(self.carry);
    }
}

/// A packed bundle, as a file to be kept.
pub async fn give(bench: Arc<Bench>, carry: &str) -> Response {
    let carry = match named(carry) {
        Ok(carry) => carry,
        Err(refusal) => return refused(StatusCode::BAD_REQUEST, &refusal),
    };
    let (file, name, bytes) = match off_the_loop(move || bench.packed_bundle(carry)).await {
        Ok(Ok(packed)) => packed,
        Ok(Err(refusal)) => return json(StatusCode::NOT_FOUND, refusal.answer()),
        Err(refusal) => return refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    };
    let mut answer = kept_as("application/zip", &name, move |out| pour(file, out));
    answer.headers_mut().insert(header::CONTENT_LENGTH, HeaderValue::from(bytes));
    answer
}

/// A table of the logbook, as a file to be kept; `query` is that of the address, with what to look for.
pub fn give_table(bench: Arc<Bench>, table: &str, query: Option<&str>) -> Response {
    let Some(table) = Table::named(table) else {
        return refused(StatusCode::NOT_FOUND, &Refusal::new(Code::NotHere, "There is no such table."));
    };
    match find(&query::word(query, "find")) {
        Ok(find) => kept_as("text/csv; charset=utf-8; header=present", table.file_name(), move |out| {
            // The head of the answer has left already: an answer that is cut off says that something went wrong.
            bench.write_table(table, &find, out).map(drop).map_err(io::Error::other)
        }),
        Err(refusal) => refused(StatusCode::BAD_REQUEST, &refusal),
    }
}

/// An answer that is a file to be kept, written by `work`.
fn kept_as(
    kind: &'static str,
    name: &str,
    work: impl FnOnce(&mut Pouring) -> io::Result<()> + Send + 'static,
) -> Response {
    let kept = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, kept.as_str())], poured(work)).into_response()
}

fn is_file(headers: &HeaderMap) -> bool {
    let mut kinds = headers.get_all(header::CONTENT_TYPE).iter();
    let kind = kinds.next().and_then(|kind| kind.to_str().ok()).map(str::to_ascii_lowercase).unwrap_or_default();
    (kind == "application/zip" || kind == "application/octet-stream") && kinds.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_address_says_is_read() {
        for (text, read) in [
            ("", ""),
            ("%7B%22words%22%3A%22a%20b%22%7D", r#"{"words":"a b"}"#),
            ("a+b", "a b"),
            ("%", "%"),
            ("%4", "%4"),
            ("%zz%41", "%zzA"),
            ("%ff", "\u{fffd}"),
            ("%c3%a9", "é"),
        ] {
            assert_eq!(query::unescaped(text), read, "{text}");
        }
        assert_eq!(find("").map_err(|refusal| refusal.code), Ok(Find::default()));
        assert!(find("{\"word\":1}").is_err());
        assert!(named("019a3c5f-7e00-7000-8000-000000000001").is_ok());
        assert!(named("../x").is_err());
    }
}
