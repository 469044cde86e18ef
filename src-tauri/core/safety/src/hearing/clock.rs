//! The clock by which somebody's days are counted.

use chrono::{DateTime, FixedOffset, LocalResult, NaiveDate, NaiveTime, Offset, TimeDelta, TimeZone, Utc};
use chrono_tz::{GapInfo, Tz};

use super::Day;

const SECONDS_A_DAY: i64 = 86_400;

/// A person's clock: by the rules of its time zone where that is known, else by how far it was ahead of UTC when that was
/// told, which is wrong by the change of clocks from some day on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwnClock {
    zone: Option<Tz>,
    ahead: FixedOffset,
}

impl OwnClock {
    /// The clock of a zone, by its IANA name. A zone that is not known here (a newer one) leaves the minutes ahead of UTC; more
    /// minutes than a day has are none.
    #[must_use]
    pub fn told(zone: Option<&str>, minutes_ahead: i32) -> Self {
        let ahead = FixedOffset::east_opt(minutes_ahead.saturating_mul(60)).unwrap_or_else(|| Utc.fix());
        Self { zone: zone.and_then(|name| name.parse().ok()), ahead }
    }

    /// How many minutes it is ahead of UTC at an instant.
    #[must_use]
    pub fn minutes_ahead(self, at: DateTime<Utc>) -> i32 {
        let ahead = self.zone.map_or(self.ahead, |zone| zone.offset_from_utc_datetime(&at.naive_utc()).fix());
        ahead.local_minus_utc() / 60
    }

    /// The day around an instant.
    pub(super) fn day(self, now: DateTime<Utc>) -> Day {
        self.zone.and_then(|zone| day_in(zone, now)).unwrap_or_else(|| day_ahead(self.ahead, now))
    }
}

impl From<FixedOffset> for OwnClock {
    fn from(ahead: FixedOffset) -> Self {
        Self { zone: None, ahead }
    }
}

/// Counted in seconds of the person's clock, so that the ends of time need no special care.
fn day_ahead(ahead: FixedOffset, now: DateTime<Utc>) -> Day {
    let into_day = (now.timestamp() + i64::from(ahead.local_minus_utc())).rem_euclid(SECONDS_A_DAY);
    let from = DateTime::from_timestamp(now.timestamp() - into_day, 0).unwrap_or(now);
    Day { from, to: from.checked_add_signed(TimeDelta::days(1)).unwrap_or(from) }
}

/// Nothing at the ends of time, where there is no day before or after.
fn day_in(zone: Tz, now: DateTime<Utc>) -> Option<Day> {
    let mut date = date_in(zone, now)?;
    while begins(zone, date)? > now {
        date = date.pred_opt()?;
    }
    Some(Day { from: begins(zone, date)?, to: begins(zone, date.succ_opt()?)? })
}

fn date_in(zone: Tz, at: DateTime<Utc>) -> Option<NaiveDate> {
    let utc = at.naive_utc();
    utc.checked_add_offset(zone.offset_from_utc_datetime(&utc).fix()).map(|local| local.date())
}

/// When a date has come to stay. Where clocks are set back over midnight, what the clock shows twice belongs to the day
/// before; where they are set forward over it, or a whole day is left out, the date begins with the change.
fn begins(zone: Tz, date: NaiveDate) -> Option<DateTime<Utc>> {
    let midnight = date.and_time(NaiveTime::MIN);
    match zone.from_local_datetime(&midnight) {
        LocalResult::Single(at) => Some(at.to_utc()),
        LocalResult::Ambiguous(first, last) => {
            let before = date_in(zone, last.to_utc().checked_sub_signed(TimeDelta::seconds(1))?)?;
            Some(if before < date { last.to_utc() } else { first.to_utc() })
        }
        LocalResult::None => GapInfo::new(&midnight, &zone)?.end.map(|at| at.to_utc()),
    }
}
