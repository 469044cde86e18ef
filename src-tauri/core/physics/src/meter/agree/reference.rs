//! Random readings of two coils held against a search of its own: for every first coil the second one that suits best, found by
//! halving, and the first one by a grid that is made finer. It knows the range that each reading was taken on; the judgement
//! knows what was typed.

use solderlast_samples::Chance;

use super::tests::pickup;
use super::*;
use crate::record::claim::MeterRange;
use crate::record::quantity::{last_digit, read_ohms};

/// A meter of so many counts, from its lowest range up by tens.
fn meter(counts: f64, share: f64, digits: f64, last: bool) -> Meter {
    let least = if counts < 5000.0 { 0.1 } else { 0.01 };
    let ranges = (0..7).map(|power| {
        let digit = least * 10_f64.powi(power);
        MeterRange { top: Ohms(digit * (counts - if last { 1.0 } else { 0.0 })), digit: Ohms(digit) }
    });
    Meter { share, counts: digits, ranges: ranges.collect() }
}

/// A reading as it stood on the display.
struct Display {
    typed: String,
    ohms: f64,
    claim: f64,
}

/// What is shown of this value, on the lowest range that reaches to `by`.
fn display(meter: &Meter, ohms: f64, by: f64) -> Option<Display> {
    let range = meter.ranges.iter().find(|range| by.max(ohms) <= range.top.0)?;
    let counts = (ohms / range.digit.0).round();
    let ohms = counts * range.digit.0;
    // All its digits, as they stand on a display.
    let (unit, name) = if range.top.0 >= 1e6 {
        (1e6, "M")
    } else if range.top.0 >= 1e3 {
        (1e3, "k")
    } else {
        (1.0, "")
    };
    let places = (unit / range.digit.0).log10().round() as usize;
    let claim = ohms * meter.share + meter.counts * range.digit.0;
    Some(Display { typed: format!("{:.places$}{name}", ohms / unit), ohms, claim })
}

/// The least that the worst of parallel, single and series lies off, over all coils.
fn least(read: &[Display]) -> f64 {
    let [parallel, single, series] = read else { return f64::NAN };
    let off = |seen: f64, one: &Display| (seen - one.ohms) / one.claim;
    // For a first coil, the second at which both others lie off by the same, to opposite sides: both rise with it.
    let with = |a: f64| {
        let both = |b: f64| (off(a + b, series), off(a * b / (a + b), parallel));
        let (mut low, mut high) = (1.0_f64, 2e5_f64);
        for _ in 0..48 {
            let b = (low + high) / 2.0;
            let (s, p) = both(b);
            if s + p > 0.0 { high = b } else { low = b }
        }
        let (s, p) = both(low);
        s.abs().max(p.abs()).max(off(a, single).abs())
    };
    let wide = with(single.ohms) * single.claim;
    let (from, to) = ((single.ohms - wide).max(1.0), single.ohms + wide);
    let grid = 160;
    let at = |step: i32| from + (to - from) * f64::from(step) / f64::from(grid);
    let mut steps: Vec<(i32, f64)> = (0..=grid).map(|step| (step, with(at(step)))).collect();
    steps.sort_by(|a, b| a.1.total_cmp(&b.1));
    let finer = steps.iter().take(4).map(|(step, _)| {
        let (mut low, mut high) = (at(step - 1).max(1.0), at(step + 1));
        for _ in 0..44 {
            let third = (high - low) / 3.0;
            if with(low + third) < with(high - third) { high -= third } else { low += third }
        }
        with((low + high) / 2.0)
    });
    finer.fold(steps[0].1, f64::min)
}

/// A triple: of two coils, with errors within the claim or a little beyond, or with something wrong.
fn triple(chance: &mut Chance) -> Option<(Meter, Vec<Display>)> {
    let counts = [2000.0, 4000.0, 6000.0, 20_000.0][chance.below(4)];
    let share = [0.002, 0.005, 0.008, 0.01, 0.015][chance.below(5)];
    let meter = meter(counts, share, [2.0, 3.0, 5.0][chance.below(3)], chance.below(2) == 0);
    let a = chance.between(300_f64.ln(), 35_000_f64.ln()).exp();
    let ratio = match chance.below(4) {
        0 => 1.0,
        1 => chance.between(0.97, 1.03),
        2 => chance.between(0.8, 1.25),
        _ => chance.between(0.2, 5.0),
    };
    let b = (a * ratio).clamp(300.0, 40_000.0);
    let seen = [a * b / (a + b), a, a + b];
    let within = chance.below(2) == 0;
    let most = if within { 1.0 } else { chance.between(1.0, 3.0) };
    let wrong = if within { 0 } else { chance.below(4) };
    let mut shown = Vec::new();
    for place in 0..3 {
        let really = match wrong {
            // One mode read in another's place, or anything at all.
            1 if place == 2 => seen[chance.below(2)],
            2 if place == 0 => seen[1 + chance.below(2)],
            3 => seen[place] * chance.between(0.7, 1.4),
            _ => seen[place],
        };
        let range = meter.ranges.iter().find(|range| really <= range.top.0)?;
        let claim = really * meter.share + meter.counts * range.digit.0;
        let read = really + chance.between(-most, most) * claim;
        // By what was there or by what it shows: near the top of a range a meter may stand on either.
        let by = if most <= 1.0 && chance.below(2) == 0 { really } else { read };
        shown.push(display(&meter, read, by)?);
    }
    shown.iter().all(|one| (100.0..=90_000.0).contains(&one.ohms)).then_some((meter, shown))
}

/// None passed beyond the band, none refused within it, and the figure is the least there is. `SOLDERLAST_TRIPLES` for more.
#[test]
fn no_triple_is_passed_beyond_the_band_and_none_refused_within() {
    let many = std::env::var("SOLDERLAST_TRIPLES").ok().and_then(|many| many.parse().ok()).unwrap_or(2000);
    let seed = std::env::var("SOLDERLAST_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(13);
    let mut chance = Chance(seed);
    let (rig, unknown) = (Rig::four_terminal("rig"), pickup(&[None, None]));
    let (mut within, mut beyond) = (0, 0);
    for _ in 0..many {
        let Some((meter, shown)) = triple(&mut chance) else { continue };
        let readings: Vec<Shown> = rig
            .positions
            .iter()
            .zip(&shown)
            .map(|(position, one)| Shown {
                mode: position.mode.clone(),
                reading: read_ohms(&one.typed).expect("a display is readable"),
                last_digit: last_digit(&one.typed),
            })
            .collect();
        let found = agree_as_written(&readings, &unknown, &rig, &[], &meter, None);
        let said: Vec<&str> = shown.iter().map(|one| one.typed.as_str()).collect();
        let least = least(&shown);
        let times = found.times_the_band.unwrap_or(f64::NAN);
        assert!(times < least + 1e-5 * least.max(1.0), "{said:?} {times} {least} {meter:?}");
        assert!(times > least - 1e-3 * least.max(1.0), "{said:?} {times} {least} {meter:?}");
        if (least - 1.0).abs() > 2e-3 {
            let kind = if least < 1.0 { AgreementKind::Agrees } else { AgreementKind::DoesNotAgree };
            assert_eq!(found.kind, kind, "{said:?} {least} {found:?} {meter:?}");
            if least < 1.0 { within += 1 } else { beyond += 1 }
        }
    }
    assert!(within > many / 10 && beyond > many / 10, "{within} within, {beyond} beyond");
}

/// The case that was called well with coils of 880 Ω and 1.4 kΩ, and its neighbours: one figure, without a jump.
#[test]
fn readings_that_no_coils_have_are_not_well() {
    let meter = meter(2000.0, 0.01, 5.0, false);
    let (rig, unknown) = (Rig::four_terminal("rig"), pickup(&[None, None]));
    let mut before: Option<f64> = None;
    for ohms in (1010..1035).map(f64::from) {
        let typed = [format!("{:.3}k", ohms / 1000.0), "2.15k".to_owned(), "1.021k".to_owned()];
        let readings: Vec<Shown> = rig
            .positions
            .iter()
            .zip(&typed)
            .map(|(position, typed)| Shown {
                mode: position.mode.clone(),
                reading: read_ohms(typed).expect("a bench case is readable"),
                last_digit: last_digit(typed),
            })
            .collect();
        let found = agree_as_written(&readings, &unknown, &rig, &[], &meter, None);
        assert_eq!(found.kind, AgreementKind::DoesNotAgree, "{typed:?} {found:?}");
        let times = found.times_the_band.unwrap_or(f64::NAN);
        assert!(times > 5.0, "{typed:?} {times}");
        assert!(before.is_none_or(|before| (times - before).abs() < 0.5), "{typed:?} {before:?} {times}");
        before = Some(times);
    }
}

/// Three coils in every mode of a switch, good and not: a fit within the claim is found, and what is found is one.
#[test]
fn three_coils_agree_where_a_search_finds_some_that_do() {
    let mut chance = Chance(5);
    let one = |coil: u8| Seen::One(coil);
    let modes = [
        Seen::Series(vec![one(0), one(1), one(2)]),
        Seen::Parallel(vec![one(0), one(1), one(2)]),
        Seen::Series(vec![one(0), Seen::Parallel(vec![one(1), one(2)])]),
        Seen::Parallel(vec![one(2), Seen::Series(vec![one(0), one(1)])]),
        one(1),
    ];
    for round in 0..60 {
        let coils = [(); 3].map(|()| chance.between(2000.0, 9000.0));
        let off = if round % 2 == 0 { 0.99 } else { 4.0 };
        let read: Vec<(f64, f64)> = modes
            .iter()
            .map(|seen| {
                let ohms = seen.ohms(&coils);
                (ohms + chance.between(-off, off) * ohms * 0.01, ohms * 0.01)
            })
            .collect();
        let rows: Vec<Weighed> =
            modes.iter().zip(&read).map(|(seen, (ohms, claim))| Weighed { seen, ohms: *ohms, claim: *claim }).collect();
        let found = least::least_apart(&rows, 3, &[]).map(|apart| apart.times).unwrap_or(f64::NAN);
        let worst = |coils: &[f64; 3]| {
            rows.iter().map(|row| (row.seen.ohms(coils) - row.ohms).abs() / row.claim).fold(0.0, f64::max)
        };
        assert!(found <= worst(&coils) + 1e-4, "{coils:?} {found}");
        // A walk downhill from the coils themselves, by ever smaller steps of chance, ends no lower.
        let (mut here, mut step) = (coils, 0.05);
        for tried in 0..4000 {
            let next = here.map(|ohms| ohms * (1.0 + chance.between(-step, step)));
            if worst(&next) < worst(&here) {
                here = next;
            }
            if tried % 40 == 39 {
                step *= 0.9;
            }
        }
        assert!(
            found <= worst(&here) + 1e-4 && found > worst(&here) - 0.2 * worst(&here).max(0.2),
            "{coils:?} {found} {}",
            worst(&here)
        );
    }
}
