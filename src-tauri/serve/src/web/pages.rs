//! The pages, packed into the program when it was built.

use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use super::refused;
use crate::refusal::{Code, Refusal};

/// One file of the pages, plain and packed.
#[derive(Debug)]
pub struct Page {
    /// Where it stands, without a slash before it.
    pub path: &'static str,
    kind: &'static str,
    plain: &'static [u8],
    brotli: &'static [u8],
    gzip: &'static [u8],
}

/// Every file of the pages. A path that is not in this table does not exist, whatever it is made of.
pub static PAGES: &[Page] = include!(concat!(env!("OUT_DIR"), "/pages/table.rs"));

/// The page at this path, in the most packed coding the browser takes.
#[must_use]
pub fn at(path: &str, headers: &HeaderMap) -> Response {
    let path = path.strip_prefix('/').unwrap_or(path);
    let path = if path.is_empty() { "index.html" } else { path };
    match PAGES.iter().find(|page| page.path == path) {
        Some(page) => page.answer(headers),
        None => refused(StatusCode::NOT_FOUND, &Refusal::new(Code::NotHere, "There is no such page.")),
    }
}

impl Page {
    fn answer(&self, headers: &HeaderMap) -> Response {
        let (coding, body) = if takes(headers, "br") {
            (Some("br"), self.brotli)
        } else if takes(headers, "gzip") {
            (Some("gzip"), self.gzip)
        } else {
            (None, self.plain)
        };
        let fixed = [(header::CONTENT_TYPE, self.kind), (header::VARY, "accept-encoding")];
        let mut answer = (fixed, body).into_response();
        let mut add = |name, value| answer.headers_mut().insert(name, header::HeaderValue::from_static(value));
        if let Some(coding) = coding {
            add(header::CONTENT_ENCODING, coding);
        }
        // Files in this folder carry a hash of what they hold in their name, so they never change.
        if self.path.starts_with("assets/") {
            add(header::CACHE_CONTROL, "public, max-age=31536000, immutable");
        }
        answer
    }
}

/// Whether the browser takes this coding: named, and not with a weight of nothing.
fn takes(headers: &HeaderMap, coding: &str) -> bool {
    headers.get_all(header::ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok()).any(|value| {
        value.split(',').any(|one| {
            let mut parts = one.split(';').map(str::trim);
            let named = parts.next().is_some_and(|name| name.eq_ignore_ascii_case(coding));
            named && !parts.any(|part| part.strip_prefix("q=").is_some_and(|weight| weight.parse() == Ok(0.0)))
        })
    })
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use super::*;

    #[test]
    fn a_coding_is_used_only_where_the_browser_takes_it() {
        for (accepted, brotli, gzip) in [
            ("gzip, deflate, br, zstd", true, true),
            ("gzip;q=1.0, br;q=0", false, true),
            ("br ; q=0.0", false, false),
            ("BR", true, false),
            ("brotli, gzipped", false, false),
            ("", false, false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::ACCEPT_ENCODING, accepted.parse().unwrap());
            assert_eq!((takes(&headers, "br"), takes(&headers, "gzip")), (brotli, gzip), "{accepted:?}");
        }
        assert!(!takes(&HeaderMap::new(), "gzip"));
    }

    #[test]
    fn every_packed_page_unpacks_to_the_plain_one() {
        assert!(PAGES.iter().any(|page| page.path == "index.html"));
        for page in PAGES {
            let mut unpacked = Vec::new();
            flate2::read::GzDecoder::new(page.gzip).read_to_end(&mut unpacked).unwrap();
            assert_eq!(unpacked, page.plain, "{} in gzip", page.path);
            unpacked.clear();
            brotli::Decompressor::new(page.brotli, 4096).read_to_end(&mut unpacked).unwrap();
            assert_eq!(unpacked, page.plain, "{} in brotli", page.path);
        }
    }

    #[test]
    fn only_what_is_in_the_table_exists() {
        for path in [
            "/../Cargo.toml",
            "/..%2f..%2fetc%2fpasswd",
            "//etc/passwd",
            "/etc/passwd",
            "/./index.html",
            "/assets/../index.html",
            "/assets/",
            "/index.html/",
            "/index.html\0",
            "C:\\",
        ] {
            assert_eq!(at(path, &HeaderMap::new()).status(), StatusCode::NOT_FOUND, "{path:?}");
        }
        assert_eq!(at("/", &HeaderMap::new()).status(), StatusCode::OK);
        assert_eq!(at("/index.html", &HeaderMap::new()).status(), StatusCode::OK);
    }
}
