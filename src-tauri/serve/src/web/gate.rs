//! The gate every request passes: it must name this very address as its host, and a question must come from our own page.
//!
//! A page elsewhere can make a browser send requests here (its own name pointed at this address, a form, a fetch). Such
//! requests name another host, or another origin, and go no further.

use std::net::SocketAddr;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;

use super::listening::Ends;
use super::{headers, refused};
use crate::refusal::{Code, Refusal};

/// Whose requests a door lets through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// This computer only: loopback addresses at both ends, by the names browsers use for them.
    ThisComputer,
    /// Any device that can reach this address, by the address itself.
    TheNetwork,
}

/// Lets a request through or refuses it; either way the answer leaves with the safe headers.
pub async fn pass(State(from): State<From>, request: Request, next: Next) -> Response {
    let answer = match refusal_for(from, &request) {
        Some((status, refusal)) => refused(status, &refusal),
        None => next.run(request).await,
    };
    headers::made_safe(answer)
}

fn refusal_for(from: From, request: &Request) -> Option<(StatusCode, Refusal)> {
    let Some(ends) = request.extensions().get::<Ends>() else {
        return Some((StatusCode::INTERNAL_SERVER_ERROR, wrong_host()));
    };
    if from == From::ThisComputer && !(ends.peer.ip().is_loopback() && ends.here.ip().is_loopback()) {
        return Some((StatusCode::FORBIDDEN, wrong_host()));
    }
    let Some(host) = host_of(request).filter(|host| names(host, from, ends.here)) else {
        return Some((StatusCode::MISDIRECTED_REQUEST, wrong_host()));
    };
    match *request.method() {
        Method::GET | Method::HEAD => None,
        Method::POST if from_our_page(request.headers(), host, from) => None,
        Method::POST => Some((StatusCode::FORBIDDEN, wrong_origin())),
        _ => Some((StatusCode::METHOD_NOT_ALLOWED, Refusal::new(Code::NotHere, "This address does not do that."))),
    }
}

/// The one host the request names. None when it names none, several, or one in its first line and another below.
fn host_of(request: &Request) -> Option<&str> {
    let mut named = request.headers().get_all(header::HOST).iter();
    let host = named.next()?.to_str().ok()?;
    let alone = named.next().is_none();
    let agreed = request.uri().authority().is_none_or(|authority| authority.as_str() == host);
    (alone && agreed).then_some(host)
}

fn names(host: &str, from: From, here: SocketAddr) -> bool {
    let port = here.port();
    let is = |name: &str| {
        host.eq_ignore_ascii_case(&format!("{name}:{port}")) || (port == 80 && host.eq_ignore_ascii_case(name))
    };
    match from {
        From::ThisComputer => is("127.0.0.1") || is("localhost") || is("[::1]"),
        From::TheNetwork if here.is_ipv6() => is(&format!("[{}]", here.ip())),
        From::TheNetwork => is(&here.ip().to_string()),
    }
}

/// A browser says which page a question comes from. On this computer a program that is no browser may leave that out.
fn from_our_page(headers: &HeaderMap, host: &str, from: From) -> bool {
    let mut origins = headers.get_all(header::ORIGIN).iter();
    match (origins.next(), origins.next()) {
        (Some(origin), None) => origin
            .to_str()
            .ok()
            .and_then(|origin| origin.strip_prefix("http://"))
            .is_some_and(|page| page.eq_ignore_ascii_case(host)),
        (None, _) => from == From::ThisComputer && !sent_by_another_site(headers),
        (Some(_), Some(_)) => false,
    }
}

fn sent_by_another_site(headers: &HeaderMap) -> bool {
    headers.get_all("sec-fetch-site").iter().any(|site| site != "same-origin" && site != "none")
}

fn wrong_host() -> Refusal {
    Refusal::new(Code::WrongHost, "This is not the address that Solderlast shows. Use the address as it is shown.")
}

fn wrong_origin() -> Refusal {
    Refusal::new(Code::WrongOrigin, "This question did not come from a Solderlast page. Nothing was written.")
}

#[cfg(test)]
mod tests {
    use axum::body::Body;

    use super::*;

    type Headers<'a> = &'a [(&'a str, &'a str)];

    fn judged(from: From, here: &str, peer: &str, method: &str, uri: &str, headers: Headers<'_>) -> u16 {
        let mut request = Request::builder().method(method).uri(uri);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let mut request = request.body(Body::empty()).unwrap();
        request.extensions_mut().insert(Ends { here: here.parse().unwrap(), peer: peer.parse().unwrap() });
        refusal_for(from, &request).map_or(200, |(status, _)| status.as_u16())
    }

    #[test]
    fn on_this_computer() {
        let host = ("host", "127.0.0.1:7643");
        let cases: &[(&str, &str, Headers<'_>, u16)] = &[
            ("GET", "/", &[host], 200),
            ("GET", "/", &[("host", "LocalHost:7643")], 200),
            ("GET", "/", &[("host", "[::1]:7643")], 200),
            ("GET", "http://127.0.0.1:7643/", &[host], 200),
            ("GET", "http://elsewhere.example/", &[host], 421),
            ("GET", "/", &[], 421),
            ("GET", "/", &[host, host], 421),
            ("GET", "/", &[("host", "")], 421),
            ("GET", "/", &[("host", "127.0.0.1")], 421),
            ("GET", "/", &[("host", "127.0.0.1:7644")], 421),
            ("GET", "/", &[("host", "localhost.elsewhere.example:7643")], 421),
            ("GET", "/", &[("host", "me@127.0.0.1:7643")], 421),
            ("POST", "/ask", &[host], 200),
            ("POST", "/ask", &[host, ("origin", "http://127.0.0.1:7643")], 200),
            ("POST", "/ask", &[host, ("origin", "http://localhost:7643")], 403),
            ("POST", "/ask", &[host, ("origin", "https://127.0.0.1:7643")], 403),
            ("POST", "/ask", &[host, ("origin", "http://127.0.0.1:7644")], 403),
            ("POST", "/ask", &[host, ("origin", "http://elsewhere.example")], 403),
            ("POST", "/ask", &[host, ("origin", "null")], 403),
            ("POST", "/ask", &[host, ("origin", "")], 403),
            ("POST", "/ask", &[host, ("origin", "http://127.0.0.1:7643"), ("origin", "null")], 403),
            ("POST", "/ask", &[host, ("sec-fetch-site", "cross-site")], 403),
            ("POST", "/ask", &[host, ("sec-fetch-site", "same-site")], 403),
            ("POST", "/ask", &[host, ("sec-fetch-site", "same-origin")], 200),
            ("OPTIONS", "/ask", &[host], 405),
            ("DELETE", "/", &[host], 405),
        ];
        for (method, uri, headers, expected) in cases {
            let status = judged(From::ThisComputer, "127.0.0.1:7643", "127.0.0.1:50000", method, uri, headers);
            assert_eq!(status, *expected, "{method} {uri} {headers:?}");
        }
        let from_outside = judged(From::ThisComputer, "127.0.0.1:7643", "192.0.2.9:50000", "GET", "/", &[host]);
        assert_eq!(from_outside, 403, "a loopback name is no pass for another device");
    }

    #[test]
    fn on_the_network() {
        let host = ("host", "192.0.2.7:7644");
        let ours = ("origin", "http://192.0.2.7:7644");
        let cases: &[(&str, Headers<'_>, u16)] = &[
            ("GET", &[host], 200),
            ("GET", &[("host", "localhost:7644")], 421),
            ("GET", &[("host", "127.0.0.1:7644")], 421),
            ("GET", &[("host", "bench.elsewhere.example:7644")], 421),
            ("POST", &[host, ours], 200),
            ("POST", &[host], 403),
            ("POST", &[host, ("sec-fetch-site", "same-origin")], 403),
            ("POST", &[host, ("origin", "http://elsewhere.example")], 403),
        ];
        for (method, headers, expected) in cases {
            let status = judged(From::TheNetwork, "192.0.2.7:7644", "192.0.2.9:50000", method, "/ask", headers);
            assert_eq!(status, *expected, "{method} {headers:?}");
        }
        let six = judged(From::TheNetwork, "[fd00::7]:7644", "[fd00::9]:5", "GET", "/", &[("host", "[fd00::7]:7644")]);
        assert_eq!(six, 200);
        let eighty = judged(From::TheNetwork, "192.0.2.7:80", "192.0.2.9:5", "GET", "/", &[("host", "192.0.2.7")]);
        assert_eq!(eighty, 200, "browsers leave out port 80");
    }
}
