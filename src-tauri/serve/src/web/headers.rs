//! The headers every answer leaves with: our own pages may use our own files, and nobody else may use anything.

use axum::http::{HeaderName, HeaderValue, header};
use axum::response::Response;

/// What a page may load. Pictures may be written out in the page itself (`data:`), as the pairing picture is.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
    font-src 'self'; connect-src 'self'; media-src 'self' blob:; manifest-src 'self'; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

const ALWAYS: [(HeaderName, &str); 8] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), payment=(), usb=()"),
    (HeaderName::from_static("x-robots-tag"), "noindex"),
];

/// The same answer with the safe headers, and not kept by any cache unless it says otherwise.
#[must_use]
pub fn made_safe(mut answer: Response) -> Response {
    let headers = answer.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    answer
}
