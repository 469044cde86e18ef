//! A pickup's record beside what a meter shows of it: what is written down as it is, or with a slip of the hand, is held against
//! resistances worked out here in plain arithmetic. What is in tolerance is never doubted; what is asked about would explain
//! every reading; and a record is asked about wherever one slip in it does.
//!
//! `SOLDERLAST_RECORDS=5000` tries more.

use solderlast_core::physics::meter::{Case, SlipAt, Taken, diagnose};
use solderlast_core::record::claim::{Meter, MeterRange};
use solderlast_core::record::meter::Probe;
use solderlast_core::record::pickup::Construction;
use solderlast_core::record::quantity::{Celsius, Ohms, Reading};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_testkit::pickups::{hooked_up, pickup};
use solderlast_testkit::{Chance, number};

/// What a hand does to a figure: a point one or two places off, or a letter.
const SLIPS: [f64; 6] = [10.0, 0.1, 100.0, 0.01, 1e3, 1e-3];
const MODES: [&str; 3] = ["parallel", "single", "series"];

/// What the usual rig puts out in a mode.
fn shows(mode: &str, [a, b]: [f64; 2]) -> f64 {
    match mode {
        "parallel" => 1.0 / (1.0 / a + 1.0 / b),
        "single" => a,
        _ => a + b,
    }
}

fn uses_b(mode: &str) -> bool {
    mode != "single"
}

/// A meter by its booklet: share of the reading, counts of the last digit, and how many counts a range has.
struct Booklet {
    share: f64,
    counts: f64,
    full: f64,
}

impl Booklet {
    fn by_chance(chance: &mut Chance) -> Self {
        Self { share: chance.between(0.003, 0.02), counts: chance.of(&[2.0, 3.0, 5.0]), full: chance.of(&[2e3, 4e3]) }
    }

    fn meter(&self) -> Meter {
        let digits = [0.1, 1.0, 10.0, 100.0, 1e3, 1e4];
        let ranges = digits.map(|digit| MeterRange { top: Ohms(digit * self.full), digit: Ohms(digit) });
        Meter { share: self.share, counts: self.counts, ranges: ranges.to_vec() }
    }

    /// The last digit of the range that shows this.
    fn digit(&self, ohms: f64) -> f64 {
        let mut digit = 0.1;
        while ohms > digit * self.full {
            digit *= 10.0;
        }
        digit
    }

    /// How far off it may read in that range, and in the next one: near the top nobody knows in which of both.
    fn claim(&self, ohms: f64) -> [f64; 2] {
        [1.0, 10.0].map(|next| ohms * self.share + self.counts * self.digit(ohms) * next)
    }

    /// What it shows of so much, to the last digit and within its booklet, as somebody types it.
    fn typed(&self, ohms: f64, chance: &mut Chance) -> (f64, String) {
        let digit = self.digit(ohms);
        // Half a count is left for the last digit, and a tenth of the share for what the share is taken of.
        let off = chance.between(-1.0, 1.0) * (0.9 * self.share * ohms + (self.counts - 0.5) * digit);
        let read = ((ohms + off) / digit).round() * digit;
        let decimals = if digit < 5.0 {
            3
        } else if digit < 50.0 {
            2
        } else {
            1
        };
        (read, format!("{:.decimals$}k", read / 1e3))
    }
}

fn copper_at(degrees: f64) -> f64 {
    1.0 + 0.00393 * (degrees - 20.0)
}

/// Whether readings are those of coils of so much, within a tenth for the winding, the room and the booklet. Nothing where that
/// hangs on which range the meter stood in.
fn fits(coils: [Option<f64>; 2], readings: &[(&str, f64)], booklet: &Booklet, room: Option<f64>) -> Option<bool> {
    let each: Vec<Option<bool>> =
        readings.iter().map(|(mode, read)| fits_one(coils, mode, *read, booklet, room)).collect();
    if each.contains(&Some(false)) {
        Some(false)
    } else if each.contains(&None) {
        None
    } else {
        Some(true)
    }
}

fn fits_one(coils: [Option<f64>; 2], mode: &str, read: f64, booklet: &Booklet, room: Option<f64>) -> Option<bool> {
    let (Some(a), b) = (coils[0], coils[1]) else { return Some(true) };
    let b = match b {
        Some(b) => b,
        None if uses_b(mode) => return Some(true),
        None => 1.0,
    };
    let (cold, warm) = room.map_or((10.0, 30.0), |room| (room, room));
    let low = shows(mode, [a, b].map(|ohms| ohms * 0.9 * copper_at(cold)));
    let high = shows(mode, [a, b].map(|ohms| ohms * 1.1 * copper_at(warm)));
    let within = [0, 1]
        .map(|range: usize| (low - booklet.claim(low)[range]..=high + booklet.claim(high)[range]).contains(&read));
    (within[0] == within[1]).then_some(within[0])
}

/// What no coil commonly has, though a coil of low impedance may.
fn hardly_be(stated: f64) -> bool {
    stated > 25e3 || (500.0..1e3).contains(&stated)
}

/// `5.9 kΩ`, `5.90k` or `590`, in ohms.
fn ohms(text: &str) -> f64 {
    let figure: String = text.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
    let letter = if text.contains('k') {
        1e3
    } else if text.contains('M') {
        1e6
    } else {
        1.0
    };
    figure.parse::<f64>().unwrap_or(f64::NAN) * letter
}

/// The value that a sentence about a record ends in.
fn about(sentence: &str) -> f64 {
    let rest = sentence.split_once("about ").map_or("", |(_, rest)| rest);
    ohms(rest.split('Ω').next().unwrap_or_default())
}

fn alike(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 0.01
}

/// Every way to put a record right by one slip, with the value that it names.
fn put_right(record: [Option<f64>; 2]) -> Vec<(f64, [Option<f64>; 2])> {
    let doubted = record.map(|stated| stated.is_some_and(hardly_be));
    let mut ways = Vec::new();
    for of in [doubted, [true, true], [true, false], [false, true]] {
        for slip in SLIPS {
            let right = [0, 1].map(|at: usize| record[at].map(|stated| if of[at] { stated * slip } else { stated }));
            let named = [0, 1].into_iter().filter(|at| of[*at]).find_map(|at: usize| right[at]);
            ways.extend(named.map(|named| (named, right)));
        }
    }
    match record {
        [Some(a), Some(b)] if a == b => ways.extend([0.5, 2.0].map(|by| (a * by, [Some(a * by); 2]))),
        [Some(whole), None] => ways.push((whole / 2.0, [Some(whole / 2.0); 2])),
        _ => {}
    }
    ways
}

fn asked(record: [Option<f64>; 2], taken: &[(&str, String)], booklet: &Booklet, room: Option<f64>) -> Option<SlipAt> {
    let pickup = pickup(Construction::SideBySide, &record);
    let taken: Vec<Taken> = taken
        .iter()
        .map(|(mode, typed)| Taken::at_output(Mode::new(*mode), Reading::Ohms(Ohms(ohms(typed)))).typed(typed))
        .collect();
    let case = Case {
        pickup: &pickup,
        joined: &hooked_up(),
        rig: &Rig::four_terminal("rig"),
        meter: &booklet.meter(),
        room: room.map(Celsius),
        measured: &[],
        modes: &[],
        taken: &taken,
    };
    diagnose(&case).slip
}

#[test]
fn a_record_is_doubted_where_a_slip_in_it_explains_the_readings_and_nowhere_else() {
    let mut chance = Chance::seeded(19);
    let (mut of_record, mut of_reading, mut in_order) = (0, 0, 0);
    for round in 0..number("SOLDERLAST_RECORDS", 240) {
        let booklet = Booklet::by_chance(&mut chance);
        let room = chance.flip().then(|| chance.between(8.0, 32.0));
        let a = chance.in_ratio(1200.0, 20e3);
        let twins = chance.flip();
        let b = if twins { a * chance.between(0.97, 1.03) } else { chance.in_ratio(1200.0, 20e3) };
        let warm = copper_at(room.unwrap_or_else(|| chance.between(10.0, 30.0)));
        let modes: Vec<&str> = MODES.into_iter().filter(|_| chance.below(4) > 0).collect();
        let mut readings: Vec<(&str, f64)> = Vec::new();
        let mut typed: Vec<(&str, String)> = Vec::new();
        for mode in modes {
            let (read, text) = booklet.typed(shows(mode, [a * warm, b * warm]), &mut chance);
            readings.push((mode, read));
            typed.push((mode, text));
        }
        if readings.is_empty() {
            continue;
        }
        let mut wound = || chance.between(0.93, 1.07);
        let [a, b] = [a * wound(), b * wound()];
        let slip = SLIPS[round as usize / 8 % SLIPS.len()];
        // What the hand wrote.
        let record = match round % 8 {
            0 => [Some(a), Some(b)],
            1 => [Some(a * slip), Some(b * slip)],
            2 => [Some(a * slip), Some(b)],
            3 => [Some(a), Some(b * slip)],
            4 => [Some(a + b), None],
            5 => [Some(a + b); 2],
            6 => [Some(f64::midpoint(a, b) / 2.0); 2],
            _ => [Some(a), None],
        };
        let found = asked(record, &typed, &booklet, room);
        let said = format!("{round}: {record:?} {typed:?} {room:?} {found:?}");
        let right = fits(record, &readings, &booklet, room);
        let Some(right) = right else { continue };
        if right {
            assert_eq!(found, None, "a record in tolerance is doubted: {said}");
            in_order += 1;
            continue;
        }
        let ways = put_right(record);
        let explains = |way: &[Option<f64>; 2]| fits(*way, &readings, &booklet, room);
        let usual = |way: &[Option<f64>; 2]| way.iter().flatten().all(|ohms| (1010.0..24_900.0).contains(ohms));
        let doubted = record.iter().flatten().any(|stated| hardly_be(*stated));
        // What is asked about would explain all that was read.
        match &found {
            Some(slip) if slip.sentence.contains("of both together") => {
                let whole = record[0].map(|whole| [Some(whole / 2.0); 2]).unwrap_or_default();
                let series = readings.iter().find(|(mode, _)| *mode == "series").expect("both were read");
                assert!(record[1].is_none() && slip.probe.is_none(), "{said}");
                assert_ne!(fits_one(whole, series.0, series.1, &booklet, room), Some(false), "{said}");
                assert_ne!(explains(&whole), Some(true), "coils that are alike have the half each: {said}");
                of_record += 1;
            }
            Some(slip) if slip.probe.is_none() => {
                let named = about(&slip.sentence);
                let way = ways.iter().any(|(value, way)| alike(*value, named) && explains(way) != Some(false));
                assert!(way, "nothing explains it: {said}");
                of_record += 1;
            }
            Some(slip) => {
                let Some(Probe::Output { mode, .. }) = &slip.probe else { panic!("{said}") };
                let mut instead = readings.clone();
                let at = instead.iter_mut().find(|(other, _)| *other == mode.0).expect("it was read");
                assert!(!(doubted && (1e3..25e3).contains(&at.1)), "a usual reading beside an unusual record: {said}");
                at.1 = ohms(&slip.instead);
                assert_ne!(fits(record, &instead, &booklet, room), Some(false), "{said}");
                of_reading += 1;
            }
            None => {}
        }
        // Where one slip in the record explains it, something is asked.
        let off: Vec<Option<bool>> =
            readings.iter().map(|(mode, read)| fits_one(record, mode, *read, &booklet, room)).collect();
        let several = off.iter().filter(|fits| **fits == Some(false)).count() > 1;
        let sure: Vec<&(f64, [Option<f64>; 2])> =
            ways.iter().filter(|(_, way)| explains(way) == Some(true) && usual(way)).collect();
        let slipped_once = |way: &[Option<f64>; 2]| {
            way.iter().zip(&record).all(|(one, other)| {
                one.zip(*other)
                    .is_none_or(|(one, other)| SLIPS.iter().any(|slip| alike(one / other, *slip)) || one == other)
            })
        };
        let by_letter = |way: &[Option<f64>; 2]| {
            way.iter().zip(&record).any(|(one, other)| {
                one.zip(*other).is_some_and(|(one, other)| alike(one / other, 1e3) || alike(one / other, 1e-3))
            })
        };
        let series = readings.iter().any(|(mode, _)| *mode == "series");
        let single = readings.iter().any(|(mode, _)| *mode == "single");
        let of_both = sure.iter().any(|(_, way)| !slipped_once(way))
            && series
            && if record[1].is_some() { readings.len() > 1 } else { single };
        let must = of_both || sure.iter().any(|(_, way)| slipped_once(way) && (several || by_letter(way)));
        assert!(!must || found.is_some(), "nobody is asked: {said}");
        let record_first = of_both || sure.iter().any(|(_, way)| slipped_once(way) && by_letter(way));
        assert!(!record_first || found.is_some_and(|slip| slip.probe.is_none()), "the record first: {said}");
    }
    assert!(of_record > 30 && in_order > 20, "{of_record} {of_reading} {in_order}");
}

/// The same letter wrong in every reading is no reason to doubt a record that a coil can have.
#[test]
fn a_letter_that_is_wrong_in_every_reading_is_asked_about_in_the_readings() {
    let mut chance = Chance::seeded(20);
    for round in 0..30 {
        let booklet = Booklet::by_chance(&mut chance);
        let [a, b] = [0, 1].map(|_| chance.in_ratio(1200.0, 20e3));
        let mut meant = Vec::new();
        for mode in MODES {
            let (read, text) = booklet.typed(shows(mode, [a, b]), &mut chance);
            meant.push((mode, read, text.replace('k', "M")));
        }
        // One of them alone, two or all three.
        meant.drain(..round % 3);
        let typed: Vec<(&str, String)> = meant.iter().map(|(mode, _, text)| (*mode, text.clone())).collect();
        let slip = asked([Some(a), Some(b)], &typed, &booklet, Some(20.0)).expect("a reading is asked about");
        let Some(Probe::Output { mode, .. }) = &slip.probe else { panic!("{typed:?}: {}", slip.sentence) };
        let (_, read, _) = meant.iter().find(|(other, ..)| *other == mode.0).expect("it was read");
        assert!((ohms(&slip.instead) / read - 1.0).abs() < 1e-6, "{typed:?}: {}", slip.sentence);
    }
}
