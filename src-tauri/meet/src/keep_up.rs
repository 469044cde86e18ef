//! Keeping up with a shared log: an exchange whenever something is new on either side, and longer and longer waits while the server
//! is away. Work goes on meanwhile; nothing here is waited for by who writes.

use std::path::Path;
use std::time::Duration;

use crate::log::shared::Shared;
use crate::{Address, Exchanged, NotMet, Pass, Patience, Secret, Server, Wish, exchange};

/// How often this log is looked at for something new, which is one number read.
const LOOKED_AT: Duration = Duration::from_millis(100);
/// Without word from the server it is asked all the same.
const ASKED_AT_LEAST: Duration = Duration::from_secs(60);
/// The first wait for a server that is away, and the longest.
const FIRST_WAIT: Duration = Duration::from_secs(1);
const LONGEST_WAIT: Duration = Duration::from_secs(60);

/// What there is to say while a bench keeps up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum News {
    /// It met the shared log, for the first time or again, or something moved.
    Met(Exchanged),
    /// The server is away: why, how many entries wait, and in how long it is tried again.
    Away {
        /// Why, in a sentence.
        why: String,
        /// How many entries wait here.
        waiting: u64,
        /// When it is tried again.
        again_in: Duration,
    },
}

/// What is kept up with, and how.
#[derive(Debug, Clone, Copy)]
pub struct KeepUp<'a> {
    /// The folder of the log, which was opened before.
    pub folder: &'a Path,
    /// Where the shared log is.
    pub address: &'a Address,
    /// The password.
    pub secret: Option<&'a Secret>,
    /// How long the server may take.
    pub patience: Patience,
}

/// Exchanges until nothing is under way any more.
///
/// # Errors
/// [`NotMet`].
pub async fn once(keep_up: KeepUp<'_>, wish: Wish) -> Result<Exchanged, NotMet> {
    let mut here = Shared::open(keep_up.folder)?;
    let mut there = Server::meet(keep_up.address, keep_up.secret, keep_up.patience).await?;
    let (mut pass, mut all) = (Pass::default(), Exchanged { more: true, ..Exchanged::default() });
    while all.more {
        all = all.and(exchange(&mut here, &mut there, &mut pass, wish).await?);
    }
    Ok(all)
}

/// Keeps up until something is wrong that does not pass by itself. `wish` gives a new wish for each exchange.
///
/// # Errors
/// [`NotMet`].
pub async fn keep_up(
    keep_up: KeepUp<'_>,
    mut wish: impl FnMut() -> Wish,
    mut say: impl FnMut(News),
) -> Result<std::convert::Infallible, NotMet> {
    let mut wait = FIRST_WAIT;
    loop {
        let Err(not_met) = while_it_lasts(keep_up, &mut wish, &mut say, &mut wait).await;
        if !not_met.may_pass() {
            return Err(not_met);
        }
        // A log that can't be opened just now is told by the next try.
        let waiting = Shared::open(keep_up.folder).and_then(|here| here.waiting()).unwrap_or(0);
        say(News::Away { why: not_met.sentence, waiting, again_in: wait });
        tokio::time::sleep(wait).await;
        wait = (wait * 2).min(LONGEST_WAIT);
    }
}

/// Keeps up over one connection.
async fn while_it_lasts(
    keep_up: KeepUp<'_>,
    wish: &mut impl FnMut() -> Wish,
    say: &mut impl FnMut(News),
    wait: &mut Duration,
) -> Result<std::convert::Infallible, NotMet> {
    let mut there = Server::meet(keep_up.address, keep_up.secret, keep_up.patience).await?;
    let word = there.listen().await?;
    let mut here = Shared::open(keep_up.folder)?;
    let (mut pass, mut first) = (Pass::default(), true);
    loop {
        if !here.is_still() {
            // The log was made anew: its rows have other numbers.
            here = Shared::open(keep_up.folder)?;
            pass = Pass::default();
        }
        let exchanged = exchange(&mut here, &mut there, &mut pass, wish()).await?;
        *wait = FIRST_WAIT;
        let more = exchanged.more;
        if first || exchanged.is_anything() {
            say(News::Met(exchanged));
        }
        first = false;
        if more {
            continue;
        }
        let new_here = async {
            loop {
                tokio::time::sleep(LOOKED_AT).await;
                // What can't be read is told by the exchange.
                if !here.is_still()
                    || here.erasures_bytes() != pass.erasures.noted_bytes
                    || here.newest().is_ok_and(|newest| newest > pass.sent_up_to)
                    || here.newest().is_err()
                {
                    return;
                }
            }
        };
        tokio::select! {
            () = word.notified() => {}
            () = new_here => {}
            () = tokio::time::sleep(ASKED_AT_LEAST) => {}
        }
    }
}
