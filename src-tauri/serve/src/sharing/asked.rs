//! What is asked of a shared log, and what is shown of it.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What to do with a shared log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// Tell how it stands.
    Status,
    /// Meet the one at this address.
    Meet,
    /// Meet with another password for the same address.
    Password,
    /// Make one log of two that have nothing in common.
    Join,
    /// Erase here too what others erased for good, however much it is.
    Erase,
    /// Meet at once.
    Now,
    /// Share no more; all that came in stays.
    Stop,
}

/// One thing to do with the shared log.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wish {
    /// What to do.
    pub action: Action,
    /// Where the shared log is.
    #[serde(default)]
    pub address: String,
    /// The password; empty for none.
    #[serde(default)]
    pub password: String,
    /// Whether the password is kept beside the log.
    #[serde(default)]
    pub keep_password: bool,
}

/// How it stands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// This bench shares no log.
    #[default]
    Off,
    /// It is being met.
    Meeting,
    /// It was met, and is kept up with.
    Met,
    /// The server is away; it is tried again by itself.
    Away,
    /// Somebody has to do something first.
    Stuck,
}

/// What a person is asked before it goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Asks {
    /// For the password.
    Password,
    /// Whether two logs become one.
    Join,
}

/// What to show of it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SharedLog {
    /// How it stands.
    pub standing: Standing,
    /// The address, as it was typed.
    pub address: Option<String>,
    /// The same for a person: the database and the computer.
    pub name: Option<String>,
    /// Whether the password is kept beside the log.
    pub keeps_password: bool,
    /// What is wrong.
    pub trouble: Option<String>,
    /// What a person is asked.
    pub asks: Option<Asks>,
    /// That others erased much of what lies here, and that it waits.
    pub erased_elsewhere: Option<String>,
    /// When it last met.
    pub last_met: Option<DateTime<Utc>>,
    /// What moved then.
    pub moved: Option<String>,
    /// How much waits here.
    pub waiting: Option<String>,
    /// That this clock differs from the server's.
    pub clock: Option<String>,
}

/// How much waits, in a sentence.
#[must_use]
pub fn waits(entries: u64) -> String {
    match entries {
        0 => "Nothing waits here.".to_owned(),
        1 => "1 entry waits here.".to_owned(),
        many => format!("{many} entries wait here."),
    }
}
