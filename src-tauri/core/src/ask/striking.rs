//! Striking out and bringing back: what may be struck, and where that is found which stands in no list any more.

use super::Refusal;
use crate::ask::reply::Reply;
use crate::ask::views::StruckLine;
use crate::entry_lines::lines::told;
use crate::entry_lines::strikes;
use crate::logbook::{Lists, Log};
use crate::record::body::{AuditionBody, Body, InstallBody};
use crate::record::entry::{About, Entry, Written};
use crate::record::names::EntryId;
use crate::record::strike::struck_by;

/// What stands in no list because its beginning was struck out, the newest first.
pub(super) fn struck_reply(log: &mut Log) -> Result<Reply, Refusal> {
    let mut lines = Vec::new();
    for line in log.struck_out_installs()? {
        let begun = |body: &Body| matches!(body, Body::Install(InstallBody::FitBegun { .. }));
        lines.extend(struck_line(log, About::Fit(line.fit), line.title, begun)?);
    }
    for audition in log.auditions_of_nothing()? {
        let chosen = |body: &Body| matches!(body, Body::Audition(AuditionBody::Chosen { .. }));
        lines.extend(struck_line(log, About::Audition(audition), "An audition without a pickup".to_owned(), chosen)?);
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.struck.at));
    Ok(Reply::Struck { lines })
}

/// The line of a thing by the last of its beginnings, if that is struck out.
fn struck_line(
    log: &Log,
    about: About,
    title: String,
    is_beginning: fn(&Body) -> bool,
) -> Result<Option<StruckLine>, Refusal> {
    let ordered = log.about(about)?;
    let last = ordered.iter().rev().find_map(|(entry, struck)| {
        let body = entry.body.known().filter(|body| is_beginning(body))?;
        struck.then(|| Some((entry, told(body)?, struck_by(&ordered, entry.id)?)))?
    });
    Ok(last.map(|(entry, (words, in_inches), struck)| StruckLine {
        about,
        title,
        words,
        in_inches,
        at: entry.at,
        struck,
    }))
}

/// Refuses to strike out what is not among these entries, what is none of those that `kind` allows, and what can't be
/// struck out as things stand. A strike-out may be struck out if what it is about may: that brings it back.
pub(super) fn may_be_struck<'a>(
    before: &'a [(Entry, bool)],
    struck: EntryId,
    not_there: &str,
    kind: impl Fn(&Written) -> bool,
) -> Result<&'a Entry, Refusal> {
    let refused = |sentence: &str| Refusal::unclear("struck", sentence);
    let root = crate::record::strike::root(before, struck).ok_or_else(|| refused(not_there))?;
    let (target, is_struck) = before.iter().find(|(entry, _)| entry.id == struck).ok_or_else(|| refused(not_there))?;
    if !kind(&root.body) {
        return Err(refused(not_there));
    }
    if *is_struck {
        return Err(refused("This is struck out already. Nothing was written."));
    }
    match strikes::refused(before, target) {
        Some(why) => Err(refused(&format!("{why} Nothing was struck out."))),
        None => Ok(target),
    }
}
