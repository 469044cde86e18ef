//! Sound to be heard beside other sound: stretches of takes, and the sounds of a blind trial.
//!
//! The answers of a trial are of one length with one head, whichever take is heard in them.

use std::sync::Arc;

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde_json::Value;
use solderlast_core::ask::{self, Bench};
use solderlast_core::takes::sweep;
use tokio::sync::Semaphore;

use super::{json, refused};
use crate::disk::off_the_loop;

/// How many are cut at a time; each takes a processor for itself.
static CUT: Semaphore = Semaphore::const_new(2);

/// The sound at an address: `/stretch/TAKE/START/LENGTH`, in seconds, `/blind/TEST/TRIAL/SOUND`,
/// or the sweep that is sent through a pickup, `/sweep`.
///
/// # Errors
/// A refusal when there is none.
pub fn sound(bench: &Bench, path: &str) -> Result<Vec<u8>, ask::Refusal> {
    let nothing = || ask::Refusal::new(ask::Code::NotHere, "There is no such sound.");
    let words: Vec<&str> = path.split('/').collect();
    match words.as_slice() {
        ["", "stretch", take, start, length] => {
            let number = |text: &str| text.parse::<f64>().map_err(|_| nothing());
            bench.stretch(take, number(start)?, number(length)?)
        }
        ["", "blind", test, trial, sound] => {
            let test = serde_json::from_value(Value::String((*test).to_owned())).map_err(|_| nothing())?;
            let trial = trial.parse().map_err(|_| nothing())?;
            bench.blind_sound(test, trial, sound.parse().map_err(|_| nothing())?)
        }
        ["", "sweep"] => Ok(sweep::wav()),
        _ => Err(nothing()),
    }
}

/// The sound at this address.
pub async fn give(bench: Arc<Bench>, path: String) -> Response {
    let _one = CUT.acquire().await;
    match off_the_loop(move || sound(&bench, &path)).await {
        Ok(Ok(file)) => ([(header::CONTENT_TYPE, "audio/wav")], file).into_response(),
        Ok(Err(refusal)) => json(StatusCode::NOT_FOUND, refusal.answer()),
        Err(refusal) => refused(StatusCode::INTERNAL_SERVER_ERROR, &refusal),
    }
}
