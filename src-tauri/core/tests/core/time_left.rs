//! What ears can still take today, second after second by the published formulas: NIOSH 98-126, T = 8 h / 2^((L − 85) / 3);
//! 29 CFR 1910.95, T = 8 h / 2^((L − 90) / 5); Directive 2003/10/EC, equal energy at 87 dB(A).

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use solderlast_core::record::quantity::Decibels;
use solderlast_core::safety::hearing::{HearingRule, HearingToday, Listened};
use solderlast_testkit::Chance;

const DAY: i64 = 86_400;
/// No rule is followed longer than two days.
const MOST: i64 = 2 * DAY;

/// The share of a day's allowance that a second takes.
fn second(rule: HearingRule, level: f64) -> f64 {
    let halvings = match rule {
        HearingRule::Niosh => (level - 85.0) / 3.0,
        HearingRule::Osha => (level - 90.0) / 5.0,
        HearingRule::Eu => return 10_f64.powf((level - 87.0) / 10.0) / 28_800.0,
    };
    if level < 80.0 { 0.0 } else { 2_f64.powf(halvings) / 28_800.0 }
}

/// How many seconds more, until so much is spent.
fn until(share: f64, spent: f64, step: f64, most: i64) -> i64 {
    let (mut spent, mut seconds) = (spent, 0);
    while seconds < most && spent + step < share {
        spent += step;
        seconds += 1;
    }
    seconds
}

#[test]
fn the_time_that_is_left_is_what_can_be_heard_second_by_second() {
    let mut chance = Chance::seeded(98_126);
    let midnight = DateTime::<Utc>::from_timestamp(1_700_006_400, 0).expect("a midnight");
    let at = |seconds: i64| midnight + TimeDelta::seconds(seconds);
    let (mut some_left, mut due, mut spent_up) = (0, 0, 0);
    for round in 0..90 {
        let rule = HearingRule::ALL[round % 3];
        let now = 3600 + chance.below(DAY - 3700);
        let mut loudest = vec![f64::NEG_INFINITY; now as usize];
        let (mut sessions, mut dose) = (Vec::new(), 0.0);
        for _ in 0..chance.below(5) {
            let from = chance.below(now + 20_000) - 20_000;
            let to = (from + 60 + chance.below(12_000)).min(now);
            let level = chance.between(72.0, 104.0);
            if to <= from {
                continue;
            }
            let corrected = (chance.below(4) == 0).then(|| chance.below(9000_i64));
            sessions.push(Listened {
                from: at(from),
                to: at(to),
                corrected: corrected.map(TimeDelta::seconds),
                level: Decibels(level),
            });
            let today = from.max(0)..to.max(0);
            match corrected {
                // As much as somebody says, evenly over the session.
                Some(seconds) => {
                    let part = (today.end - today.start) as f64 / (to - from) as f64;
                    dose += seconds as f64 * part * second(rule, level);
                }
                // One pair of ears: the louder of two at once.
                None => today.for_each(|second| {
                    let here = &mut loudest[second as usize];
                    *here = here.max(level);
                }),
            }
        }
        dose += loudest.iter().filter(|level| level.is_finite()).map(|level| second(rule, *level)).sum::<f64>();
        let level = chance.between(70.0, 120.0);
        let utc = FixedOffset::east_opt(0).expect("no offset");
        let told = HearingToday::at(at(now), utc, rule, &sessions, Some(Decibels(level)), true);
        let said = format!("{round}: {rule:?} {dose} at {level}: {told:?}");
        assert!((told.spent - dose).abs() <= 1e-9 * dose.max(1.0), "{said}");
        let step = second(rule, level);
        let left = told.left.as_ref().expect("a level is set").seconds;
        if step == 0.0 {
            assert_eq!((left, told.forecast.half_at, told.forecast.spent_at), (None, None, None), "{said}");
            continue;
        }
        let left = left.unwrap_or_else(|| panic!("{said}"));
        if rule == HearingRule::Osha && level > 115.0 {
            // The table ends there: no time at all.
            assert_eq!(left, 0.0, "{said}");
        } else {
            let whole = until(1.0, dose, step, MOST);
            let last = if whole < MOST { (whole + 1) as f64 + 1e-3 } else { f64::INFINITY };
            assert!((whole as f64 - 1e-3..=last).contains(&left), "{whole} s: {said}");
            some_left += usize::from(left > 0.0);
            spent_up += usize::from(left == 0.0);
        }
        for (share, forecast) in [(0.5, told.forecast.half_at), (1.0, told.forecast.spent_at)] {
            if (dose - share).abs() < 1e-6 {
                continue;
            }
            let whole = until(share, dose, step, MOST);
            let to_midnight = DAY - now;
            match forecast {
                _ if dose > share => assert_eq!(forecast, None, "{said}"),
                Some(forecast) => {
                    let seconds = (forecast - at(now)).num_milliseconds() as f64 / 1000.0;
                    assert!((whole as f64 - 0.01..=whole as f64 + 1.01).contains(&seconds), "{whole} s: {said}");
                    assert!(seconds < to_midnight as f64, "{said}");
                    due += 1;
                }
                None => assert!(whole + 1 >= to_midnight, "{whole} s of {to_midnight}: {said}"),
            }
        }
    }
    assert!(some_left > 20 && due > 10 && spent_up > 2, "{some_left} {due} {spent_up}");
}
