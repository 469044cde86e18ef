//! What a phone may ask for: everything once it is paired, and before that only the pairing page.

use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use serde::Deserialize;
use serde_json::json as value;
use solderlast_core::ask::{self, Bench};
use tokio::sync::watch;
use tokio::time::Instant;

use super::pairing::{Pairing, PairingCode};
use super::phones::{Phones, kind_of};
use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal, granted};
use crate::web::listening::Ends;
use crate::web::{bundle, cookies, gate, heard, json, pages, photo, query, question, refused, take};

const COOKIE: &str = "solderlast-phone";

/// The header with which a paired phone sends the code again, for what can't be undone.
const CODE: &str = "solderlast-code";

const PAGE: &str = include_str!("../../pairing/pairing.html");
const STYLE: &str = include_str!("../../pairing/pairing.css");
const SCRIPT: &str = include_str!("../../pairing/pairing.js");

/// What the door needs to answer.
#[derive(Clone)]
pub(super) struct Visited {
    pub bench: Arc<Bench>,
    pub pairing: Arc<Mutex<Pairing>>,
    pub phones: Phones,
    pub shown: watch::Sender<PairingCode>,
    pub body: Duration,
}

pub(super) fn routes(visited: Visited) -> Router {
    Router::new()
        .route("/pair", get(page).post(pair))
        .route("/ask", get(page).post(ask))
        .route("/photo/{name}", get(give_photo).post(page))
        .route("/photo/{audition}/{entry}/{look}", post(take_photo).get(page))
        .route("/take/{name}", get(give_take).post(page))
        .route("/take/{thing}/{id}/{entry}", post(keep_take).get(page))
        .route("/stretch/{take}/{start}/{length}", get(give_sound).post(page))
        .route("/sweep", get(give_sound).post(page))
        .route("/blind/{test}/{trial}/{sound}", get(give_sound).post(page))
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
    let code = request.headers().get(CODE).map(|code| code.to_str().unwrap_or_default().to_owned());
    let has = question::has(request.headers());
    let from = ends_of(&request).map(|ends| ends.peer.ip());
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    // Read once, so that what is judged here is what the bench is asked.
    let ask = match ask::parse(&body) {
        Ok(ask) => ask,
        Err(refusal) => return json(StatusCode::OK, refusal.answer()),
    };
    if ask.erases()
        && let Err(refusal) = visited.again(code, from)
    {
        return refused(status_of(&refusal), &refusal);
    }
    let bench = visited.bench;
    let answer = off_the_loop(move || bench.told(bench.ask(ask), has.as_deref())).await;
    json(StatusCode::OK, answer.unwrap_or_else(|refusal| refusal.answer()))
}

impl Visited {
    /// A phone may lie about, or be somebody else's by now, so what can't be undone needs the code of this moment.
    fn again(&self, code: Option<String>, from: Option<IpAddr>) -> Result<(), Refusal> {
        let Some(code) = code else {
            let sentence = "Erasing for good needs the code that the computer shows: under Settings, or where Solderlast was \
                            started. Nothing was erased.";
            return Err(Refusal::new(Code::CodeNeeded, sentence).about("code"));
        };
        self.try_code(&code, from)
    }

    /// Judges a code, and shows the new one on the computer.
    fn try_code(&self, code: &str, from: Option<IpAddr>) -> Result<(), Refusal> {
        let from = from.ok_or_else(|| Refusal::new(Code::WrongCode, "That is not the code."))?;
        let now = Instant::now();
        let mut pairing = self.pairing.lock().unwrap_or_else(PoisonError::into_inner);
        let judged = pairing.try_code(code, from, now);
        let shown = pairing.code(now);
        self.shown.send_if_modified(|before| std::mem::replace(before, shown) != shown);
        judged
    }
}

fn ends_of(request: &Request) -> Option<Ends> {
    request.extensions().get::<Ends>().copied()
}

fn status_of(refusal: &Refusal) -> StatusCode {
    match refusal.code {
        Code::TooManyTries => StatusCode::TOO_MANY_REQUESTS,
        Code::NotACode => StatusCode::BAD_REQUEST,
        _ => StatusCode::FORBIDDEN,
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
    photo::take(visited.bench, photo::PhotoPlace::read(&audition, &entry, &look), request, visited.body).await
}

async fn give_take(State(visited): State<Visited>, Path(name): Path<String>, request: Request) -> Response {
    if is_paired(&visited, request.headers()).await {
        take::give(visited.bench, name, request.headers()).await
    } else {
        page(State(visited), request).await
    }
}

async fn keep_take(
    State(visited): State<Visited>,
    Path((thing, id, entry)): Path<(String, String, String)>,
    request: Request,
) -> Response {
    if !is_paired(&visited, request.headers()).await {
        return not_paired();
    }
    let place = take::place(&thing, &id, &entry, &query::word(request.uri().query(), "recorded"));
    take::take(visited.bench, place, request, visited.body).await
}

async fn give_sound(State(visited): State<Visited>, request: Request) -> Response {
    if is_paired(&visited, request.headers()).await {
        heard::give(visited.bench, request.uri().path().to_owned()).await
    } else {
        page(State(visited), request).await
    }
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
        (true, false) => refused(StatusCode::NOT_FOUND, &Refusal::new(Code::NotHere, "There is nothing to ask here.")),
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
    let from = ends_of(&request).map(|ends| ends.peer.ip());
    let user_agent = request.headers().get(header::USER_AGENT).and_then(|value| value.to_str().ok());
    let kind = kind_of(user_agent.unwrap_or_default());
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    let Ok(tried) = serde_json::from_slice::<Tried>(&body) else {
        let refusal =
            Refusal::new(Code::NotACode, "A code has to be sent as six digits in words, named code.").about("code");
        return refused(StatusCode::BAD_REQUEST, &refusal);
    };
    if let Err(refusal) = visited.try_code(&tried.code, from) {
        return refused(status_of(&refusal), &refusal);
    }
    let phones = visited.phones.clone();
    let let_in = off_the_loop(move || phones.let_in(kind, chrono::Utc::now())).await.and_then(|let_in| let_in);
    match let_in {
        Ok(token) => cookies::kept(json(StatusCode::OK, granted(&value!({ "paired": true }))), COOKIE, &token),
        Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    }
}

async fn is_paired(visited: &Visited, headers: &HeaderMap) -> bool {
    let tokens = cookies::named(headers, COOKIE);
    if tokens.is_empty() {
        return false;
    }
    let phones = visited.phones.clone();
    let now = chrono::Utc::now();
    off_the_loop(move || tokens.iter().any(|token| phones.know(token, now))).await.unwrap_or(false)
}

fn not_paired() -> Response {
    let refusal = Refusal::new(
        Code::NotPaired,
        "This phone is not paired. Load the page again and type the code the computer shows.",
    );
    refused(StatusCode::UNAUTHORIZED, &refusal)
}
