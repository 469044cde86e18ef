//! The bench door: the pages and the questions for a browser on this very computer, which needs no pairing.

use std::io;
use std::net::{IpAddr, Ipv4Addr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};
use serde::Deserialize;

use crate::refusal::Refusal;
use crate::web::listening::{self, Listening, Patience};
use crate::web::{bundle, gate, json, pages, photo, question, refused};
use crate::workshop::Workshop;

/// The port tried first. Any free one is taken when another program has it.
pub const USUAL_PORT: u16 = 7643;

/// Opens the door on 127.0.0.1, at `port` or any free one.
///
/// # Errors
/// When no port can be had.
pub async fn open(workshop: Arc<Workshop>, port: u16, patience: Patience) -> io::Result<Listening> {
    let listener = listening::bind(IpAddr::V4(Ipv4Addr::LOCALHOST), port).await?;
    Listening::start(listener, routes(workshop, patience.body), patience)
}

#[derive(Clone)]
struct Visited {
    workshop: Arc<Workshop>,
    body: Duration,
}

fn routes(workshop: Arc<Workshop>, body: Duration) -> Router {
    Router::new()
        .route("/ask", post(ask))
        .route("/phone-door", post(phone_door))
        .route("/photo/{name}", get(give_photo))
        .route("/photo/{audition}/{entry}/{look}", post(take_photo))
        .route("/bundle/{carry}", get(give_bundle).post(take_bundle))
        .route("/table/{table}", get(give_table))
        .fallback(async |request: Request| pages::at(request.uri().path(), request.headers()))
        .layer(axum::middleware::from_fn_with_state(gate::From::ThisComputer, gate::pass))
        .with_state(Visited { workshop, body })
}

async fn ask(State(visited): State<Visited>, request: Request) -> Response {
    match question::read(request, visited.body).await {
        Ok(body) => json(StatusCode::OK, visited.workshop.answer(body).await),
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
    let taken = photo::Taken::read(&audition, &entry, &look);
    photo::take(visited.workshop.shared_bench(), taken, request, visited.body).await
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Wish {
    action: String,
}

async fn phone_door(State(visited): State<Visited>, request: Request) -> Response {
    let body = match question::read(request, visited.body).await {
        Ok(body) => body,
        Err(answer) => return *answer,
    };
    match serde_json::from_slice::<Wish>(&body) {
        Ok(wish) => json(StatusCode::OK, visited.workshop.phone_door(&wish.action).await),
        Err(_) => {
            let refusal = Refusal::new("not-understood", "Say what to do with the phone door.").about("action");
            refused(StatusCode::BAD_REQUEST, &refusal)
        }
    }
}
