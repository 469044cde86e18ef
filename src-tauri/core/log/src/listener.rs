//! Who listens to what this log tells of: one person, with one pair of ears, one rule and one clock.

use rusqlite::{OptionalExtension, TransactionBehavior, params};

use super::store::Log;
use super::sums;
use super::trouble::Trouble;

/// Who listens.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Listener {
    /// The rule that counts, by its name; empty where none was told.
    pub rule: String,
    /// How many minutes their clock was ahead of UTC when that was told.
    pub minutes_ahead: i32,
    /// The time zone of their clock, by its IANA name; nothing where none was told.
    pub zone: Option<String>,
}

impl Log {
    /// Who listens. What can't be read is no rule, in UTC.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn listener(&self) -> Result<Listener, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT rule, minutes_ahead, sum FROM listener LIMIT 1")?;
        let kept = select.query_row([], |row| {
            sums::check(row, 2, "who listens")?;
            Ok((row.get::<_, String>(0)?, row.get(1)?))
        });
        let kept = kept.optional()?;
        let (rule, minutes_ahead) = kept.unwrap_or_default();
        let mut select = self.conn.prepare_cached("SELECT zone, sum FROM listener_zone LIMIT 1")?;
        let zone = select.query_row([], |row| {
            sums::check(row, 1, "the zone of who listens")?;
            row.get(0)
        });
        Ok(Listener { rule, minutes_ahead, zone: zone.optional()? })
    }

    /// Keeps who listens.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn set_listener(&mut self, listener: &Listener) -> Result<(), Trouble> {
        let stroke = self.conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        stroke.execute(
            "UPDATE listener SET rule = ?1, minutes_ahead = ?2, sum = sum_of(?1, ?2)",
            params![listener.rule, listener.minutes_ahead],
        )?;
        stroke.execute("DELETE FROM listener_zone", [])?;
        if let Some(zone) = &listener.zone {
            stroke.execute("INSERT INTO listener_zone VALUES (?1, sum_of(?1))", [zone])?;
        }
        Ok(stroke.commit()?)
    }
}
