//! What went wrong with a server, or on the way to it, in sentences. Nothing that the server says itself is said again: it may not be
//! what it seems.

use std::error::Error as _;

use tokio_postgres::error::SqlState;

use crate::{NotMet, Reason};

/// What went wrong with a server, for a person.
pub(crate) fn told(error: &tokio_postgres::Error) -> NotMet {
    let Some(db) = error.as_db_error() else { return told_of_the_road(error) };
    let (code, is) = (db.code(), |codes: &[&SqlState]| codes.contains(&db.code()));
    let (reason, sentence) = if is(&[&SqlState::INVALID_PASSWORD, &SqlState::INVALID_AUTHORIZATION_SPECIFICATION]) {
        (
            Reason::NotLetIn,
            "The server does not let this account in: the name or the password is wrong, or it is not allowed to \
            come from here."
                .to_owned(),
        )
    } else if is(&[&SqlState::INVALID_CATALOG_NAME]) {
        (Reason::NotLetIn, "The server has no database of this name.".to_owned())
    } else if is(&[&SqlState::INSUFFICIENT_PRIVILEGE]) {
        (
            Reason::NotLetIn,
            "This account may not do that in this database. A bench's account has to belong to \
            solderlast_bench: who keeps the database says GRANT solderlast_bench TO it."
                .to_owned(),
        )
    } else if is(&[&SqlState::UNDEFINED_TABLE, &SqlState::UNDEFINED_COLUMN, &SqlState::DATATYPE_MISMATCH]) {
        (
            Reason::NotOurs,
            "The tables of this shared log are not as Solderlast makes them. Nothing was brought in.".to_owned(),
        )
    } else if is(&[&SqlState::DISK_FULL]) {
        (Reason::Away, "The server's disk is full. What is written here is safe.".to_owned())
    } else if matches!(code.code().get(..2), Some("57" | "53" | "08" | "55" | "40" | "25")) {
        // It stops, starts, waits for another, or has too much to do.
        (Reason::Away, "The server can't answer at the moment. What is written here is safe.".to_owned())
    } else {
        (Reason::NotOurs, format!("The server refused ({}). Nothing was brought in.", code.code()))
    };
    NotMet::new(reason, sentence)
}

/// What went wrong on the way to a server.
fn told_of_the_road(error: &tokio_postgres::Error) -> NotMet {
    let cause = error.source();
    let said = cause.map(ToString::to_string).unwrap_or_default();
    if said.contains("password missing") {
        return NotMet::new(Reason::NoPassword, "The server wants a password.");
    }
    if said.contains("server does not support TLS") {
        return NotMet::new(
            Reason::Address,
            "The server encrypts nothing, so it was not met. If the network between is yours alone, say ?sslmode=disable.",
        );
    }
    let io = cause.and_then(|cause| cause.downcast_ref::<std::io::Error>());
    if io.is_some_and(|io| io.kind() == std::io::ErrorKind::InvalidData) || said.contains("certificate") {
        return NotMet::new(
            Reason::NotLetIn,
            "The server can't show that it is the one that was named, so nothing was sent. Name the file of its certificate \
             as sslrootcert, or mend the server's.",
        );
    }
    let text = error.to_string();
    if text.contains("unexpected message") || text.contains("error parsing") || text.contains("invalid message") {
        return NotMet::new(Reason::NotOurs, "What answers there is no PostgreSQL server.");
    }
    if text.contains("deserializing") {
        return NotMet::untrue("one of its answers can't be read");
    }
    NotMet::new(Reason::Away, "The server can't be reached, or went away. What is written here is safe.")
}
