//! One exchange: what only this bench has goes to the shared log, what only that has comes in. Nothing is changed on either side.
//!
//! Both ways go in batches, each whole in itself, and how far it came is noted after each (`solderlast_log::shared`): an exchange
//! that ends in the middle is taken up there by the next one. What was noted is never trusted alone: the first exchange of a
//! connection holds the names that were read against those that the shared log has now, and where they differ, as with a server
//! that was put back from a backup, all is compared anew.

use std::collections::{HashMap, HashSet};
use std::pin::pin;
use std::time::Duration;

use uuid::Uuid;

use crate::erasures::Erasures;
use crate::files::Files;
use crate::log::bundle::{Tray, Watch, take_in_lines};
use crate::log::shared::{Met, Shared, sha_of};
use crate::{Exchanged, Head, NotMet, Reason, SharedLog, Wish};

/// How many entries go in one stroke.
const SENT_AT_ONCE: usize = 2000;
/// How many bytes of them, about.
const BYTES_AT_ONCE: usize = 4 << 20;
/// How long a batch may take to go out before the next one is read meanwhile.
const TO_GO_OUT: Duration = Duration::from_millis(5);
/// How many entries are asked about at once.
const READ_AT_ONCE: usize = 5000;
/// From how many new entries on the log is copied before they are taken in, once in an exchange.
const MANY: usize = 1000;

/// How far exchanges over one connection came.
#[derive(Debug, Default)]
pub struct Pass {
    /// The row of this log up to which it was sent.
    pub sent_up_to: i64,
    /// Whether what was noted of the shared log was held against it.
    held_against: bool,
    files: Files,
    pub(crate) erasures: Erasures,
}

/// Exchanges entries once, and then photos and takes, as much of them as takes no long time. `pass` is moved on; a new one looks at
/// all.
///
/// # Errors
/// [`NotMet`]. What went out or came in before stays; the rest goes with the next exchange.
pub async fn exchange(
    here: &mut Shared,
    there: &mut impl SharedLog,
    pass: &mut Pass,
    wish: Wish,
) -> Result<Exchanged, NotMet> {
    let mut exchanged = Exchanged::default();
    let mut met = introduce(here, there, wish).await?;
    // First, so that nothing of what was erased goes out.
    pass.erasures.exchange(here, there, wish, &mut exchanged).await?;
    if !pass.held_against && there.names(met.up_to).await? != here.known()? {
        exchanged.went_back = met.up_to > 0;
        here.forget()?;
        met = Met { up_to: 0, ..met };
        here.set_met(met, &[])?;
        pass.sent_up_to = 0;
    }
    pass.held_against = true;
    send(here, there, pass, &mut exchanged).await?;
    bring_in(here, there, met, wish, &mut exchanged).await?;
    // Behind the entries, a few parts at a time: nobody waits with an entry for somebody else's take.
    exchanged.more = pass.files.exchange(here, there, &mut exchanged).await?;
    Ok(exchanged)
}

/// Whether the two logs belong together: they met before, or one is empty, or they have an entry in common. Else somebody has to say
/// so, as joining can't be undone.
async fn introduce(here: &mut Shared, there: &mut impl SharedLog, wish: Wish) -> Result<Met, NotMet> {
    let log = there.name().await?;
    let new = Met { log, up_to: 0 };
    match here.met()? {
        Some(met) if met.log == log => return Ok(met),
        Some(_) if !wish.join => return Err(other_log("This bench met another shared log before.")),
        Some(_) => here.forget()?,
        None if wish.join || !here.is_anything_here()? => {}
        None => {
            let (mut after, mut any) = (0, false);
            loop {
                let heads = there.after(after, READ_AT_ONCE).await?;
                let Some(last) = heads.last() else { break };
                any = true;
                let ids: Vec<Uuid> = heads.iter().map(|head| head.id).collect();
                if !here.here(&ids)?.is_empty() {
                    any = false;
                    break;
                }
                if last.number <= after {
                    return Err(NotMet::untrue("its entries are not in order"));
                }
                after = last.number;
            }
            if any {
                return Err(other_log("The shared log and the log here have not one entry in common."));
            }
        }
    }
    here.set_met(new, &[])?;
    Ok(new)
}

fn other_log(what: &str) -> NotMet {
    NotMet::new(
        Reason::OtherLog,
        format!(
            "{what} To join them would make one log of both for every bench, and can't be undone. Nothing was sent or brought in."
        ),
    )
}

async fn send(
    here: &mut Shared,
    there: &mut impl SharedLog,
    pass: &mut Pass,
    exchanged: &mut Exchanged,
) -> Result<(), NotMet> {
    let read = |after: i64| here.unsent(after, SENT_AT_ONCE, BYTES_AT_ONCE);
    let mut ahead = Some(read(pass.sent_up_to)?);
    while let Some(mut unsent) = ahead.take() {
        // What lies here still of what was erased elsewhere stays here.
        unsent.entries.retain(|entry| !pass.erasures.is_erased(entry.about));
        exchanged.kept_back += unsent.kept_back;
        // Noted when it is read there: what was sent twice is there once, what was noted too early would never be sent.
        let mut adding =
            pin!(async { if unsent.entries.is_empty() { Ok(()) } else { there.add(&unsent.entries).await } });
        // While that works on them, the next ones are read here.
        let added = tokio::time::timeout(TO_GO_OUT, adding.as_mut()).await;
        if unsent.more {
            ahead = Some(read(unsent.up_to)?);
        }
        match added {
            Ok(added) => added?,
            Err(_) => adding.await?,
        }
        exchanged.sent += unsent.entries.len() as u64;
        pass.sent_up_to = unsent.up_to;
    }
    Ok(())
}

async fn bring_in(
    here: &mut Shared,
    there: &mut impl SharedLog,
    mut met: Met,
    wish: Wish,
    exchanged: &mut Exchanged,
) -> Result<(), NotMet> {
    let mut copied = false;
    loop {
        let heads = there.after(met.up_to, READ_AT_ONCE).await?;
        let Some(last) = heads.last() else { return Ok(()) };
        let mut before = met.up_to;
        for head in &heads {
            if head.number <= before {
                return Err(NotMet::untrue("its entries are not in order"));
            }
            before = head.number;
        }
        let ids: Vec<Uuid> = heads.iter().map(|head| head.id).collect();
        if ids.iter().collect::<HashSet<_>>().len() < ids.len() {
            return Err(NotMet::untrue("it has two entries of one name"));
        }
        let lie_here = here.here(&ids)?;
        // What is here and the same was sent from here, or came on another way.
        let is_wanted = |head: &&Head| !head.erased && lie_here.get(&head.id) != Some(&head.sum);
        let wanted: Vec<Head> = heads.iter().filter(is_wanted).copied().collect();
        let mut rest = wanted.as_slice();
        while !rest.is_empty() {
            let part = part_of(&mut rest);
            let lines = fetch(there, part).await?;
            let copy = (!copied && wanted.len() > MANY).then_some(wish.now);
            copied |= copy.is_some();
            let tray = Tray::put(here.folder(), wish.tray)?;
            let numbered = lines.iter().map(|(number, line)| (u64::try_from(*number).unwrap_or(0), line.as_bytes()));
            exchanged.brought += take_in_lines(here.folder(), &tray, numbered, copy, &Watch::default())?;
        }
        met = Met { up_to: last.number, ..met };
        here.set_met(met, &ids)?;
        if heads.len() < READ_AT_ONCE {
            return Ok(());
        }
    }
}

/// The first of these, as many as weigh no more than is fetched at once.
fn part_of<'a>(rest: &mut &'a [Head]) -> &'a [Head] {
    let mut bytes = 0;
    let count = rest.iter().take_while(|head| {
        let fits = bytes == 0 || bytes + head.length <= BYTES_AT_ONCE;
        bytes += head.length.max(1);
        fits
    });
    let (part, left) = rest.split_at(count.count());
    *rest = left;
    part
}

/// Fetches what these entries say, in their order, and holds it against their sums and names.
async fn fetch(there: &mut impl SharedLog, heads: &[Head]) -> Result<Vec<(i64, String)>, NotMet> {
    let numbers: Vec<i64> = heads.iter().map(|head| head.number).collect();
    let mut lines: HashMap<i64, String> = there.lines(&numbers).await?.into_iter().collect();
    let in_order = heads.iter().map(|head| {
        let line = lines
            .remove(&head.number)
            .ok_or_else(|| NotMet::untrue(&format!("entry {} was named and is not there", head.number)))?;
        if sha_of(&line) != head.sum {
            return Err(NotMet::untrue(&format!("entry {} does not have the sum that stands beside it", head.number)));
        }
        if !line.starts_with(&format!(r#"{{"id":"{}","#, head.id)) {
            return Err(NotMet::untrue(&format!("entry {} stands under the name of another", head.number)));
        }
        Ok((head.number, line))
    });
    in_order.collect()
}
