//! Why a shared log was not met. Whatever the reason, nothing that is written here was changed.

use std::fmt;

use crate::log::Trouble;
use crate::log::bundle::NotCarried;

/// Whose matter it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// The address can't be used as it is typed.
    Address,
    /// There is a password in the address.
    PasswordInAddress,
    /// A password is wanted, and none was given.
    NoPassword,
    /// The server lets this account not in, or not do this.
    NotLetIn,
    /// The server can't be reached, or went away: it is worth trying again.
    Away,
    /// The database has no shared log yet.
    NotBegun,
    /// What is in the database is no shared log, or not as it was made.
    NotOurs,
    /// A newer version made it.
    Newer,
    /// It needs what a newer version of it has.
    Older,
    /// It is another log than the one of this bench.
    OtherLog,
    /// What the server says can't be.
    Untrue,
    /// The log on this bench can't be used.
    Here,
}

/// Why a shared log was not met, in a sentence. How a password is given, and how two logs are joined, is for who asked to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotMet {
    /// Whose matter it is.
    pub reason: Reason,
    /// What happened, what was kept, what to do.
    pub sentence: String,
}

impl NotMet {
    pub(crate) fn new(reason: Reason, sentence: impl Into<String>) -> Self {
        Self { reason, sentence: sentence.into() }
    }

    /// Whether it may be otherwise in a while, with nothing done about it.
    #[must_use]
    pub fn may_pass(&self) -> bool {
        self.reason == Reason::Away
    }

    /// That the server says something that can't be.
    pub(crate) fn untrue(what: &str) -> Self {
        Self::new(
            Reason::Untrue,
            format!(
                "The shared log can't be as the server tells it: {what}. Nothing of it was brought in, and your log is as it \
                 was. Ask who keeps the server to look at it."
            ),
        )
    }
}

impl fmt::Display for NotMet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for NotMet {}

impl From<Trouble> for NotMet {
    fn from(trouble: Trouble) -> Self {
        // Another program has it, it was replaced, or there is no room just now: the next try begins anew with what is there then.
        let passes = matches!(trouble, Trouble::Busy | Trouble::Gone(_) | Trouble::Full);
        let reason = if passes { Reason::Away } else { Reason::Here };
        Self::new(reason, trouble.to_string())
    }
}

impl From<std::io::Error> for NotMet {
    fn from(error: std::io::Error) -> Self {
        Trouble::from(error).into()
    }
}

impl From<NotCarried> for NotMet {
    fn from(not_carried: NotCarried) -> Self {
        match not_carried {
            NotCarried::Flaw(flaw) => Self::new(
                Reason::Untrue,
                format!("{} Ask who keeps the server to look at it.", flaw.sentence_of_shared()),
            ),
            NotCarried::Trouble(trouble) => trouble.into(),
            other @ (NotCarried::Unpackable(_) | NotCarried::CalledOff) => Self::new(Reason::Here, other.sentence()),
        }
    }
}
