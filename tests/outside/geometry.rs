//! Geometry against published values: pitch (ISO 16), the inch (NIST SP 811), silent harmonics (the wave equation, any
//! acoustics text), and against other roads to the same result: quaternions for rotations, a singular value
//! decomposition for the fit of levels.

use std::collections::BTreeSet;

use nalgebra::{DMatrix, DVector, Unit, UnitQuaternion, Vector3};
use solderlast_core::physics::gaps::LevelLaw;
use solderlast_core::physics::lies::{Axis, InSpace, Turned};
use solderlast_core::physics::strings::{HARMONICS, Hearing};
use solderlast_core::record::gaps::LevelReading;
use solderlast_core::record::guitar::Hand;
use solderlast_core::record::mounting::Lie;
use solderlast_core::record::note::read_note;
use solderlast_core::record::quantity::{Decibels, Length, LengthUnit, Millimetres, read_length};

/// ISO 16 with equal temperament; the table of open strings as any tuner prints it.
#[test]
fn pitches_of_open_strings() {
    for (note, hertz) in [("E2", 82.41), ("A2", 110.00), ("D3", 146.83), ("G3", 196.00), ("B3", 246.94), ("E4", 329.63)]
    {
        let pitch = read_note(note).expect("a note").pitch().0;
        assert!((pitch - hertz).abs() < 0.005, "{note}: {pitch}");
    }
    assert_eq!(read_note("A4").expect("a note").pitch().0, 440.0);
}

/// One inch is 25.4 mm exactly (NIST SP 811), so a 64th is 396 875 nm exactly.
#[test]
fn every_sixtyfourth_up_to_ten_inches_exactly() {
    for count in 1..=640_u32 {
        let exact = f64::from(count * 396_875) / 1e6;
        let (whole, part) = (count / 64, count % 64);
        let mut spellings = vec![format!("{count}/64\"")];
        match (whole, part) {
            (whole, 0) => spellings.push(format!("{whole}\"")),
            (0, part) => spellings.push(format!("{part}/64 in")),
            (whole, part) => spellings.push(format!("{whole} {part}/64\"")),
        }
        for typed in spellings {
            let read = read_length(&typed, LengthUnit::Millimetre).expect("a length").0;
            assert!((read - exact).abs() < 1e-12 * exact.max(1.0), "{typed}: {read}");
        }
        let bare = read_length(&count.to_string(), LengthUnit::Sixtyfourth).expect("a length").0;
        assert!((bare - exact).abs() < 1e-12 * exact.max(1.0), "{count}");
        // Shown, it is the same fraction in lowest terms, not marked as rounded, and reads back as itself.
        let shown = Length::from(Millimetres(exact)).sixtyfourth;
        assert!(!shown.contains('≈'), "{count}: {shown}");
        assert_eq!(
            read_length(&shown, LengthUnit::Millimetre).map(|mm| (mm.0 - exact).abs() < 1e-12),
            Ok(true),
            "{shown}"
        );
    }
}

/// What is shown in a unit reads back within half of its last digit.
#[test]
fn lengths_out_and_in_again() {
    for step in 1..20_000_u32 {
        let length = Millimetres(f64::from(step) * 0.013_7);
        for (unit, half) in [
            (LengthUnit::Millimetre, 0.005),
            (LengthUnit::DecimalInch, 0.000_5 * 25.4),
            (LengthUnit::Sixtyfourth, 25.4 / 128.0),
        ] {
            let shown = length.shown(unit);
            let read = read_length(shown.trim_start_matches("≈ "), unit).expect("what is shown can be typed").0;
            assert!((read - length.0).abs() <= half + 1e-9, "{shown}: {read} for {}", length.0);
        }
    }
}

/// The wave equation: on a string of length L the n-th harmonic stands still at d when n·d/L is whole, and nowhere else.
/// Places are fractions p/q of the string, so that it is decided in whole numbers.
#[test]
fn silent_where_n_d_over_l_is_whole() {
    let mut silent = 0;
    for scale in [609.6, 628.0, 648.0, 762.0, 864.0] {
        for q in 2..=24_u32 {
            for p in 1..q {
                let place = scale * f64::from(p) / f64::from(q);
                let hearing = Hearing { place: Millimetres(place), aperture: Millimetres(0.0), apart: None };
                for n in 1..=HARMONICS {
                    let whole = (n * p).is_multiple_of(q);
                    let share = hearing.share(n, Millimetres(scale)).abs();
                    assert_eq!(share < 1e-9, whole, "harmonic {n} at {p}/{q} of {scale}: {share}");
                    // Told as silent within half a millimetre; nodes of one harmonic lie L/n apart, so the nearest is
                    // at least L/(n·q) away where it is not at the place itself.
                    if whole || scale / f64::from(n * q) > 1.0 {
                        assert_eq!(
                            hearing.is_silent(n, Millimetres(scale)),
                            whole,
                            "harmonic {n} at {p}/{q} of {scale}"
                        );
                    }
                    silent += u32::from(whole);
                }
            }
        }
    }
    assert!(silent > 1000, "{silent} silent harmonics were looked at");
}

/// The 24 lies by quaternions: all products of quarter turns about the room's axes, which is another road than the
/// cross products of the core. Turns about the pickup's own axes multiply from the right.
#[test]
fn rotations_by_quaternions() {
    let quarter = |axis: Unit<Vector3<f64>>| UnitQuaternion::from_axis_angle(&axis, std::f64::consts::FRAC_PI_2);
    let generators = [quarter(Vector3::x_axis()), quarter(Vector3::z_axis())];
    let mut group = vec![UnitQuaternion::identity()];
    let mut from = 0;
    while from < group.len() {
        for generator in generators {
            let next = generator * group[from];
            if group.iter().all(|known| known.angle_to(&next) > 1e-6) {
                group.push(next);
            }
        }
        from += 1;
    }
    assert_eq!(group.len(), 24);
    let mut met = BTreeSet::new();
    for quaternion in &group {
        let lie =
            Lie::from_rotation(&quaternion.to_rotation_matrix()).expect("a quarter-turn rotation is one of the lies");
        met.insert(lie);
        let matrix = *lie.rotation().expect("possible").matrix();
        assert!((matrix - quaternion.to_rotation_matrix().matrix()).norm() < 1e-9, "{lie:?}");
        for turned in Turned::all() {
            let axis = match turned.about {
                Axis::Roll => Vector3::y_axis(),
                Axis::EndOverEnd => Vector3::x_axis(),
                Axis::Flat => Vector3::z_axis(),
            };
            let angle = f64::from(turned.quarters) * std::f64::consts::FRAC_PI_2;
            let after = quaternion * UnitQuaternion::from_axis_angle(&axis, angle);
            let told = lie.turned(turned).and_then(InSpace::rotation).expect("possible");
            assert!((told.matrix() - after.to_rotation_matrix().matrix()).norm() < 1e-9, "{lie:?} {turned:?}");
        }
        // Left-handed: a mirror turns the axis of a rotation like an axial vector. Across is mirrored, so the part of
        // the axis along y stays and the others change their sign.
        let q = quaternion.quaternion();
        let mirrored = UnitQuaternion::from_quaternion(nalgebra::Quaternion::new(q.w, -q.i, q.j, -q.k));
        let left = lie.in_the_room(Hand::Left).expect("possible");
        assert!((left.matrix() - mirrored.to_rotation_matrix().matrix()).norm() < 1e-9, "{lie:?}");
    }
    assert_eq!(met.len(), 24);
}

/// Least squares by singular value decomposition of the whole design matrix.
#[test]
fn the_level_law_by_singular_values() {
    let readings = [(1.2, -9.1), (1.6, -11.4), (2.0, -13.2), (2.4, -14.4), (3.2, -17.3), (4.4, -20.1)];
    let law = LevelLaw::fit(&readings.map(|(gap, level)| LevelReading {
        gap: Millimetres(gap),
        level: Decibels(level),
        strings: None,
    }))
    .expect("six gaps");
    let design =
        DMatrix::from_fn(readings.len(), 2, |row, column| if column == 0 { 1.0 } else { readings[row].0.log10() });
    let levels = DVector::from_iterator(readings.len(), readings.iter().map(|(_, level)| *level));
    let svd = design.clone().svd(true, true);
    let solved = svd.solve(&levels, 1e-12).expect("two columns are independent");
    assert!((law.at_one_millimetre.0 - solved[0]).abs() < 1e-9 && (law.per_decade.0 - solved[1]).abs() < 1e-9);
    // The variance of the slope from the inverse of the normal matrix; 2.776 is Student's t for four degrees of freedom.
    let left = &levels - &design * &solved;
    let normal = (design.transpose() * &design).try_inverse().expect("not singular");
    let scattered = 2.776 * (left.norm_squared() / 4.0 * normal[(1, 1)]).sqrt();
    let read = 1.960 * 0.5 * normal[(1, 1)].sqrt();
    assert!((law.per_decade_within.0 - scattered.max(read)).abs() < 1e-9);
}
