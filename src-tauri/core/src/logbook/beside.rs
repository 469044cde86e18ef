//! What is looked for beside auditions: what was found out about leads, read at a jack, and decided.

use chrono::{DateTime, Utc};
use rusqlite::OptionalExtension;
use serde::{Deserialize, Serialize};
use solderlast_log::read_entry;
use ts_rs::TS;
use uuid::Uuid;

use super::install_line::InstallLine;
use super::words::to_look_for;
use super::{Log, Trouble};
use crate::entry_lines::install;
use crate::record::body::{Body, ComparisonBody, InstallBody, LeadsBody};
use crate::record::entry::{About, Entry};
use crate::record::quantity::InInches;
use crate::record::words::listed;

/// How many of the newest entries are looked through.
const LOOKED_THROUGH: i64 = 1000;
/// The most that are shown.
const MOST: usize = 10;

/// Something found in the log that is no audition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct FoundBeside {
    /// What it is about: a pickup whose leads were found out, a guitar for which something was decided, or an install.
    pub about: About,
    /// What that is called.
    pub title: String,
    /// What was found, in words; the newest of it.
    pub words: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
    /// When that was written.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
}

/// What an entry says, in millimetres and in inches, and what was typed for it; nothing for what is looked for elsewhere.
fn said(body: &Body) -> Option<((String, Option<InInches>), &str)> {
    let told = |words| (words, None);
    Some(match body {
        Body::Leads(LeadsBody::LeadsBegun { leads, .. }) => (told(format!("Leads: {}", listed(leads))), ""),
        Body::Leads(body @ LeadsBody::LeadsMeasured { typed, .. }) => (told(body.in_words()?), typed),
        Body::Install(
            body @ (InstallBody::JackRead { typed, .. }
            | InstallBody::JackReadBefore { typed, .. }
            | InstallBody::FitProbed { typed, .. }),
        ) => (told(install::in_words(body)), typed),
        Body::Comparison(ComparisonBody::Decided { decision }) => (InInches::told(|unit| decision.in_words(unit)), ""),
        _ => return None,
    })
}

/// What a thing is called; nothing when it is in no list.
fn title(log: &Log, about: About) -> Result<Option<String>, Trouble> {
    let one = |sql: &str, id: Uuid| -> Result<Option<String>, Trouble> {
        Ok(log.tables().prepare_cached(sql)?.query_row([id], |row| row.get(0)).optional()?)
    };
    const LABEL: &str = "SELECT label FROM thing_line WHERE id = ?1";
    let About::Fit(id) = about else { return one(LABEL, about.uuid()) };
    let line = one("SELECT line FROM fit_line WHERE fit = ?1", id.0)?;
    let Some(mut line) = line.and_then(|line| serde_json::from_str::<InstallLine>(&line).ok()) else { return Ok(None) };
    line.pickup_label = one(LABEL, line.pickup.0)?.unwrap_or_default();
    line.guitar_label = one(LABEL, line.guitar.0)?.unwrap_or_default();
    line.say();
    Ok(Some(line.title))
}

/// The newest entry of each thing in which, with the thing's name, all of these words begin.
pub(super) fn beside(log: &Log, words: &[String]) -> Result<Vec<FoundBeside>, Trouble> {
    let mut found: Vec<FoundBeside> = Vec::new();
    if words.is_empty() {
        return Ok(found);
    }
    let mut select = log.tables().prepare_cached(
        "SELECT id, at, bench, thing, about, kind, body, sum FROM entry INDEXED BY entry_beside
         WHERE kind IN ('leads_begun', 'leads_measured', 'jack_read', 'jack_read_before', 'fit_probed', 'decided')
         ORDER BY at DESC, id DESC LIMIT ?1",
    )?;
    let entries = select.query_map([LOOKED_THROUGH], read_entry)?;
    for entry in entries {
        let Some(entry) = entry? else { continue };
        if found.len() == MOST || found.iter().any(|one| one.about == entry.about) {
            continue;
        }
        let Some(((line, in_inches), typed)) = entry.body.known().and_then(said) else { continue };
        let Some(title) = title(log, entry.about)? else { continue };
        let there: Vec<String> = [&line, typed, &title].into_iter().flat_map(to_look_for).collect();
        if words.iter().all(|word| there.iter().any(|other| other.starts_with(word.as_str()))) && stands(log, &entry)? {
            found.push(FoundBeside { about: entry.about, title, words: line, in_inches, at: entry.at });
        }
    }
    Ok(found)
}

/// Whether an entry was not struck out.
fn stands(log: &Log, entry: &Entry) -> Result<bool, Trouble> {
    let ordered = log.about(entry.about)?;
    Ok(ordered.iter().any(|(other, struck)| other.id == entry.id && !struck))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logbook::words::tokens;

    #[test]
    fn a_number_is_one_word_however_it_is_written() {
        for (typed, found) in [
            ("6.66k", true),
            ("6,66k", true),
            ("6.6", true),
            ("6.66 kΩ", true),
            ("66k", true),
            ("6.7", false),
            ("16.66", false),
        ] {
            let there = to_look_for("moss to rust: 6.66 kΩ");
            let all = tokens(typed).iter().all(|word| there.iter().any(|other| other.starts_with(word.as_str())));
            assert_eq!(all, found, "{typed} {there:?}");
        }
    }
}
