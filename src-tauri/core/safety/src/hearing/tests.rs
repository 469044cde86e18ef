use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use proptest::prelude::*;

use super::*;
use crate::record::sound::LOUDNESS;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().expect("a time written in the test")
}

fn east(hours: i32) -> FixedOffset {
    FixedOffset::east_opt(hours * 3600).expect("an offset written in the test")
}

fn heard(from: &str, to: &str, level: f64) -> Listened {
    Listened { from: at(from), to: at(to), corrected: None, level: Decibels(level) }
}

#[test]
fn allowances_in_words() {
    for (rule, level, shown) in [
        (HearingRule::Niosh, 79.9, "no limit"),
        (HearingRule::Niosh, 80.0, "all day"),
        (HearingRule::Niosh, 85.0, "8 h"),
        (HearingRule::Niosh, 97.0, "30 min"),
        (HearingRule::Niosh, 106.0, "3 min"),
        (HearingRule::Niosh, 115.0, "28 s"),
        (HearingRule::Niosh, 140.0, "no time"),
        (HearingRule::Osha, 95.0, "4 h"),
        (HearingRule::Osha, 102.0, "1 h 30 min"),
        (HearingRule::Osha, 115.0, "15 min"),
        (HearingRule::Osha, 115.1, "no time"),
        (HearingRule::Eu, 60.0, "all day"),
        (HearingRule::Eu, 87.0, "8 h"),
    ] {
        assert_eq!(rule.allowance(Decibels(level)).shown, shown, "{rule:?} {level}");
    }
}

#[test]
fn levels_as_people_type_them() {
    for (typed, level) in
        [("85", 85.0), (" 92,4 dBA ", 92.4), ("92.5 dB(A)", 92.5), ("100 db", 100.0), ("88 dB A", 88.0)]
    {
        assert_eq!(read_level(typed), Ok(Decibels(level)), "{typed}");
    }
    for typed in
        ["", "loud", "-3", "0", "19", "141", "1e99", "NaN", "92 dB(C)", "92 dbz", "\u{202e}85", "85 dB dB", "9 0"]
    {
        assert!(read_level(typed).is_err(), "{typed:?}");
    }
    assert!(read_level(&"9".repeat(10_000_000)).is_err());
}

#[test]
fn descriptions_state_their_levels() {
    let views = loudness_views(HearingRule::Niosh);
    assert!(views.windows(2).all(|pair| pair[0].level.get() < pair[1].level.get()), "quietest first");
    for (view, (loudness, level, source)) in views.iter().zip(LOUDNESS) {
        assert_eq!((loudness.assumed(), loudness.source()), (Decibels(level), source));
        assert!(view.level_shown.contains(&format!("{level} dB(A)")), "{}", view.level_shown);
    }
    assert_eq!(views[3].allowed, "8 h");
}

#[test]
fn sessions_of_one_day_add_up() {
    let sessions = [
        heard("2024-03-09T09:00:00Z", "2024-03-09T11:00:00Z", 88.0), // half
        heard("2024-03-09T15:00:00Z", "2024-03-09T15:15:00Z", 94.0), // a quarter
        heard("2024-03-09T16:00:00Z", "2024-03-09T20:00:00Z", 70.0), // nothing
    ];
    let today = HearingToday::at(
        at("2024-03-09T21:00:00Z"),
        east(0),
        HearingRule::Niosh,
        &sessions,
        Some(Decibels(94.0)),
        true,
    );
    assert!((today.spent - 0.75).abs() < 1e-12);
    assert_eq!((today.spent_shown.as_str(), today.state), ("75 %", HearingState::Half));
    assert_eq!(today.left.expect("a level is set").shown, "15 min left at 94 dB(A)");
    assert_eq!(today.listened_shown, "6 h 15 min");
    assert_eq!(today.forecast, Forecast { half_at: None, spent_at: Some(at("2024-03-09T21:15:00Z")) });
}

#[test]
fn half_and_full_are_reached_on_time() {
    let spent = |minutes: i64| {
        let to = at("2024-03-09T12:00:00Z") + TimeDelta::minutes(minutes);
        let session = Listened { from: at("2024-03-09T12:00:00Z"), to, corrected: None, level: Decibels(100.0) };
        HearingToday::at(to, east(0), HearingRule::Niosh, &[session], Some(Decibels(100.0)), true)
    };
    assert_eq!(spent(7).state, HearingState::Fresh);
    assert_eq!(spent(8).state, HearingState::Half);
    assert_eq!(spent(14).state, HearingState::Half);
    assert_eq!(spent(15).state, HearingState::Spent);
    assert_eq!(spent(20).left.expect("a level is set").shown, "no time left at 100 dB(A)");
    assert_eq!(spent(0).forecast.half_at, Some(at("2024-03-09T12:07:30Z")));
    assert_eq!(spent(0).forecast.spent_at, Some(at("2024-03-09T12:15:00Z")));
    assert_eq!(spent(10).forecast, Forecast { half_at: None, spent_at: Some(at("2024-03-09T12:15:00Z")) });
}

#[test]
fn midnight_in_the_persons_own_time() {
    // Heard from 23:00 to 01:00 in a place two hours ahead of UTC.
    let session = [heard("2024-03-09T21:00:00Z", "2024-03-09T23:00:00Z", 91.0)];
    let spent = |now: &str, offset: i32| spend(HearingRule::Niosh, &session, Day::around(at(now), east(offset))).dose;
    assert!((spent("2024-03-09T21:59:59Z", 2) - 0.5).abs() < 1e-12, "before midnight");
    assert!((spent("2024-03-09T22:00:00Z", 2) - 0.5).abs() < 1e-12, "after midnight");
    assert!((spent("2024-03-09T23:30:00Z", 0) - 1.0).abs() < 1e-12, "all on one day in UTC");
    assert!(spent("2024-03-10T09:00:00Z", 0).abs() < 1e-12, "the next day is fresh");
    assert!((spent("2024-03-09T21:30:00Z", -11) - 1.0).abs() < 1e-12);
}

#[test]
fn corrected_by_hand() {
    // Sound up for four hours, but really heard for one, with midnight in the middle.
    let mut session = heard("2024-03-09T22:00:00Z", "2024-03-10T02:00:00Z", 94.0);
    session.corrected = Some(TimeDelta::hours(1));
    let day = |now: &str| spend(HearingRule::Niosh, &[session], Day::around(at(now), east(0)));
    assert!((day("2024-03-09T23:00:00Z").dose - 0.5).abs() < 1e-12);
    assert!((day("2024-03-10T01:00:00Z").dose - 0.5).abs() < 1e-12);
    assert_eq!(day("2024-03-11T01:00:00Z").dose, 0.0);
    // A session whose end was lost can still be corrected.
    session.to = session.from;
    assert!((spend(HearingRule::Niosh, &[session], Day::around(session.from, east(0))).dose - 1.0).abs() < 1e-12);
    session.corrected = Some(TimeDelta::hours(-3));
    assert_eq!(spend(HearingRule::Niosh, &[session], Day::around(session.from, east(0))).dose, 0.0);
}

#[test]
fn a_clock_set_back_is_told() {
    let session = heard("2024-03-09T12:00:00Z", "2024-03-09T11:00:00Z", 94.0);
    let today =
        HearingToday::at(at("2024-03-09T13:00:00Z"), east(0), HearingRule::Niosh, &[session, session], None, false);
    assert_eq!(today.spent, 0.0);
    assert!(today.doubtful.expect("two of them").starts_with("2 sessions end before they begin"));
}

#[test]
fn two_sessions_at_once_are_one_pair_of_ears() {
    let quiet = heard("2024-03-09T10:00:00Z", "2024-03-09T14:00:00Z", 85.0);
    let loud = heard("2024-03-09T12:00:00Z", "2024-03-09T13:00:00Z", 91.0);
    let day = Day::around(quiet.from, east(0));
    let both = spend(HearingRule::Niosh, &[quiet, loud], day);
    assert!((both.dose - (3.0 / 8.0 + 0.5)).abs() < 1e-12);
    assert!((both.seconds - 4.0 * 3600.0).abs() < 1e-9);
}

#[test]
fn the_eu_names_action_values() {
    let advice = |level: f64| {
        let session = heard("2024-03-09T08:00:00Z", "2024-03-09T16:00:00Z", level);
        HearingToday::at(at("2024-03-09T20:00:00Z"), east(0), HearingRule::Eu, &[session], None, false).advice
    };
    assert_eq!(advice(79.0), None);
    assert!(advice(80.1).expect("lower action value").contains("at hand"));
    assert!(advice(85.1).expect("upper action value").contains("worn"));
}

fn clock(zone: &str) -> OwnClock {
    let clock = OwnClock::told(Some(zone), 0);
    assert_ne!(clock, OwnClock::told(None, 0), "{zone}");
    clock
}

/// For each: the clock, an instant, and the day around it.
#[test]
fn days_on_which_clocks_change() {
    for (zone, now, from, to) in [
        // 25 and 23 hours.
        ("Europe/Vienna", "2026-10-25T22:30:00Z", "2026-10-24T22:00:00Z", "2026-10-25T23:00:00Z"),
        ("Europe/Vienna", "2026-10-24T22:00:00Z", "2026-10-24T22:00:00Z", "2026-10-25T23:00:00Z"),
        ("Europe/Vienna", "2026-03-29T12:00:00Z", "2026-03-28T23:00:00Z", "2026-03-29T22:00:00Z"),
        // Half an hour.
        ("Australia/Lord_Howe", "2024-04-07T00:00:00Z", "2024-04-06T13:00:00Z", "2024-04-07T13:30:00Z"),
        // Forward at midnight: the day begins at one.
        ("America/Sao_Paulo", "2018-11-04T12:00:00Z", "2018-11-04T03:00:00Z", "2018-11-05T02:00:00Z"),
        // Back at midnight: eleven o'clock is shown twice, and both are of the day before.
        ("America/Sao_Paulo", "2018-02-18T02:30:00Z", "2018-02-17T02:00:00Z", "2018-02-18T03:00:00Z"),
        // Back from one to midnight: midnight is shown twice, and the first of the two begins the day.
        ("America/Havana", "2023-11-05T05:30:00Z", "2023-11-05T04:00:00Z", "2023-11-06T05:00:00Z"),
        // Back at a minute past midnight: that minute is of the day before.
        ("America/St_Johns", "2010-11-07T02:30:30Z", "2010-11-06T02:30:00Z", "2010-11-07T03:30:00Z"),
        ("America/St_Johns", "2010-11-07T03:30:00Z", "2010-11-07T03:30:00Z", "2010-11-08T03:30:00Z"),
        // A whole day was left out.
        ("Pacific/Apia", "2011-12-30T09:59:59Z", "2011-12-29T10:00:00Z", "2011-12-30T10:00:00Z"),
        ("Pacific/Apia", "2011-12-30T10:00:00Z", "2011-12-30T10:00:00Z", "2011-12-31T10:00:00Z"),
    ] {
        let day = Day::around(at(now), clock(zone));
        assert_eq!((day.from, day.to), (at(from), at(to)), "{zone} {now}");
    }
}

#[test]
fn a_zone_that_is_not_known_leaves_the_minutes() {
    let now = at("2026-10-25T22:30:00Z");
    assert_eq!(Day::around(now, OwnClock::told(Some("Mars/Olympus"), 120)), Day::around(now, east(2)));
    assert_eq!(Day::around(now, OwnClock::told(None, i32::MAX)), Day::around(now, east(0)));
    assert_eq!(clock("Europe/Vienna").minutes_ahead(now), 60);
}

/// A forecast reaches the end of a long day, and no farther.
#[test]
fn a_long_day_is_forecast_to_its_end() {
    // 81 dB(A) may last 20 h 9 min by NIOSH.
    let sounding = |now: &str| {
        HearingToday::at(at(now), clock("Europe/Vienna"), HearingRule::Niosh, &[], Some(Decibels(81.0)), true).forecast
    };
    let long = sounding("2026-10-24T22:30:00Z");
    assert!(long.spent_at.is_some_and(|at| at.to_rfc3339().starts_with("2026-10-25T18:3")), "{long:?}");
    assert_eq!(sounding("2026-10-25T10:00:00Z").spent_at, None);
}

fn sessions() -> impl Strategy<Value = Vec<Listened>> {
    let one = (0_i64..172_800, 0_i64..20_000, 40.0..120.0_f64, proptest::option::of(0_i64..20_000)).prop_map(
        |(start, length, level, corrected)| {
            let from = at("2024-03-09T00:00:00Z") + TimeDelta::seconds(start);
            Listened {
                from,
                to: from + TimeDelta::seconds(length),
                corrected: corrected.map(TimeDelta::seconds),
                level: Decibels(level),
            }
        },
    );
    proptest::collection::vec(one, 0..12)
}

fn rules() -> impl Strategy<Value = HearingRule> {
    proptest::sample::select(HearingRule::ALL.to_vec())
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

proptest! {
    /// Every instant of every zone lies in one day, and the days join without a gap.
    #[test]
    fn days_of_all_zones(zone in proptest::sample::select(chrono_tz::TZ_VARIANTS.to_vec()), now in 0_i64..4_000_000_000) {
        let now = DateTime::<Utc>::from_timestamp(now, 0).unwrap_or_default();
        let clock = clock(zone.name());
        let day = Day::around(now, clock);
        prop_assert!(day.from <= now && now < day.to, "{} {:?}", zone, day);
        let hours = (day.to - day.from).num_seconds() as f64 / 3600.0;
        prop_assert!((20.0..=28.0).contains(&hours), "{} {:?}", zone, day);
        let second = TimeDelta::seconds(1);
        for inside in [day.from, day.to - second] {
            prop_assert_eq!(Day::around(inside, clock), day);
        }
        prop_assert_eq!(Day::around(day.to, clock).from, day.to);
        prop_assert_eq!(Day::around(day.from - second, clock).to, day.from);
    }

    /// The order of sessions does not matter.
    #[test]
    fn order(rule in rules(), sessions in sessions()) {
        let day = Day::around(at("2024-03-09T12:00:00Z"), east(0));
        let mut turned = sessions.clone();
        turned.reverse();
        prop_assert!(near(spend(rule, &sessions, day).dose, spend(rule, &turned, day).dose));
    }

    /// Days add up to the whole, wherever midnight lies.
    #[test]
    fn days_add_up(rule in rules(), sessions in sessions(), offset in -11_i32..12) {
        let whole = Day { from: at("2024-03-01T00:00:00Z"), to: at("2024-04-01T00:00:00Z") };
        let first = Day::around(whole.from, east(offset)).from;
        let days: f64 = (0..33)
            .map(|n| Day::around(first + TimeDelta::days(n), east(offset)))
            .map(|day| spend(rule, &sessions, day).dose)
            .sum();
        prop_assert!(near(days, spend(rule, &sessions, whole).dose));
    }

    /// A break of no length changes nothing.
    #[test]
    fn splitting(rule in rules(), length in 2_i64..40_000, cut in 0.0..1.0_f64, level in 60.0..120.0_f64) {
        let from = at("2024-03-09T05:00:00Z");
        let middle = from + TimeDelta::seconds((length as f64 * cut) as i64);
        let to = from + TimeDelta::seconds(length);
        let part = |from, to| Listened { from, to, corrected: None, level: Decibels(level) };
        let day = Day::around(from, east(0));
        prop_assert!(near(
            spend(rule, &[part(from, to)], day).dose,
            spend(rule, &[part(from, middle), part(middle, to)], day).dose
        ));
    }

    /// Louder or longer never costs less, and one more session never gives time back.
    #[test]
    fn more_costs_more(rule in rules(), sessions in sessions(), louder in 0.0..20.0_f64) {
        let day = Day::around(at("2024-03-09T12:00:00Z"), east(0));
        let all = spend(rule, &sessions, day).dose;
        let loud: Vec<_> = sessions.iter().map(|s| Listened { level: Decibels(s.level.get() + louder), ..*s }).collect();
        prop_assert!(spend(rule, &loud, day).dose >= all - 1e-9);
        for n in 0..sessions.len() {
            let mut fewer = sessions.clone();
            fewer.remove(n);
            prop_assert!(spend(rule, &fewer, day).dose <= all + 1e-9);
        }
    }

    /// Nothing breaks on any instant, level or length.
    #[test]
    fn no_panic(from in any::<i64>(), to in any::<i64>(), level in any::<f64>(), corrected in proptest::option::of(any::<i32>())) {
        let instant = |micros: i64| DateTime::<Utc>::from_timestamp_micros(micros).unwrap_or_default();
        let session = Listened {
            from: instant(from),
            to: instant(to),
            corrected: corrected.map(|s| TimeDelta::seconds(s.into())),
            level: Decibels(level),
        };
        for now in [instant(from), instant(to), DateTime::<Utc>::MAX_UTC, DateTime::<Utc>::MIN_UTC] {
            for clock in [east(5).into(), clock("America/St_Johns")] {
                let today = HearingToday::at(now, clock, HearingRule::Osha, &[session], Some(Decibels(level)), true);
                prop_assert!(today.spent >= 0.0);
            }
        }
    }
}

#[test]
fn times_as_people_write_them() {
    for (typed, minutes) in [
        ("25", 25.0),
        ("0", 0.0),
        ("25 min", 25.0),
        ("7.5 minutes", 7.5),
        ("7,5m", 7.5),
        ("1:05", 65.0),
        ("0:40", 40.0),
        ("1 h 5 min", 65.0),
        ("1h5", 65.0),
        ("2 hours", 120.0),
        ("1.5 h", 90.0),
        ("24 h", 1440.0),
    ] {
        let read = read_time(typed).expect(typed);
        assert_eq!(read.num_milliseconds() as f64 / 60_000.0, minutes, "{typed}");
    }
    for typed in ["", "h", ":", "five", "-3", "25 h", "1441", "1:2:3", "3 days", "1e9", "\u{202e}52", "NaN"] {
        let refused = read_time(typed).expect_err(typed);
        assert!(refused.sentence.ends_with('.'), "{typed}: {}", refused.sentence);
    }
}

#[test]
fn nothing_spent_has_no_sign() {
    for (share, shown) in [
        (0.0, "0 %"),
        (-0.0, "0 %"),
        (1e-15, "0 %"),
        // Sixteen seconds of a day are not a hundredth of it. From there on what is spent is rounded up.
        (0.001, "less than 1 %"),
        (0.0099, "less than 1 %"),
        (0.01, "1 %"),
        (0.0101, "2 %"),
        (0.5, "50 %"),
        (1.0, "100 %"),
    ] {
        assert_eq!(share_shown(share), shown, "{share}");
    }
}
