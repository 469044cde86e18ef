//! Cookies that keep who was let in: read by us alone, never by a script, and never sent from another site's page.

use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use cookie::{Cookie, SameSite};

/// Browsers keep a cookie for 400 days at most.
const KEPT: cookie::time::Duration = cookie::time::Duration::days(400);

/// The values of the cookies of this name that came with a request.
#[must_use]
pub fn named(headers: &HeaderMap, name: &str) -> Vec<String> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| Cookie::split_parse(value.to_owned()))
        .filter_map(Result::ok)
        .filter(|cookie| cookie.name() == name)
        .map(|cookie| cookie.value().to_owned())
        .collect()
}

/// The same answer with a cookie of this name. Words that no cookie can hold leave it without one.
#[must_use]
pub fn kept(mut answer: Response, name: &str, value: &str) -> Response {
    // No `Secure`: this computer is reached by plain HTTP, as no authority signs a certificate for a home address.
    let cookie = Cookie::build((name, value)).path("/").http_only(true).same_site(SameSite::Strict).max_age(KEPT);
    if let Ok(cookie) = HeaderValue::from_str(&cookie.build().to_string()) {
        answer.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    answer
}
