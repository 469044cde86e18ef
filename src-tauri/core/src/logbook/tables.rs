//! Tables of the logbook for a spreadsheet: comma-separated values after RFC 4180, in UTF-8, with the units in the first
//! row.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, and runs it; some pass over blanks and signs
//! that can't be seen before it, and some take the wide and small forms of these signs for the same. So a cell of words whose
//! first sign that can be seen is one of them gets an apostrophe before it, and so does one that begins with a tab or a
//! return. Numbers are written bare.

mod cells;
mod measured;

use solderlast_log::Ordered;
use std::io::Write;

use csv::{Writer, WriterBuilder};

use self::cells::{about, cells, guarded, instant, number, stands};
use super::install_line::InstallLine;
use super::installs::installs_of;
use super::search::{self, Find};
use super::{Log, Trouble};
use crate::audition::Audition;
use crate::entry_lines::install::reading_at_in_words;
use crate::install::Install;
use crate::listening::Conditions;
use crate::logbook::line::Line;
use crate::record::body::{AuditionBody, Body, InstallBody};
use crate::record::entry::{About, Entry};
use crate::record::listening::Quality;
use crate::record::quantity::Millimetres;

/// A table of the logbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Table {
    /// Every meter reading that was written, one a row.
    Readings,
    /// What was heard: one note, rating or take a row, as it stands.
    Notes,
    /// What was measured of coils: one value a row.
    Measured,
}

impl Table {
    /// All tables.
    pub const ALL: [Self; 3] = [Self::Readings, Self::Notes, Self::Measured];

    /// The table of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "readings" => Some(Self::Readings),
            "notes" => Some(Self::Notes),
            "measured" => Some(Self::Measured),
            _ => None,
        }
    }

    /// A name for its file.
    #[must_use]
    pub fn file_name(self) -> &'static str {
        match self {
            Self::Readings => "solderlast-readings.csv",
            Self::Notes => "solderlast-notes.csv",
            Self::Measured => "solderlast-measured.csv",
        }
    }

    fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Readings => &[
                "audition",
                "begun (UTC)",
                "pickup",
                "guitar",
                "place",
                "from saddle (mm)",
                "mode",
                "measured (UTC)",
                "reading (ohm)",
                "over limit",
                "as typed",
                "room (C)",
                "measured at",
                "stands",
            ],
            Self::Notes => &[
                "audition",
                "begun (UTC)",
                "pickup",
                "guitar",
                "place",
                "from saddle (mm)",
                "mode",
                "written (UTC)",
                "what",
                "value (1 to 5)",
                "words",
                "gap bass (mm)",
                "gap treble (mm)",
                "amplifier",
            ],
            Self::Measured => &measured::HEADS,
        }
    }
}

/// Writes a table of the auditions that `find` finds, newest first, whatever page it asks for; of what was measured, of all pickups or
/// the one it names. Memory stays the same however many there are. Answers how many rows there are below the heads.
pub(super) fn write_table(log: &mut Log, table: Table, find: &Find, out: impl Write) -> Result<u64, Trouble> {
    let mut rows = Rows { out: WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out), count: 0 };
    rows.out.write_record(table.heads()).map_err(unwritten)?;
    let mut page = Find { after: None, ..find.clone() };
    loop {
        let found = search::find(log, &page)?;
        for line in &found.lines {
            let ordered = log.about(About::Audition(line.audition))?;
            match table {
                Table::Readings => {
                    rows.readings(line, &ordered)?;
                    for install in installs_of(log, About::Audition(line.audition))? {
                        let of_install = log.about(About::Fit(install.fit))?;
                        rows.at_the_jack(&install, about(line, &Audition::fold(&ordered)), &of_install)?;
                    }
                }
                Table::Notes => rows.notes(line, &ordered)?,
                Table::Measured => {}
            }
        }
        match found.after {
            Some(after) => page.after = Some(after),
            None => break,
        }
    }
    rows.out.flush()?;
    Ok(rows.count)
}

/// Writes what was measured of these pickups, each by its entries.
pub(super) fn write_measured(pickups: Vec<Ordered>, out: impl Write) -> Result<u64, Trouble> {
    let mut rows = Rows { out: WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out), count: 0 };
    rows.out.write_record(Table::Measured.heads()).map_err(unwritten)?;
    measured::write(pickups, &mut rows)?;
    rows.out.flush()?;
    Ok(rows.count)
}

struct Rows<W: Write> {
    out: Writer<W>,
    count: u64,
}

impl<W: Write> Rows<W> {
    fn row(&mut self, audition: &[String], cells: &[String]) -> Result<(), Trouble> {
        self.count += 1;
        self.out.write_record(audition.iter().chain(cells)).map_err(unwritten)
    }

    fn readings(&mut self, line: &Line, ordered: &[(Entry, bool)]) -> Result<(), Trouble> {
        let audition = Audition::fold(ordered);
        let about = about(line, &audition);
        for (entry, struck) in ordered {
            let (mode, reading, typed, room, at) = match entry.body.known() {
                Some(Body::Audition(AuditionBody::ReadingTaken { mode, reading, typed, room, .. })) => {
                    (mode.0.clone(), reading, typed, room.map(|room| number(room.0)), "the output".to_owned())
                }
                Some(Body::Audition(AuditionBody::Probed { probe, reading, typed, .. })) => {
                    (String::new(), reading, typed, None, probe.in_words())
                }
                _ => continue,
            };
            let counts = audition.readings.values().any(|taken| taken.entry == entry.id)
                || audition.evidence.iter().any(|taken| taken.entry == entry.id);
            let cells = cells(entry, &mode, *reading, typed, room, &at, stands(*struck, counts));
            self.row(&about, &cells)?;
        }
        Ok(())
    }

    /// Readings of a permanent install that rests on the audition; its place may be another one.
    fn at_the_jack(
        &mut self,
        line: &InstallLine,
        mut about: Vec<String>,
        ordered: &[(Entry, bool)],
    ) -> Result<(), Trouble> {
        let install = Install::fold(ordered);
        if let [.., place, from_saddle] = about.as_mut_slice()
            && *place != line.place
        {
            *place = guarded(&line.place);
            from_saddle.clear();
        }
        for (entry, struck) in ordered {
            let (reading, typed, room) = match entry.body.known() {
                Some(
                    Body::Install(InstallBody::JackRead { reading, typed, room, .. })
                    | Body::Install(InstallBody::JackReadBefore { reading, typed, room, .. }),
                ) => (reading, typed, room.map(|room| number(room.0))),
                Some(Body::Install(InstallBody::FitProbed { reading, typed, .. })) => (reading, typed, None),
                _ => continue,
            };
            let Some(at) = entry.body.known().and_then(reading_at_in_words) else { continue };
            let counts = install.readings.iter().any(|taken| taken.entry == entry.id)
                || install.before.iter().any(|taken| taken.entry == entry.id)
                || install.evidence.iter().any(|taken| taken.entry == entry.id);
            let cells = cells(entry, "", *reading, typed, room, &at, stands(*struck, counts));
            self.row(&about, &cells)?;
        }
        Ok(())
    }

    fn notes(&mut self, line: &Line, ordered: &[(Entry, bool)]) -> Result<(), Trouble> {
        let audition = Audition::fold(ordered);
        let about = about(line, &audition);
        let modes: std::collections::BTreeSet<_> = audition
            .notes
            .keys()
            .chain(audition.rated.keys().chain(audition.against.keys()).map(|(mode, _)| mode))
            .cloned()
            .collect();
        for mode in modes {
            let newest = audition.conditions.get(&mode);
            let gap = |gap: Option<Millimetres>| gap.map(|gap| number(gap.0)).unwrap_or_default();
            // Each rating carries what it was heard in itself; words carry what the mode was heard in last.
            let mut cells = |conditions: Option<&Conditions>, at, what: &str, value: String, words: &str| {
                let gaps = conditions.and_then(|conditions| conditions.gaps.as_ref());
                let amp = conditions.and_then(|conditions| conditions.amp.clone()).unwrap_or_default();
                let cells = [
                    guarded(&mode.0),
                    instant(at),
                    what.to_owned(),
                    value,
                    guarded(words),
                    gap(gaps.map(|gaps| gaps.bass)),
                    gap(gaps.map(|gaps| gaps.treble)),
                    guarded(&amp),
                ];
                self.row(&about, &cells)
            };
            for quality in Quality::ALL {
                if let Some(rated) = audition.rated.get(&(mode.clone(), quality)) {
                    let word = quality.word(rated.said.value).unwrap_or_default();
                    let conditions = audition.contexts.get(rated.said.context);
                    cells(conditions, rated.at, quality.name(), rated.said.value.to_string(), word)?;
                }
                if let Some(than) = audition.against.get(&(mode.clone(), quality)) {
                    let what = format!("{}, against what is fitted now", quality.name().to_lowercase());
                    cells(newest, than.at, &what, String::new(), &than.said.in_words(quality))?;
                }
            }
            if let Some(note) = audition.notes.get(&mode) {
                cells(newest, note.at, "note", String::new(), &note.said)?;
            }
        }
        for take in &audition.takes {
            let gaps = take.said.conditions.gaps.as_ref();
            let gap = |gap: Option<Millimetres>| gap.map(|gap| number(gap.0)).unwrap_or_default();
            let mode = take.said.recorded.mode.as_ref().map_or("", |mode| mode.0.as_str());
            let cells = [
                guarded(mode),
                instant(take.at),
                "take".to_owned(),
                String::new(),
                guarded(&take.said.recorded.in_words()),
                gap(gaps.map(|gaps| gaps.bass)),
                gap(gaps.map(|gaps| gaps.treble)),
                guarded(take.said.conditions.amp.as_deref().unwrap_or_default()),
            ];
            self.row(&about, &cells)?;
        }
        Ok(())
    }
}

fn unwritten(error: csv::Error) -> Trouble {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error.into(),
        other => Trouble::Program(format!("{other:?}")),
    }
}

#[cfg(test)]
mod tests;
