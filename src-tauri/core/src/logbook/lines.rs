//! The line of an audition, composed from its entries and those of its things.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension, Transaction, params};
use uuid::Uuid;

use super::Trouble;
use super::install_line;
use crate::audition::{Audition, CameTo, Kit, State, leads_to, proof, state};
use crate::logbook::line::{Line, column_of};
use crate::logbook::words::{sum_of_words, words_of};
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::guitar::Guitar;
use crate::record::meter::{MeterId, OwnMeter};
use crate::record::names::DEMO_BENCH;
use crate::record::pickup::Pickup;
use crate::record::rig::Rig;
use crate::record::things::{Described, Thing};
use solderlast_log::{ABOUT, Ordered, read_entry};

/// Writes the lines of what was written about, in one stroke.
pub(super) struct Lines<'a> {
    stroke: &'a Transaction<'a>,
    /// Labels of pickups and guitars, and how many terminals rigs have, as they are now.
    labels: HashMap<Uuid, String>,
    terminals: HashMap<Uuid, Option<usize>>,
    /// The entries of things that were needed.
    read: HashMap<About, Ordered>,
}

impl<'a> Lines<'a> {
    pub fn new(stroke: &'a Transaction<'a>) -> Self {
        Self { stroke, labels: HashMap::new(), terminals: HashMap::new(), read: HashMap::new() }
    }

    /// Brings the lines of these things up to date, and of every audition that shows something of them or is judged by them.
    /// With each goes the time of the earliest entry that may describe it otherwise.
    pub fn bring_up_to_date(&mut self, touched: &BTreeMap<About, Option<i64>>) -> Result<(), Trouble> {
        let mut auditions = BTreeSet::new();
        for (about, earliest) in touched {
            match about {
                About::Pickup(_) => {
                    let line = self.thing_line::<Pickup>(*about, |_| None)?;
                    self.auditions_of(*about, &line, *earliest, &mut auditions)?;
                }
                About::Guitar(_) => {
                    let line = self.thing_line::<Guitar>(*about, |_| None)?;
                    // Which way a pickup may lie hangs on its guitar.
                    self.auditions_of(*about, &line, *earliest, &mut auditions)?;
                }
                About::Rig(_) => {
                    // How many terminals there are decides whether the leads are done.
                    let line = self.thing_line::<Rig>(*about, |rig| u32::try_from(rig.terminals.len()).ok())?;
                    self.auditions_of(*about, &line, *earliest, &mut auditions)?;
                }
                About::Audition(id) => {
                    auditions.insert(id.0);
                }
                About::Fit(id) => install_line::list(self.stroke, *id, &self.entries(*about)?)?,
                // Names of benches are read when somebody looks.
                About::Bench(_) => {}
                About::Meter(_) => {
                    if let Some(earliest) = earliest {
                        self.collect(
                            "SELECT audition FROM audition_line WHERE open = 1 OR last >= ?1",
                            params![earliest],
                            &mut auditions,
                        )?;
                    }
                }
            }
        }
        for audition in auditions {
            self.audition_line(AuditionId(audition))?;
        }
        Ok(())
    }

    fn collect(&self, sql: &str, values: impl rusqlite::Params, auditions: &mut BTreeSet<Uuid>) -> Result<(), Trouble> {
        let mut select = self.stroke.prepare_cached(sql)?;
        let rows = select.query_map(values, |row| row.get::<_, Uuid>(0))?;
        for audition in rows {
            auditions.insert(audition?);
        }
        Ok(())
    }

    /// The auditions of a thing whose lines may have changed: all of them when something changed that lines show, else those
    /// that are judged by a description at or after the earliest new one. An audition that is over is judged by what its things
    /// were then, or by what they are now where nothing was known of them then.
    fn auditions_of(
        &self,
        about: About,
        line: &ThingLine,
        earliest: Option<i64>,
        auditions: &mut BTreeSet<Uuid>,
    ) -> Result<(), Trouble> {
        let Some(column) = column_of(about) else { return Ok(()) };
        if line.changed {
            let sql = format!("SELECT audition FROM audition_line WHERE {column} = ?1");
            return self.collect(&sql, params![about.uuid()], auditions);
        }
        let Some(earliest) = earliest else { return Ok(()) };
        let sql =
            format!("SELECT audition FROM audition_line WHERE {column} = ?1 AND (open = 1 OR last >= ?2 OR last < ?3)");
        self.collect(&sql, params![about.uuid(), earliest, line.first], auditions)
    }

    fn entries(&self, about: About) -> Result<Ordered, Trouble> {
        let mut select = self.stroke.prepare_cached(ABOUT)?;
        let mut rows = select.query(params![about.uuid(), about.word()])?;
        let mut entries = Vec::new();
        while let Some(row) = rows.next()? {
            entries.extend(read_entry(row)?);
        }
        Ok(Ordered::of(entries))
    }

    fn thing_line<T: Described>(
        &self,
        about: About,
        terminals: impl Fn(&T) -> Option<u32>,
    ) -> Result<ThingLine, Trouble> {
        let before: Option<(String, Option<u32>)> = self
            .stroke
            .prepare_cached("SELECT label, terminals FROM thing_line WHERE id = ?1")?
            .query_row([about.uuid()], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        let Some(thing) = Thing::<T>::fold(&self.entries(about)?) else {
            self.stroke.execute("DELETE FROM thing_line WHERE id = ?1", [about.uuid()])?;
            return Ok(ThingLine { changed: before.is_some(), first: i64::MAX });
        };
        let now = (thing.described.label().to_owned(), terminals(&thing.described));
        self.stroke
            .prepare_cached(
                "INSERT OR REPLACE INTO thing_line VALUES (?1, ?2, ?3, ?4, ?5, sum_of(?1, ?2, ?3, ?4, ?5))",
            )?
            .execute(params![about.uuid(), about.word(), now.0, thing.retired, now.1])?;
        Ok(ThingLine { changed: before.as_ref() != Some(&now), first: thing.first.timestamp_micros() })
    }

    fn label(&mut self, id: Uuid) -> Result<String, Trouble> {
        if let Some(label) = self.labels.get(&id) {
            return Ok(label.clone());
        }
        let label: Option<String> = self
            .stroke
            .prepare_cached("SELECT label FROM thing_line WHERE id = ?1")?
            .query_row([id], |row| row.get(0))
            .optional()?;
        let label = label.unwrap_or_default();
        self.labels.insert(id, label.clone());
        Ok(label)
    }

    fn terminals_of(&mut self, rig: Uuid) -> Result<Option<usize>, Trouble> {
        if let Some(terminals) = self.terminals.get(&rig) {
            return Ok(*terminals);
        }
        let found: Option<Option<u32>> = self
            .stroke
            .prepare_cached("SELECT terminals FROM thing_line WHERE id = ?1")?
            .query_row([rig], |row| row.get(0))
            .optional()?;
        let terminals = found.flatten().and_then(|count| usize::try_from(count).ok());
        self.terminals.insert(rig, terminals);
        Ok(terminals)
    }

    /// A thing as it was described at `until`, or as it is now where nothing was known of it then.
    fn described<T: Described>(&mut self, about: About, until: Option<DateTime<Utc>>) -> Result<Option<T>, Trouble> {
        if !self.read.contains_key(&about) {
            let entries = self.entries(about)?;
            self.read.insert(about, entries);
        }
        let Some(entries) = self.read.get(&about) else { return Ok(None) };
        let then = until.and_then(|_| Thing::<T>::fold(&entries.until(until)));
        Ok(then.or_else(|| Thing::<T>::fold(entries)).map(|thing| thing.described))
    }

    /// Its things as they were described then.
    fn kit_of(&mut self, audition: &Audition, state: State) -> Result<Kit, Trouble> {
        let Some(choice) = audition.choice.as_ref().map(|saved| &saved.said) else { return Ok(Kit::default()) };
        let until = if state == State::Open { None } else { audition.last };
        let about_meter = self.entries(About::Meter(MeterId::IN_USE))?;
        let meter = Thing::<OwnMeter>::fold(&about_meter.until(until));
        Ok(Kit {
            pickup: self.described(About::Pickup(choice.pickup), until)?,
            guitar: self.described(About::Guitar(choice.guitar), until)?,
            rig: self.described(About::Rig(choice.rig), until)?,
            meter: meter.map(|thing| thing.described).unwrap_or_default(),
            ..Kit::default()
        })
    }

    fn audition_line(&mut self, id: AuditionId) -> Result<(), Trouble> {
        let ordered = self.entries(About::Audition(id))?;
        let audition = Audition::fold(&ordered);
        let before: Option<i64> = self
            .stroke
            .prepare_cached("SELECT row FROM audition_line WHERE audition = ?1")?
            .query_row([id.0], |row| row.get(0))
            .optional()?;
        let (Some(begun), Some(last)) = (audition.begun, audition.last) else { return Ok(()) };
        if let Some(row) = before {
            self.stroke.prepare_cached("DELETE FROM audition_words WHERE rowid = ?1")?.execute([row])?;
            self.stroke.prepare_cached("DELETE FROM audition_line WHERE row = ?1")?.execute([row])?;
        }
        let choice = audition.choice.as_ref().map(|saved| &saved.said);
        let (pickup, guitar) = (choice.map(|choice| choice.pickup), choice.map(|choice| choice.guitar));
        let pickup_label = pickup.map_or_else(|| Ok(String::new()), |pickup| self.label(pickup.0))?;
        let guitar_label = guitar.map_or_else(|| Ok(String::new()), |guitar| self.label(guitar.0))?;
        let terminals = choice.map_or(Ok(None), |choice| self.terminals_of(choice.rig.0))?;
        let (state, next) = state(&audition, terminals);
        let kit = self.kit_of(&audition, state)?;
        let next = if state == State::Open { leads_to(&audition, &kit).or(next) } else { next };
        let proof = if audition.readings.is_empty() { CameTo::NotProven } else { proof(&audition, &kit) };
        let line = Line {
            audition: id,
            begun,
            last,
            state,
            next,
            next_name: next.map(|step| step.name().to_owned()),
            demo: audition.demo,
            pickup,
            pickup_label,
            guitar,
            guitar_label,
            place: choice.map(|choice| choice.place.clone()).unwrap_or_default(),
            question: choice.map(|choice| choice.question.clone()).unwrap_or_default(),
            overrides: audition.overrides.len(),
            proof,
            proof_shown: proof.in_words().to_owned(),
        };
        // The row number is the instant it was begun, so that the order of rows is the order of the logbook. A line that is
        // written again gets the next number: the index keeps the words of a number that was deleted until it is merged.
        let instant = begun.timestamp_micros();
        let mut row = before.filter(|row| (instant..instant + 1_000_000).contains(row)).map_or(instant, |row| row + 1);
        while self.stroke.prepare_cached("SELECT 1 FROM audition_line WHERE row = ?1")?.exists([row])? {
            row += 1;
        }
        let text = serde_json::to_string(&line).map_err(|error| Trouble::Program(error.to_string()))?;
        let benches = ordered.iter().map(|(entry, _)| entry.bench).filter(|bench| *bench != DEMO_BENCH).collect();
        let words = words_of(&audition, &ordered, &line, &benches);
        self.stroke
            .prepare_cached(
                "INSERT INTO audition_line (row, audition, open, last, pickup, guitar, rig, line, place, words, sum)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, sum_of(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10))",
            )?
            .execute(params![
                row,
                id.0,
                state == State::Open,
                last.timestamp_micros(),
                pickup.map(|p| p.0),
                guitar.map(|g| g.0),
                choice.map(|c| c.rig.0),
                text,
                line.place,
                sum_of_words(&words),
            ])?;
        self.stroke
            .prepare_cached("INSERT INTO audition_words (rowid, words) VALUES (?1, ?2)")?
            .execute(params![row, words])?;
        Ok(())
    }
}

/// What became of a thing's line.
struct ThingLine {
    /// Whether something in it changed that the lines of its auditions show.
    changed: bool,
    /// When it was described first, in microseconds; never for a thing that is not described.
    first: i64,
}
