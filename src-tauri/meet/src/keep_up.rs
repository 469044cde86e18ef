//! Keeping up with a shared log: an exchange whenever something is new on either side, and longer and longer waits while the server
//! is away. Work goes on meanwhile; nothing here is waited for by who writes.

use std::path::Path;
use std::time::{Duration, Instant};

use chrono::{DateTime, TimeDelta, Utc};
use tokio::sync::Notify;

use crate::log::shared::Shared;
use crate::{Address, ClockOff, Exchanged, NotMet, Pass, Patience, Secret, Server, Wish, exchange};

/// How often this log is looked at for something new, which is one number read.
const LOOKED_AT: Duration = Duration::from_millis(100);
/// Without word from the server it is asked all the same.
const ASKED_AT_LEAST: Duration = Duration::from_secs(60);
/// The first wait for a server that is away, and the longest.
const FIRST_WAIT: Duration = Duration::from_secs(1);
const LONGEST_WAIT: Duration = Duration::from_secs(60);

/// What a meeting came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meeting {
    /// What moved.
    pub exchanged: Exchanged,
    /// Whether this clock differs from the server's.
    pub clock: Option<ClockOff>,
}

impl Meeting {
    /// What it came to, in sentences.
    #[must_use]
    pub fn in_words(&self) -> String {
        let clock = self.clock.map(|clock| format!(" {}", clock.in_words())).unwrap_or_default();
        format!("{}{clock}", self.exchanged.in_words())
    }
}

/// What there is to say while a bench keeps up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum News {
    /// It met the shared log.
    Met(Meeting),
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
pub async fn once(keep_up: KeepUp<'_>, wish: Wish) -> Result<Meeting, NotMet> {
    let begun = Instant::now();
    let mut here = Shared::open(keep_up.folder)?;
    let mut there = Server::meet(keep_up.address, keep_up.secret, keep_up.patience).await?;
    let clock = compared(&there, wish.now + passed(begun)).await?;
    let (mut pass, mut exchanged) = (Pass::default(), Exchanged { more: true, ..Exchanged::default() });
    while exchanged.more {
        exchanged = exchanged.and(exchange(&mut here, &mut there, &mut pass, wish).await?);
    }
    Ok(Meeting { exchanged, clock })
}

fn passed(since: Instant) -> TimeDelta {
    TimeDelta::from_std(since.elapsed()).unwrap_or(TimeDelta::MAX)
}

/// Holds this clock, which shows `now`, against the server's.
async fn compared(there: &Server, now: DateTime<Utc>) -> Result<Option<ClockOff>, NotMet> {
    let asked = Instant::now();
    let server = there.clock().await?;
    Ok(ClockOff::of(now, passed(asked), server))
}

/// Keeps up until something is wrong that does not pass by itself. `wish` gives a new wish for each exchange; whoever tells `asked`
/// is not left to wait for the next one.
///
/// # Errors
/// [`NotMet`].
pub async fn keep_up(
    keep_up: KeepUp<'_>,
    asked: &Notify,
    mut wish: impl FnMut() -> Wish,
    mut say: impl FnMut(News),
) -> Result<std::convert::Infallible, NotMet> {
    let mut wait = FIRST_WAIT;
    loop {
        let Err(not_met) = while_it_lasts(keep_up, asked, &mut wish, &mut say, &mut wait).await;
        if !not_met.may_pass() {
            return Err(not_met);
        }
        // A log that can't be opened just now is told by the next try.
        let waiting = Shared::open(keep_up.folder).and_then(|here| here.waiting()).unwrap_or(0);
        say(News::Away { why: not_met.sentence, waiting, again_in: wait });
        tokio::select! {
            () = tokio::time::sleep(wait) => {}
            () = asked.notified() => {}
        }
        wait = (wait * 2).min(LONGEST_WAIT);
    }
}

/// Keeps up over one connection.
async fn while_it_lasts(
    keep_up: KeepUp<'_>,
    asked: &Notify,
    wish: &mut impl FnMut() -> Wish,
    say: &mut impl FnMut(News),
    wait: &mut Duration,
) -> Result<std::convert::Infallible, NotMet> {
    let mut there = Server::meet(keep_up.address, keep_up.secret, keep_up.patience).await?;
    let word = there.listen().await?;
    let mut here = Shared::open(keep_up.folder)?;
    let mut pass = Pass::default();
    let (mut clock, mut looked) = (compared(&there, wish().now).await?, Instant::now());
    loop {
        if !here.is_still() {
            // The log was made anew: its rows have other numbers.
            here = Shared::open(keep_up.folder)?;
            pass = Pass::default();
        }
        let exchanged = exchange(&mut here, &mut there, &mut pass, wish()).await?;
        *wait = FIRST_WAIT;
        if looked.elapsed() >= ASKED_AT_LEAST {
            (clock, looked) = (compared(&there, wish().now).await?, Instant::now());
        }
        let more = exchanged.more;
        say(News::Met(Meeting { exchanged, clock }));
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
            () = asked.notified() => {}
            () = new_here => {}
            () = tokio::time::sleep(ASKED_AT_LEAST) => {}
        }
    }
}
