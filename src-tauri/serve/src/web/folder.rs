//! A folder of static files, for a try on this computer: what any host would do with the page for phones.

use std::path::{Component, Path, PathBuf};

use axum::Router;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use super::refused;
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal};

/// Answers with the files of this folder, and with nothing else.
pub fn routes(folder: PathBuf) -> Router {
    Router::new().fallback(give).with_state(folder)
}

async fn give(State(folder): State<PathBuf>, request: Request) -> Response {
    let found = file_at(&folder, request.uri().path()).filter(|_| request.method() == axum::http::Method::GET);
    let nothing = || refused(StatusCode::NOT_FOUND, &Refusal::new(Code::NotHere, "There is no such page."));
    let Some(path) = found else { return nothing() };
    let kind = mime_guess::from_path(&path).first_or_octet_stream().to_string();
    match off_the_loop(move || std::fs::read(path)).await {
        Ok(Ok(bytes)) => {
            let headers = [(header::CONTENT_TYPE, kind.as_str()), (header::CACHE_CONTROL, "no-cache")];
            (headers, bytes).into_response()
        }
        _ => nothing(),
    }
}

/// The file that a path names: no other folder is reached from it.
fn file_at(folder: &Path, path: &str) -> Option<PathBuf> {
    let path = path.strip_prefix('/')?;
    let path = if path.is_empty() { "index.html" } else { path };
    let plain = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b));
    let inside = Path::new(path).components().all(|part| matches!(part, Component::Normal(_)));
    (inside && path.split('/').all(plain)).then(|| folder.join(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_outside_the_folder_is_reached() {
        let at = |path| file_at(Path::new("/p"), path);
        assert_eq!(at("/"), Some(PathBuf::from("/p/index.html")));
        assert_eq!(at("/core/a_b-1.js"), Some(PathBuf::from("/p/core/a_b-1.js")));
        for path in
            ["", "//etc/passwd", "/..", "/../x", "/a/../../x", "/a//b", "/a/", "/%2e%2e/x", "/a\\b", "/a\0", "/./a"]
        {
            assert_eq!(at(path), None, "{path:?}");
        }
    }
}
