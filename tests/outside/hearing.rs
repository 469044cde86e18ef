//! Hearing against the published tables, and against an independent computation in Python.

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use serde_json::{Value, json};
use solderlast_core::record::quantity::Decibels;
use solderlast_core::safety::hearing::{Day, HearingRule, Listened, OwnClock, spend};
use solderlast_testkit::{Chance, program};

const HOUR: f64 = 3600.0;
const MINUTE: f64 = 60.0;

/// Published times are rounded to the digits printed: half of the last digit, as a share of the value.
fn agrees(rule: HearingRule, level: f64, published: f64, half_digit: f64, table: &str) {
    let computed = rule.reference_seconds(Decibels(level));
    assert!(
        (computed - published).abs() <= half_digit * (1.0 + 1e-9),
        "{table}: {level} dB(A) is {published} s there, {computed} s here"
    );
}

/// NIOSH 98-126, table 1-1.
#[test]
fn niosh_table() {
    for (level, seconds) in [
        (85.0, 8.0 * HOUR),
        (88.0, 4.0 * HOUR),
        (91.0, 2.0 * HOUR),
        (94.0, HOUR),
        (97.0, 30.0 * MINUTE),
        (100.0, 15.0 * MINUTE),
    ] {
        agrees(HearingRule::Niosh, level, seconds, 0.0, "NIOSH 98-126 table 1-1");
    }
    // Rows that are not whole hours, from memory; the table cuts off below its last digit.
    for (level, hours, minutes, seconds) in [
        (82.0, 16.0, 0.0, 0.0),
        (86.0, 6.0, 21.0, 0.0),
        (87.0, 5.0, 2.0, 0.0),
        (90.0, 2.0, 31.0, 0.0),
        (95.0, 0.0, 47.0, 37.0),
        (103.0, 0.0, 7.0, 30.0),
        (106.0, 0.0, 3.0, 45.0),
        (109.0, 0.0, 1.0, 53.0),
        (115.0, 0.0, 0.0, 28.0),
    ] {
        let digit = if hours > 0.0 { MINUTE } else { 1.0 };
        agrees(
            HearingRule::Niosh,
            level,
            hours * HOUR + minutes * MINUTE + seconds,
            digit,
            "NIOSH 98-126 (from memory)",
        );
    }
}

/// 29 CFR 1910.95, table G-16: the whole table, as printed.
#[test]
fn osha_table() {
    for (level, hours, half_digit) in [
        (90.0, 8.0, 0.0),
        (92.0, 6.0, 0.5),
        (95.0, 4.0, 0.0),
        (97.0, 3.0, 0.5),
        (100.0, 2.0, 0.0),
        (102.0, 1.5, 0.05),
        (105.0, 1.0, 0.0),
        (110.0, 0.5, 0.0),
        (115.0, 0.25, 0.0),
    ] {
        agrees(HearingRule::Osha, level, hours * HOUR, half_digit * HOUR, "29 CFR 1910.95 table G-16");
    }
}

/// 29 CFR 1910.95 appendix A, table G-16a: hours from 80 to 130 dB(A), as printed.
#[test]
fn osha_reference_durations() {
    let table = "32 27.9 24.3 21.1 18.4 16 13.9 12.1 10.6 9.2 8 7.0 6.1 5.3 4.6 4 3.5 3.0 2.6 2.3 2 1.7 1.5 1.3 1.1 1 \
                 0.87 0.76 0.66 0.57 0.5 0.44 0.38 0.33 0.29 0.25 0.22 0.19 0.16 0.14 0.125 0.11 0.095 0.082 0.072 0.063 \
                 0.054 0.047 0.041 0.036 0.031";
    let mut level = 80.0;
    for printed in table.split_whitespace() {
        let hours: f64 = printed.parse().expect("a number");
        let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
        // Some rows are cut off, not rounded: a whole last digit is allowed.
        let digit = 0.1_f64.powi(i32::try_from(decimals).expect("few digits"));
        agrees(HearingRule::Osha, level, hours * HOUR, digit * HOUR, "29 CFR 1910.95 table G-16a");
        level += 1.0;
    }
    assert_eq!(level, 131.0, "the whole table");
}

/// The EU's exposure limit of 87 dB(A) over 8 hours (Directive 2003/10/EC, article 3), with equal energy as in table 3 of
/// SCENIHR 2008, "Potential health risks of exposure to noise from personal music players": levels to the whole decibel.
#[test]
fn eu_table() {
    for (hours, level) in [(8.0, 87.0), (4.0, 90.0), (2.0, 93.0), (1.0, 96.0), (0.5, 99.0), (0.25, 102.0)] {
        let eight_hours = HearingRule::Eu
            .eight_hour_average(HearingRule::Eu.dose(Decibels(level), TimeDelta::seconds((hours * HOUR) as i64)))
            .expect("something was heard");
        assert!((eight_hours.get() - 87.0).abs() < 0.06, "{level} dB(A) for {hours} h: {eight_hours:?}");
    }
    // The action values, 80 and 85 dB(A), as shares of the limit.
    for (action, share) in [(80.0, 10_f64.powf(-0.7)), (85.0, 10_f64.powf(-0.2))] {
        let dose = HearingRule::Eu.dose(Decibels(action), TimeDelta::hours(8));
        assert!((dose - share).abs() < 1e-12, "{action}");
    }
}

/// 29 CFR 1910.95 appendix A, section II: dose in percent to the eight-hour average, as printed.
#[test]
fn osha_averages() {
    for (percent, average) in [
        (10.0, 73.4),
        (25.0, 80.0),
        (50.0, 85.0),
        (75.0, 87.9),
        (100.0, 90.0),
        (115.0, 91.0),
        (200.0, 95.0),
        (400.0, 100.0),
        (800.0, 105.0),
    ] {
        let computed = HearingRule::Osha.eight_hour_average(percent / 100.0).expect("a dose").get();
        assert!((computed - average).abs() <= 0.05 + 1e-9, "{percent} %: {computed}, printed {average}");
    }
}

fn rule_in(rule: HearingRule) -> Value {
    serde_json::to_value(rule).expect("a plain name")
}

fn python(script: &str, cases: &[Value]) -> Vec<f64> {
    let input = serde_json::to_string(cases).expect("plain data");
    let text = program::answer("python3", &["-c", script], &input, "python3 (Debian)");
    serde_json::from_str(&text).expect("a list of numbers")
}

/// Mixed exposures one after another, as exact fractions: levels a whole number of halvings from the eight-hour level,
/// so that every time allowed is a fraction. The EU's equal energy has no such levels but its own; 50 decimal digits
/// stand in for it.
#[test]
fn doses_of_mixed_exposures() {
    const SCRIPT: &str = "
import json, sys
from decimal import Decimal, getcontext
from fractions import Fraction
getcontext().prec = 50
def one(rule, level, seconds):
    if rule == 'eu':
        return Fraction(Decimal(10) ** ((Decimal(level) - 87) / 10)) * seconds / 28800
    middle, halving = {'niosh': (85, 3), 'osha': (90, 5)}[rule]
    if level < 80:
        return Fraction(0)
    steps = Fraction(level - middle, halving)
    if steps.denominator == 1:
        return Fraction(seconds, 28800) * Fraction(2) ** int(steps)
    return Fraction(seconds, 28800) * Fraction(Decimal(2) ** (Decimal(steps.numerator) / steps.denominator))
print(json.dumps([float(sum(one(case['rule'], *part) for part in case['parts'])) for case in json.load(sys.stdin)]))
";
    let mut chance = Chance(1);
    let start = DateTime::<Utc>::from_timestamp(1_700_000_000, 0).expect("an instant");
    let day = Day { from: start, to: start + TimeDelta::days(30) };
    let (mut cases, mut ours) = (Vec::new(), Vec::new());
    for n in 0..300 {
        let rule = HearingRule::ALL[n % 3];
        let mut at = start;
        let (mut parts, mut sessions) = (Vec::new(), Vec::new());
        for _ in 0..=chance.below(8) {
            let level = 60 + chance.below(60);
            let seconds = 1 + chance.below(20_000_i64);
            let to = at + TimeDelta::seconds(seconds);
            sessions.push(Listened { from: at, to, corrected: None, level: Decibels(level as f64) });
            at = to + TimeDelta::seconds(1);
            parts.push(json!([level, seconds]));
        }
        cases.push(json!({ "rule": rule_in(rule), "parts": parts }));
        ours.push(spend(rule, &sessions, day).dose);
    }
    let theirs = python(SCRIPT, &cases);
    assert_eq!(theirs.len(), ours.len());
    let mut worst = 0.0_f64;
    for ((ours, theirs), case) in ours.iter().zip(&theirs).zip(&cases) {
        let off = (ours - theirs).abs() / theirs.max(1e-3);
        worst = worst.max(off);
        assert!(off < 1e-12, "{case}: {ours} here, {theirs} by fractions");
    }
    println!("{} mixed exposures, furthest apart {worst:.1e}", ours.len());
    assert!(theirs.iter().any(|dose| *dose > 1.0) && theirs.iter().any(|dose| *dose < 0.5), "both sides of the limit");
}

/// A person's day, second by second: which level is heard in each second of the local day, at the ears of somebody whose
/// clock is so many hours ahead. Sessions overlap, and cross midnight.
#[test]
fn a_persons_day_second_by_second() {
    const SCRIPT: &str = "
import json, sys
from datetime import datetime, timedelta, timezone
def day(case):
    zone = timezone(timedelta(seconds=case['ahead']))
    now = datetime.fromtimestamp(case['now'], zone)
    start = int(now.replace(hour=0, minute=0, second=0, microsecond=0).timestamp())
    middle, halving = {'niosh': (85, 3), 'osha': (90, 5)}[case['rule']]
    loudest = [0] * 86400
    for begin, end, level in case['sessions']:
        for second in range(max(begin, start) - start, min(end, start + 86400) - start):
            loudest[second] = max(loudest[second], level)
    return sum(2 ** ((level - middle) / halving) for level in loudest if level >= 80) / 28800
print(json.dumps([day(case) for case in json.load(sys.stdin)]))
";
    let mut chance = Chance(7);
    let (mut cases, mut ours, mut across) = (Vec::new(), Vec::new(), 0);
    for n in 0..40 {
        let rule = [HearingRule::Niosh, HearingRule::Osha][n % 2];
        let now = 1_700_000_000 + chance.below(400_000_i64);
        // Quarter hours from 12 behind to 14 ahead: time zones have those.
        let ahead = (chance.below(105_i32) - 48) * 900;
        let offset = FixedOffset::east_opt(ahead).expect("a real offset");
        let instant = |seconds: i64| DateTime::<Utc>::from_timestamp(seconds, 0).expect("an instant");
        let day = Day::around(instant(now), offset);
        let (mut sessions, mut listened) = (Vec::new(), Vec::new());
        for _ in 0..5 {
            let begin = now - 100_000 + chance.below(150_000_i64);
            let end = begin + chance.below(30_000_i64);
            let level = 70 + chance.below(40);
            sessions.push(json!([begin, end, level]));
            let session =
                Listened { from: instant(begin), to: instant(end), corrected: None, level: Decibels(level as f64) };
            across += usize::from(session.from < day.from && day.from < session.to);
            listened.push(session);
        }
        cases.push(json!({ "rule": rule_in(rule), "now": now, "ahead": ahead, "sessions": sessions }));
        ours.push(spend(rule, &listened, day).dose);
    }
    assert!(across > 5, "sessions that cross midnight: {across}");
    let theirs = python(SCRIPT, &cases);
    for ((ours, theirs), case) in ours.iter().zip(&theirs).zip(&cases) {
        assert!((ours - theirs).abs() <= 1e-9 * theirs.max(1.0), "{case}: {ours} here, {theirs} second by second");
    }
}

/// Zones with half and quarter hours, with changes at midnight, a minute past it or by half an hour, and some that left out a
/// whole day; and two that never change.
const ZONES: [&str; 31] = [
    "Europe/Vienna",
    "Europe/Lisbon",
    "Atlantic/Azores",
    "America/New_York",
    "America/St_Johns",
    "America/Havana",
    "America/Sao_Paulo",
    "America/Asuncion",
    "America/Santiago",
    "America/Scoresbysund",
    "America/Caracas",
    "Asia/Beirut",
    "Asia/Amman",
    "Asia/Damascus",
    "Asia/Gaza",
    "Asia/Tehran",
    "Asia/Kolkata",
    "Asia/Kathmandu",
    "Asia/Pyongyang",
    "Africa/Cairo",
    "Africa/Casablanca",
    "Australia/Adelaide",
    "Australia/Lord_Howe",
    "Antarctica/Troll",
    "Pacific/Apia",
    "Pacific/Fakaofo",
    "Pacific/Kwajalein",
    "Pacific/Kiritimati",
    "Pacific/Chatham",
    "Etc/GMT+12",
    "UTC",
];

/// A day on the listener's own clock, minute by minute, by Python's zoneinfo: the date that the clock shows in each minute, where
/// a date begins when it has come to stay. Half of the moments lie within a day and a half of a change of clocks. Of the years
/// since 1993, as what is known of earlier ones still changes from one edition of the zones to the next.
#[test]
fn a_day_on_the_listeners_own_clock() {
    const CHANGES: &str = "
import json, sys
from datetime import datetime, timezone
from zoneinfo import ZoneInfo
first, last = (int(datetime(year, 1, 1, tzinfo=timezone.utc).timestamp()) for year in (1993, 2025))
changes = []
for number, name in enumerate(json.load(sys.stdin)):
    zone = ZoneInfo(name)
    ahead = lambda at: datetime.fromtimestamp(at, zone).utcoffset()
    for day in range(first, last, 86400):
        low, high = day, day + 86400
        if ahead(low) == ahead(high):
            continue
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if ahead(middle) == ahead(low) else (low, middle)
        changes += [number, high]
print(json.dumps(changes))
";
    const SCRIPT: &str = "
import json, sys
from datetime import datetime
from zoneinfo import ZoneInfo
def day(case):
    zone, now = ZoneInfo(case['zone']), case['now']
    minutes = range(now - 4500 * 60, now + 4500 * 60, 60)
    dates = [datetime.fromtimestamp(at, zone).toordinal() for at in minutes]
    for at in range(len(dates) - 2, -1, -1):
        dates[at] = min(dates[at], dates[at + 1])
    today = [at for at, date in zip(minutes, dates) if date == dates[4500]]
    middle, halving = {'niosh': (85, 3), 'osha': (90, 5)}[case['rule']]
    dose = 0
    for at in today:
        loudest = max((level for begin, end, level in case['sessions'] if begin <= at < end), default=0)
        dose += 2 ** ((loudest - middle) / halving) / 480 if loudest >= 80 else 0
    return [today[0], today[-1] + 60, dose]
print(json.dumps([number for case in json.load(sys.stdin) for number in day(case)]))
";
    let mut chance = Chance(25);
    let mut below = |end: i64| chance.below(end);
    let whole = |number: f64| number as i64;
    let changes = python(CHANGES, &ZONES.map(Value::from));
    assert!(changes.len() > 2000, "{} changes of clocks", changes.len() / 2);
    let instant = |seconds: i64| DateTime::<Utc>::from_timestamp(seconds, 0).expect("an instant");
    let (mut cases, mut ours, mut lengths) = (Vec::new(), Vec::new(), std::collections::BTreeSet::new());
    for n in 0..1200 {
        let rule = [HearingRule::Niosh, HearingRule::Osha][n % 2];
        let (zone, now) = if n % 4 < 2 {
            let at = 2 * usize::try_from(below(changes.len() as i64 / 2)).expect("small");
            (ZONES[changes[at] as usize], whole(changes[at + 1]) + (below(4320) - 2160) * 60)
        } else {
            let since_1993 = 725_846_400;
            (ZONES[n % ZONES.len()], since_1993 + below(16_000_000) * 60)
        };
        let day = Day::around(instant(now), OwnClock::told(Some(zone), 0));
        lengths.insert((day.to - day.from).num_minutes());
        let (mut sessions, mut listened) = (Vec::new(), Vec::new());
        for _ in 0..5 {
            let begin = now - below(2880) * 60;
            let end = begin + below(600) * 60;
            let level = 70 + below(40);
            sessions.push(json!([begin, end, level]));
            listened.push(Listened {
                from: instant(begin),
                to: instant(end),
                corrected: None,
                level: Decibels(level as f64),
            });
        }
        cases.push(json!({ "rule": rule_in(rule), "zone": zone, "now": now, "sessions": sessions }));
        ours.push((day, spend(rule, &listened, day).dose));
    }
    assert!([1380, 1410, 1440, 1470, 1500].iter().all(|minutes| lengths.contains(minutes)), "{lengths:?}");
    let theirs = python(SCRIPT, &cases);
    for (((day, dose), theirs), case) in ours.iter().zip(theirs.chunks(3)).zip(&cases) {
        assert_eq!([day.from.timestamp(), day.to.timestamp()], [whole(theirs[0]), whole(theirs[1])], "{case}");
        assert!((dose - theirs[2]).abs() <= 1e-9 * theirs[2].max(1.0), "{case}: {dose} here, {} there", theirs[2]);
    }
}
