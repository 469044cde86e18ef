//! What a phone may ask for: everything once it is paired, and before that only the pairing page.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use cookie::{Cookie, SameSite};
use serde::Deserialize;
use serde_json::json;
use solderlast_core::ask::Bench;
use tokio::sync::watch;
use tokio::time::Instant;

use super::pairing::{Code, Pairing};
use super::phones::Phones;
use crate::refusal::{Refusal, granted};
use crate::web::{bundle, gate, json, pages, photo, question, refused};
use crate::workshop::{answered, off_the_loop};

const COOKIE: &str = "solderlast-phone";

/// Browsers keep a cookie for 400 days at most.
const KEPT: cookie::time::Duration = cookie::time::Duration::days(400);

const PAGE: &str = include_str!("../../pairing/pairing.html");
const STYLE: &str = include_str!("../../pairing/pairing.css");
const SCRIPT: &str = include_str!("../../pairing/pairing.js");

/// What the door needs to answer.
#[derive(Clone)]
pub(super) struct Visited {
    pub bench: Arc<Bench>,
    pub pairing: Arc<Mutex<Pairing>>,
    pub phones: Phones,
    pub shown: watch::Sender<Code>,
    pub body: Duration,
}

pub(super) fn routes(visited: Visited) -> Router {
    Router::new()
        .route("/pair", get(page).post(pair))
        .route("/ask", get(page).post(ask))
        .route("/photo/{name}", get(give_photo).post(page))
        .route("/photo/{audition}/{entry}/{look}", post(take_photo).get(page))
        .route("/bundle/{carry}", get(give_bundle).post(take_bundle))
        .route("/table/{table}", get(give_table).post(page))
        .route("/pairing/pairing.css", get(([(header::CONTENT_TYPE, "text/css; charset=utf-8")], STYLE)))
        .route("/pairing/pairing.js", get(([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], SCRIPT)))
        .fallback(page)
        .layer(axum::middleware::from_fn_with_state(gate::From::TheNetwork, gate::pass))
        .with_state(visited)
}

async fn ask(State(visited): State<Visited>, request: Request) -> Response {
    if !is_paired(&visited, request.headers()).await {
        return not_paired();
    }
    match question::read(request, visited.body).await {
        Ok(body) => json(StatusCode::OK, answered(visited.bench, body).await),
        Err(answer) => *answer,
    }
}

async fn give_photo(State(visited): State<Visited>, Path(name): Path<String>, request: Request) -> Response {
    if is_paired(&visited, request.headers()).await {
        photo::give(visited.bench, name).await
    } else {
        page(State(visited), request).await
    }
}

async fn take_photo(
    State(visited): State<Visited>,
    Path((audition, entry, look)): Path<(String, String, String)>,
    request: Request,
) -> Response {
    if !is_paired(&visited, request.headers()).await {
        return not_paired();
    }
    photo::take(visited.bench, photo::Taken::read(&audition, &entry, &look), request, visited.body).await
}

async fn give_bundle(State(visited): State<Visited>, Path(carry): Path<String>, request: Request) -> Response {
    if is_paired(&visited, request.headers()).await {
        bundle::give(visited.bench, &carry).await
    } else {
        page(State(visited), request).await
    }
}

async fn take_bundle(State(visited): State<Visited>, Path(carry): Path<String>, request: Request) -> Response {
    if !is_paired(&visited, request.headers()).await {
        return not_paired();
    }
    bundle::take(visited.bench, &carry, request, visited.body).await
}

async fn give_table(State(visited): State<Visited>, Path(table): Path<String>, request: Request) -> Response {
    if is_paired(&visited, request.headers()).await {
        bundle::give_table(visited.bench, &table, request.uri().query())
    } else {
        page(State(visited), request).await
    }
}

/// A page for a paired phone. Everything else a stranger asks for is answered in the same way, so it tells nothing.
async fn page(State(visited): State<Visited>, request: Request) -> Response {
    let asked_for_page = matches!(*request.method(), Method::GET | Method::HEAD);
    match (is_paired(&visited, request.headers()).await, asked_for_page) {
        (true, true) => pages::at(request.uri().path(), request.headers()),
        (true, false) => refused(StatusCode::NOT_FOUND, &Refusal::new("not-here", "There is nothing to ask here.")),
        (false, true) => {
            (StatusCode::UNAUTHORIZED, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], PAGE).into_response()
        }
        (false, false) => not_paired(),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tried {
    code: String,
}

async fn pair(State(visited): State<Visited>, request: Request) -> Response {
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    let Ok(tried) = serde_json::from_slice::<Tried>(&body) else {
        let refusal =
            Refusal::new("not-a-code", "A code has to be sent as six digits in words, named code.").about("code");
        return refused(StatusCode::BAD_REQUEST, &refusal);
    };
    let tried = {
        let mut pairing = visited.pairing.lock().unwrap_or_else(PoisonError::into_inner);
        pairing.try_code(&tried.code, Instant::now()).map(|()| pairing.code())
    };
    let next = match tried {
        Ok(next) => next,
        Err(refusal) => {
            let status = match refusal.code {
                "too-many-tries" => StatusCode::TOO_MANY_REQUESTS,
                "not-a-code" => StatusCode::BAD_REQUEST,
                _ => StatusCode::FORBIDDEN,
            };
            return refused(status, &refusal);
        }
    };
    let phones = visited.phones.clone();
    let let_in = off_the_loop(move || phones.let_in(chrono::Utc::now())).await.and_then(|let_in| let_in);
    visited.shown.send_replace(next);
    match let_in {
        Ok(token) => with_cookie(token),
        Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    }
}

fn with_cookie(token: String) -> Response {
    let mut answer = json(StatusCode::OK, granted(&json!({ "paired": true })));
    // No `Secure`: a phone reaches this computer by plain HTTP, as no authority signs a certificate for a home address.
    let cookie =
        Cookie::build((COOKIE, token)).path("/").http_only(true).same_site(SameSite::Strict).max_age(KEPT).build();
    match HeaderValue::from_str(&cookie.to_string()) {
        Ok(cookie) => {
            answer.headers_mut().insert(header::SET_COOKIE, cookie);
            answer
        }
        Err(_) => refused(StatusCode::INTERNAL_SERVER_ERROR, &super::pairing::no_randomness()),
    }
}

async fn is_paired(visited: &Visited, headers: &HeaderMap) -> bool {
    let tokens: Vec<String> = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| Cookie::split_parse(value.to_owned()))
        .filter_map(Result::ok)
        .filter(|cookie| cookie.name() == COOKIE)
        .map(|cookie| cookie.value().to_owned())
        .collect();
    if tokens.is_empty() {
        return false;
    }
    let phones = visited.phones.clone();
    off_the_loop(move || tokens.iter().any(|token| phones.know(token))).await.unwrap_or(false)
}

fn not_paired() -> Response {
    let refusal = Refusal::new(
        "not-paired",
        "This phone is not paired. Load the page again and type the code the computer shows.",
    );
    refused(StatusCode::UNAUTHORIZED, &refusal)
}
