//! Meeting a shared log from the command line.

use std::cell::Cell;
use std::io;
use std::path::Path;

use solderlast_core::ask::{Ask, BenchAsk};
use solderlast_core::clock::{Clock as _, version_7};
use solderlast_core::record::names::EntryId;
use solderlast_meet::{
    Address, Exchanged, KeepUp, News, NotMet, Patience, Reason, Secret, Wish, begin, keep_up, once, purge,
};
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_serve::sharing::waits;
use tokio::sync::Notify;

use crate::words::Meet;
use crate::{say, stop_signal, until_it_ends, workshop_of};

/// Meets the shared log that was asked for.
pub fn meet(asked: Meet) -> Result<(), String> {
    let address = Address::read(&asked.address).map_err(sentence)?;
    let given = password(asked.password_file.as_deref())?;
    until_it_ends(async {
        // A password is asked for when the server wants one, and once.
        match met(&asked, &address, given.as_ref()).await {
            Err(not_met) if not_met.reason == Reason::NoPassword && given.is_none() => {
                let Ok(typed) = rpassword::prompt_password(format!("Password for {}: ", address.shown())) else {
                    return Err(sentence(not_met));
                };
                met(&asked, &address, Some(&Secret::new(&typed))).await.map_err(sentence)
            }
            done => done.map_err(sentence),
        }
    })
}

/// What happened, and how it is done on the command line.
fn sentence(not_met: NotMet) -> String {
    let how = match not_met.reason {
        Reason::NoPassword => " Give it in PGPASSWORD, or by --password-file FILE.",
        Reason::PasswordInAddress => {
            " It would be seen in the list of running programs. Give it in PGPASSWORD, by --password-file FILE, or when you are \
             asked for it. If it is a real one, change it."
        }
        Reason::OtherLog => " If that is what you want, say so with --join.",
        _ => "",
    };
    format!("{}{how}", not_met.sentence)
}

/// The password from a file that nobody else can read, or from the environment.
fn password(file: Option<&Path>) -> Result<Option<Secret>, String> {
    let Some(file) = file else {
        return Ok(std::env::var("PGPASSWORD").ok().filter(|word| !word.is_empty()).map(|word| Secret::new(&word)));
    };
    let unread = |error: io::Error| format!("{} can't be read: {error}.", file.display());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        if std::fs::metadata(file).map_err(unread)?.permissions().mode() & 0o077 != 0 {
            return Err(format!("Others can read {0}. Close it first: chmod 600 {0}", file.display()));
        }
    }
    let text = std::fs::read_to_string(file).map_err(unread)?;
    Ok(Some(Secret::new(text.lines().next().unwrap_or_default())))
}

/// What moved, and what waits for somebody to say whether it is meant.
fn and_waits(words: String, exchanged: &Exchanged) -> String {
    match exchanged.waits_in_words() {
        Some(waits) => format!("{words} {waits} If so, erase it with solderlast meet --erase, or in Settings."),
        None => words,
    }
}

async fn met(asked: &Meet, address: &Address, secret: Option<&Secret>) -> Result<(), NotMet> {
    let patience = Patience::default();
    let told = |text: String| say(&text).map_err(|sentence| NotMet { reason: Reason::Here, sentence });
    if asked.begin {
        let made = begin(address, secret, patience).await?;
        let what =
            if made { "The shared log is begun, or brought up to date" } else { "The shared log was there already" };
        return told(format!(
            "{what}: {}.\nGive each bench an account of its own, as CREATE ROLE ada LOGIN PASSWORD '…' IN ROLE solderlast_bench;\n",
            address.shown()
        ));
    }
    if asked.purge {
        let purged = purge(address, secret, patience, asked.erase).await?;
        return told(format!("{}: {}\n", address.shown(), purged.in_words()));
    }
    // Opened once as any program does, so that it is there, sound, and of this version.
    let workshop = workshop_of(asked.log.clone()).map_err(|sentence| NotMet { reason: Reason::Here, sentence })?;
    if let Some(name) = asked.name.clone() {
        let entry = EntryId(version_7(SystemClock.now(), &SystemDice));
        let named = workshop.bench().ask(Ask::Bench(BenchAsk::NameBench { entry, name }));
        named.map_err(|refusal| NotMet { reason: Reason::Here, sentence: refusal.sentence })?;
    }
    let keep = KeepUp { folder: workshop.bench().folder(), address, secret, patience };
    let (join, erase) = (Cell::new(asked.join), Cell::new(asked.erase));
    let wish = || {
        let now = SystemClock.now();
        Wish { join: join.get(), erase: erase.get(), now, tray: version_7(now, &SystemDice) }
    };
    if asked.once {
        let meeting = once(keep, wish()).await?;
        return told(format!("Met {}. {}\n", address.shown(), and_waits(meeting.in_words(), &meeting.exchanged)));
    }
    let stop = stop_signal()
        .map_err(|error| NotMet { reason: Reason::Here, sentence: format!("This can't be stopped well: {error}") })?;
    let (mut first, mut clock_off) = (true, None);
    let news = |news: News| {
        let clock = chrono::Local::now().format("%H:%M:%S");
        let line = match news {
            News::Met(meeting) => {
                // Said for this meeting, and for no other log that may stand at this address later.
                join.set(false);
                erase.set(false);
                let clock_is_new =
                    std::mem::replace(&mut clock_off, meeting.clock) != meeting.clock && meeting.clock.is_some();
                if !std::mem::take(&mut first) && !meeting.exchanged.is_anything() && !clock_is_new {
                    return;
                }
                let words = if clock_is_new { meeting.in_words() } else { meeting.exchanged.in_words() };
                format!("{clock} Met {}. {}\n", address.shown(), and_waits(words, &meeting.exchanged))
            }
            News::Away { why, waiting, again_in } => {
                first = true;
                format!("{clock} {why} {} It is tried again in {} s.\n", waits(waiting), again_in.as_secs())
            }
        };
        // Who does not read it misses nothing of what is done.
        let _unread = say(&line);
    };
    let nobody_asks = Notify::new();
    tokio::select! {
        () = stop => Ok(()),
        ended = keep_up(keep, &nobody_asks, wish, news) => ended.map(|never| match never {}),
    }
}
