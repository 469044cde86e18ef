//! The bench door: the pages and the questions for a browser on this very computer.
//!
//! Other accounts of this computer reach it too, so it opens by a [`Key`] alone. Without it every request is answered in
//! the same way, which tells nothing but what to open.

mod key;

use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::{Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use serde::Deserialize;
use serde_json::json as value;

pub use key::{FILE as KEY_FILE, Key};

use crate::disk::off_the_loop;
use crate::refusal::{Code, Refusal, granted};
use crate::web::listening::{self, Listening, Patience};
use crate::web::{bundle, cookies, gate, heard, json, pages, photo, query, question, refused, take};
use crate::workshop::{Wish, Workshop};

/// The port tried first. Any free one is taken when another program has it.
pub const USUAL_PORT: u16 = 7643;

const PAGE: &str = include_str!("../../pairing/opening.html");
const STYLE: &str = include_str!("../../pairing/pairing.css");
const SCRIPT: &str = include_str!("../../pairing/opening.js");

/// An open door. Closed when dropped.
#[derive(Debug)]
pub struct BenchDoor {
    listening: Listening,
    key: Key,
}

impl BenchDoor {
    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.listening.address()
    }

    /// The key that lets a browser or a program in.
    #[must_use]
    pub fn key(&self) -> &Key {
        &self.key
    }

    /// The address to open in a browser, with the key behind its `#`: for who started the program, and nobody else.
    #[must_use]
    pub fn opening(&self) -> String {
        format!("http://{}/#key={}", self.address(), self.key.shown())
    }

    /// Closes the door once the answers under way are given.
    pub async fn close(self) {
        self.listening.close().await;
    }
}

/// Opens the door on 127.0.0.1, at `port` or any free one.
///
/// # Errors
/// When no port can be had, or no key be kept beside the log.
pub async fn open(workshop: Arc<Workshop>, port: u16, patience: Patience) -> io::Result<BenchDoor> {
    let folder = workshop.bench().folder().to_owned();
    let key = off_the_loop(move || Key::of(&folder)).await.map_err(|refusal| io::Error::other(refusal.sentence))??;
    let listener = listening::bind(IpAddr::V4(Ipv4Addr::LOCALHOST), port).await?;
    let routes = routes(Visited { workshop, key: key.clone(), body: patience.body });
    Ok(BenchDoor { listening: Listening::start(listener, routes, patience)?, key })
}

#[derive(Clone)]
struct Visited {
    workshop: Arc<Workshop>,
    key: Key,
    body: Duration,
}

fn routes(visited: Visited) -> Router {
    Router::new()
        .route("/enter", get(page).post(enter))
        .route("/opening/opening.css", get(([(header::CONTENT_TYPE, "text/css; charset=utf-8")], STYLE)))
        .route("/opening/opening.js", get(([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], SCRIPT)))
        .route("/ask", get(page).post(ask))
        .route("/phone-door", get(page).post(phone_door))
        .route("/shared-log", get(page).post(shared_log))
        .route("/photo/{name}", get(give_photo).post(page))
        .route("/photo/{audition}/{entry}/{look}", get(page).post(take_photo))
        .route("/take/{name}", get(give_take).post(page))
        .route("/take/{thing}/{id}/{entry}", get(page).post(keep_take))
        .route("/stretch/{take}/{start}/{length}", get(give_sound).post(page))
        .route("/sweep", get(give_sound).post(page))
        .route("/blind/{test}/{trial}/{sound}", get(give_sound).post(page))
        .route("/bundle/{carry}", get(give_bundle).post(take_bundle))
        .route("/table/{table}", get(give_table).post(page))
        .fallback(page)
        .layer(axum::middleware::from_fn_with_state(visited.key.clone(), only_let_in))
        .layer(axum::middleware::from_fn_with_state(gate::From::ThisComputer, gate::pass))
        .with_state(visited)
}

/// Passes on what comes with the key, and what it takes to hand the key over.
async fn only_let_in(State(key): State<Key>, request: Request, next: Next) -> Response {
    let hands_over = match *request.method() {
        Method::POST => request.uri().path() == "/enter",
        _ => matches!(request.uri().path(), "/opening/opening.css" | "/opening/opening.js"),
    };
    if hands_over || key.opens(request.headers()) {
        return next.run(request).await;
    }
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return (StatusCode::UNAUTHORIZED, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], PAGE).into_response();
    }
    let sentence = "This browser was not let in. Open the address that Solderlast printed when it was started.";
    refused(StatusCode::UNAUTHORIZED, &Refusal::new(Code::NotLetIn, sentence))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Said {
    key: String,
}

async fn enter(State(visited): State<Visited>, request: Request) -> Response {
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    match serde_json::from_slice::<Said>(&body) {
        Ok(Said { key }) if visited.key.is(&key) => {
            let answer = json(StatusCode::OK, granted(&value!({ "let_in": true })));
            cookies::kept(answer, visited.key.cookie(), &key)
        }
        _ => {
            let sentence =
                "This address is not the one that Solderlast printed. Copy the whole of it and open it again.";
            refused(StatusCode::FORBIDDEN, &Refusal::new(Code::WrongKey, sentence).about("key"))
        }
    }
}

/// A page. Every route has one for what it does not do, so that a stranger gets the same answer everywhere.
async fn page(request: Request) -> Response {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        pages::at(request.uri().path(), request.headers())
    } else {
        refused(StatusCode::NOT_FOUND, &Refusal::new(Code::NotHere, "There is nothing to ask here."))
    }
}

async fn ask(State(visited): State<Visited>, request: Request) -> Response {
    let has = question::has(request.headers());
    match question::read(request, visited.body).await {
        Ok(body) => json(StatusCode::OK, visited.workshop.answer_since(body, has).await),
        Err(answer) => *answer,
    }
}

async fn give_photo(State(visited): State<Visited>, Path(name): Path<String>) -> Response {
    photo::give(visited.workshop.shared_bench(), name).await
}

async fn take_photo(
    State(visited): State<Visited>,
    Path((audition, entry, look)): Path<(String, String, String)>,
    request: Request,
) -> Response {
    let taken = photo::PhotoPlace::read(&audition, &entry, &look);
    photo::take(visited.workshop.shared_bench(), taken, request, visited.body).await
}

async fn give_take(State(visited): State<Visited>, Path(name): Path<String>, request: Request) -> Response {
    take::give(visited.workshop.shared_bench(), name, request.headers()).await
}

async fn keep_take(
    State(visited): State<Visited>,
    Path((thing, id, entry)): Path<(String, String, String)>,
    request: Request,
) -> Response {
    let place = take::place(&thing, &id, &entry, &query::word(request.uri().query(), "recorded"));
    take::take(visited.workshop.shared_bench(), place, request, visited.body).await
}

async fn give_sound(State(visited): State<Visited>, request: Request) -> Response {
    heard::give(visited.workshop.shared_bench(), request.uri().path().to_owned()).await
}

async fn give_bundle(State(visited): State<Visited>, Path(carry): Path<String>) -> Response {
    bundle::give(visited.workshop.shared_bench(), &carry).await
}

async fn take_bundle(State(visited): State<Visited>, Path(carry): Path<String>, request: Request) -> Response {
    bundle::take(visited.workshop.shared_bench(), &carry, request, visited.body).await
}

async fn give_table(State(visited): State<Visited>, Path(table): Path<String>, request: Request) -> Response {
    bundle::give_table(visited.workshop.shared_bench(), &table, request.uri().query())
}

async fn phone_door(State(visited): State<Visited>, request: Request) -> Response {
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    match serde_json::from_slice::<Wish>(&body) {
        Ok(wish) => json(StatusCode::OK, visited.workshop.phone_door(&wish).await),
        Err(_) => {
            let refusal = Refusal::new(Code::Unclear, "Say what to do with the phone door.").about("action");
            refused(StatusCode::BAD_REQUEST, &refusal)
        }
    }
}

async fn shared_log(State(visited): State<Visited>, request: Request) -> Response {
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    match serde_json::from_slice(&body) {
        Ok(wish) => json(StatusCode::OK, visited.workshop.sharing().does(wish).await),
        Err(_) => {
            let refusal = Refusal::new(Code::Unclear, "Say what to do with the shared log.").about("action");
            refused(StatusCode::BAD_REQUEST, &refusal)
        }
    }
}
