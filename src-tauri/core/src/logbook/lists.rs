//! Derived tables for lists and search. They hold nothing of their own and can be made anew from the entries at any time.
//!
//! A write touches the entries only; the lists catch up when somebody looks at them, so that recording a reading costs
//! one row and one sync.

use std::collections::{BTreeSet, HashMap};

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension, Transaction, TransactionBehavior, params};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::entry::{About, Entry, in_order};
use super::fits;
use super::search::words_of;
use super::store::{ABOUT, Log, read_entry};
use super::trouble::Trouble;
use crate::audition::{Audition, AuditionId, State, Step, state};
use crate::guitar::{Guitar, GuitarId};
use crate::pickup::{Pickup, PickupId};
use crate::rig::{Rig, RigId};
use crate::things::{Described, Thing};

/// How many things are brought up to date in one stroke.
const AT_ONCE: usize = 2000;

/// One audition, as a line in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Line {
    /// The audition.
    pub audition: AuditionId,
    /// When it was begun.
    #[ts(type = "string")]
    pub begun: DateTime<Utc>,
    /// When it was written in last.
    #[ts(type = "string")]
    pub last: DateTime<Utc>,
    /// Open, finished, or ended early.
    pub state: State,
    /// The step to go on with, while it is open.
    pub next: Option<Step>,
    /// The name of that step.
    pub next_name: Option<String>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// The pickup, if one was chosen.
    pub pickup: Option<PickupId>,
    /// What the pickup is called.
    pub pickup_label: String,
    /// The guitar, if one was chosen.
    pub guitar: Option<GuitarId>,
    /// What the guitar is called.
    pub guitar_label: String,
    /// What the place is called.
    pub place: String,
    /// What the person wants to find out.
    pub question: String,
    /// How many holds were passed on somebody's own responsibility.
    pub overrides: usize,
}

impl Log {
    /// Brings the lists up to date with the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn catch_up(&mut self) -> Result<(), Trouble> {
        while self.catch_up_some()? {}
        Ok(())
    }

    /// Brings the lists up to date for somebody who only looks. On a full disk they show what they showed before.
    pub(super) fn catch_up_to_look(&mut self) -> Result<(), Trouble> {
        match self.catch_up() {
            Err(Trouble::Full) => Ok(()),
            other => other,
        }
    }

    /// Makes the lists anew from the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn list_anew(&mut self) -> Result<(), Trouble> {
        self.conn.execute_batch(
            "BEGIN IMMEDIATE;
             DELETE FROM audition_line; DELETE FROM thing_line; DELETE FROM fit_line;
             INSERT INTO audition_words (audition_words) VALUES ('delete-all');
             UPDATE listed SET up_to = 0;
             COMMIT;",
        )?;
        self.catch_up()
    }

    /// Brings some of the lists up to date; answers whether there is more to do.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub(super) fn catch_up_some(&mut self) -> Result<bool, Trouble> {
        let up_to: i64 = self.conn.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
        let newest: i64 = self.conn.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
        if newest <= up_to {
            return Ok(false);
        }
        let stroke = self.conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Read again inside the stroke: another program may have caught up in the meantime.
        let up_to: i64 = stroke.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
        let mut touched = BTreeSet::new();
        let mut reached = up_to;
        {
            let mut select =
                stroke.prepare_cached("SELECT seq, thing, about FROM entry WHERE seq > ?1 ORDER BY seq")?;
            let mut rows = select.query([up_to])?;
            while let Some(row) = rows.next()? {
                if touched.len() >= AT_ONCE {
                    break;
                }
                reached = row.get(0)?;
                let thing: String = row.get(1)?;
                touched.extend(About::from_parts(&thing, row.get(2)?));
            }
        }
        let mut writer =
            Lines { stroke: &stroke, pickups: HashMap::new(), guitars: HashMap::new(), terminals: HashMap::new() };
        // Things before auditions (their order in `About`), so that lines carry the newest labels.
        for about in &touched {
            writer.bring_up_to_date(*about)?;
        }
        stroke.execute("UPDATE listed SET up_to = ?1", [reached])?;
        stroke.commit()?;
        Ok(true)
    }

    /// Auditions that go on, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn open_auditions(&mut self) -> Result<Vec<Line>, Trouble> {
        self.catch_up_to_look()?;
        let mut select = self
            .conn
            .prepare_cached("SELECT line FROM audition_line WHERE open = 1 ORDER BY last DESC, audition LIMIT 20")?;
        let rows = select.query_map([], |row| row.get::<_, String>(0))?;
        let mut lines = Vec::new();
        for text in rows {
            lines.extend(serde_json::from_str::<Line>(&text?));
        }
        Ok(lines)
    }

    /// The things of one kind with their entries, in the order of their labels.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn things(&mut self, kind: &str, retired: bool) -> Result<Vec<(Uuid, Vec<Entry>)>, Trouble> {
        self.catch_up_to_look()?;
        let ids: Vec<Uuid> = {
            let mut select = self.conn.prepare_cached(
                "SELECT id FROM thing_line WHERE thing = ?1 AND retired = ?2 ORDER BY label COLLATE NOCASE, id",
            )?;
            let rows = select.query_map(params![kind, retired], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        let mut things = Vec::with_capacity(ids.len());
        for id in ids {
            if let Some(about) = About::from_parts(kind, id) {
                things.push((id, self.about(about)?));
            }
        }
        Ok(things)
    }

    /// How many things of one kind are in use.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn count_of(&mut self, kind: &str) -> Result<usize, Trouble> {
        self.catch_up_to_look()?;
        let mut select =
            self.conn.prepare_cached("SELECT count(*) FROM thing_line WHERE thing = ?1 AND retired = 0")?;
        let count: i64 = select.query_row([kind], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    /// The auditions a pickup, guitar or rig was in, newest first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn auditions_of(&mut self, about: About) -> Result<Vec<Uuid>, Trouble> {
        let column = match about {
            About::Pickup(_) => "pickup",
            About::Guitar(_) => "guitar",
            About::Rig(_) => "rig",
            About::Audition(_) => "audition",
            About::Meter(_) | About::Fit(_) => return Ok(Vec::new()),
        };
        self.catch_up_to_look()?;
        let sql = format!("SELECT audition FROM audition_line WHERE {column} = ?1 ORDER BY row DESC");
        let mut select = self.conn.prepare_cached(&sql)?;
        let rows = select.query_map([about.uuid()], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

struct Lines<'a> {
    stroke: &'a Transaction<'a>,
    pickups: HashMap<PickupId, String>,
    guitars: HashMap<GuitarId, String>,
    terminals: HashMap<RigId, Option<usize>>,
}

impl Lines<'_> {
    fn bring_up_to_date(&mut self, about: About) -> Result<(), Trouble> {
        match about {
            About::Pickup(id) => {
                if self.thing_line::<Pickup>(about, |_| None)? {
                    self.pickups.remove(&id);
                    self.audition_lines_of("pickup", id.0)?;
                }
            }
            About::Guitar(id) => {
                if self.thing_line::<Guitar>(about, |_| None)? {
                    self.guitars.remove(&id);
                    self.audition_lines_of("guitar", id.0)?;
                }
            }
            About::Rig(id) => {
                // How many terminals there are decides whether the leads are done.
                if self.thing_line::<Rig>(about, |rig| u32::try_from(rig.terminals.len()).ok())? {
                    self.terminals.remove(&id);
                    self.audition_lines_of("rig", id.0)?;
                }
            }
            About::Audition(id) => self.audition_line(id)?,
            About::Fit(id) => fits::list(self.stroke, id, self.entries(about)?)?,
            // No list shows meters.
            About::Meter(_) => {}
        }
        Ok(())
    }

    fn entries(&self, about: About) -> Result<Vec<Entry>, Trouble> {
        let mut select = self.stroke.prepare_cached(ABOUT)?;
        let mut rows = select.query(params![about.uuid(), about.letter()])?;
        let mut entries = Vec::new();
        while let Some(row) = rows.next()? {
            entries.extend(read_entry(row)?);
        }
        Ok(entries)
    }

    /// Writes a thing's line; answers whether something in it changed that the lines of its auditions show.
    fn thing_line<T: Described>(&self, about: About, terminals: impl Fn(&T) -> Option<u32>) -> Result<bool, Trouble> {
        let before: Option<(String, Option<u32>)> = self
            .stroke
            .prepare_cached("SELECT label, terminals FROM thing_line WHERE id = ?1")?
            .query_row([about.uuid()], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        let Some(thing) = Thing::<T>::fold(self.entries(about)?, None) else {
            self.stroke.execute("DELETE FROM thing_line WHERE id = ?1", [about.uuid()])?;
            return Ok(before.is_some());
        };
        let now = (thing.described.label().to_owned(), terminals(&thing.described));
        self.stroke
            .prepare_cached("INSERT OR REPLACE INTO thing_line VALUES (?1, ?2, ?3, ?4, ?5)")?
            .execute(params![about.uuid(), about.letter(), now.0, thing.retired, now.1])?;
        Ok(before.as_ref() != Some(&now))
    }

    fn audition_lines_of(&mut self, column: &str, id: Uuid) -> Result<(), Trouble> {
        let auditions: Vec<Uuid> = {
            let mut select =
                self.stroke.prepare_cached(&format!("SELECT audition FROM audition_line WHERE {column} = ?1"))?;
            let rows = select.query_map([id], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        for audition in auditions {
            self.audition_line(AuditionId(audition))?;
        }
        Ok(())
    }

    fn label(&self, id: Uuid) -> Result<String, Trouble> {
        let label = self
            .stroke
            .prepare_cached("SELECT label FROM thing_line WHERE id = ?1")?
            .query_row([id], |row| row.get(0))
            .optional()?;
        Ok(label.unwrap_or_default())
    }

    fn terminals_of(&self, rig: RigId) -> Result<Option<usize>, Trouble> {
        let found: Option<Option<u32>> = self
            .stroke
            .prepare_cached("SELECT terminals FROM thing_line WHERE id = ?1")?
            .query_row([rig.0], |row| row.get(0))
            .optional()?;
        Ok(found.flatten().and_then(|count| usize::try_from(count).ok()))
    }

    fn audition_line(&mut self, id: AuditionId) -> Result<(), Trouble> {
        let ordered = in_order(self.entries(About::Audition(id))?);
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
        let choice = audition.choice.as_ref().map(|inked| &inked.said);
        let pickup = choice.map(|choice| choice.pickup);
        let guitar = choice.map(|choice| choice.guitar);
        let pickup_label = match pickup {
            Some(pickup) => match self.pickups.get(&pickup) {
                Some(label) => label.clone(),
                None => {
                    let label = self.label(pickup.0)?;
                    self.pickups.insert(pickup, label.clone());
                    label
                }
            },
            None => String::new(),
        };
        let guitar_label = match guitar {
            Some(guitar) => match self.guitars.get(&guitar) {
                Some(label) => label.clone(),
                None => {
                    let label = self.label(guitar.0)?;
                    self.guitars.insert(guitar, label.clone());
                    label
                }
            },
            None => String::new(),
        };
        let terminals = match choice.map(|choice| choice.rig) {
            None => None,
            Some(rig) => match self.terminals.get(&rig) {
                Some(terminals) => *terminals,
                None => {
                    let terminals = self.terminals_of(rig)?;
                    self.terminals.insert(rig, terminals);
                    terminals
                }
            },
        };
        let (state, next) = state(&audition, terminals);
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
        };
        // The row number is the instant it was begun, so that the order of rows is the order of the logbook.
        let mut row = begun.timestamp_micros();
        while self.stroke.prepare_cached("SELECT 1 FROM audition_line WHERE row = ?1")?.exists([row])? {
            row += 1;
        }
        let text = serde_json::to_string(&line).map_err(|error| Trouble::Program(error.to_string()))?;
        self.stroke.prepare_cached("INSERT INTO audition_line VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)")?.execute(
            params![
                row,
                id.0,
                state == State::Open,
                last.timestamp_micros(),
                pickup.map(|p| p.0),
                guitar.map(|g| g.0),
                choice.map(|c| c.rig.0),
                text
            ],
        )?;
        self.stroke
            .prepare_cached("INSERT INTO audition_words (rowid, words) VALUES (?1, ?2)")?
            .execute(params![row, words_of(&audition, &line)])?;
        Ok(())
    }
}
