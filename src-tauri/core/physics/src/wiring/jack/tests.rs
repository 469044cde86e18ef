#![allow(clippy::panic, reason = "a test that can't go on should stop")]

use super::*;
use crate::record::contacts::ModeSwitch;
use crate::record::controls::{TrackWiring, VolumeLayout};
use crate::record::quantity::Reading;
use crate::record::rig::Mode;
use crate::record::wiring::Plan;
use crate::wiring::invented;
use crate::wiring::invented::Guitarful;

/// Ohms at the jack, or nothing where it is open.
fn nominal(guitar: &Guitarful, selector: &str, switch: &str, volumes: Volumes) -> Option<f64> {
    let wiring = guitar.wiring();
    let set = JackSet { selector: selector.to_owned(), switch: switch.to_owned(), volumes };
    let readings = jack_readings(&guitar.install(&wiring));
    let found = readings.iter().find(|reading| reading.set == set);
    found.unwrap_or_else(|| panic!("no such reading: {set:?} in {readings:#?}")).nominal.map(|ohms| ohms.0)
}

fn near(found: Option<f64>, wanted: f64) -> bool {
    found.is_some_and(|ohms| (ohms - wanted).abs() < 0.5)
}

fn beside(ohms: &[f64]) -> f64 {
    1.0 / ohms.iter().map(|ohms| 1.0 / ohms).sum::<f64>()
}

#[test]
fn eight_kilohm_behind_a_pot_of_250() {
    let guitar = Guitarful::one_place(Some(250e3));
    let found = nominal(&guitar, "", "", Volumes::Full {});
    assert!(near(found, 7751.9), "{found:?}");
    assert_eq!(nominal(&guitar, "", "", Volumes::Zero {}), Some(0.0));
    let wiring = guitar.wiring();
    let full = &jack_readings(&guitar.install(&wiring))[0];
    assert_eq!(full.shown, "7.75 kΩ");
    let (low, high) = (full.low.expect("known").0, full.high.expect("known").0);
    // Windings ±10 %, 10 to 30 °C, pots ±20 %, meter ±(1 % + 3 digits).
    assert!(low < 7000.0 && low > 6500.0 && high > 8500.0 && high < 9100.0, "{low} {high}");
    for part in ["coil A and coil B in series", "volume pot", "±20 %"] {
        let said = format!("{} {}", full.sentence, full.holds.join(", "));
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn shared_volume_at_zero_is_next_to_nothing_everywhere() {
    let guitar = Guitarful::two_places(VolumeLayout::Shared {});
    for selector in ["neck", "neck and bridge", "bridge"] {
        assert_eq!(nominal(&guitar, selector, "", Volumes::Zero {}), Some(0.0), "{selector}");
    }
    let both = beside(&[8000.0, 6000.0, 500e3]);
    assert!(near(nominal(&guitar, "neck and bridge", "", Volumes::Full {}), both));
    assert!(near(nominal(&guitar, "neck", "", Volumes::Full {}), beside(&[6000.0, 500e3])));
}

#[test]
fn what_volumes_by_place_do_in_the_middle() {
    for (track, neck_down, all_down) in [
        (TrackWiring::PickupOnTrack, Some(0.0), Some(0.0)),
        // The other pickup goes on, with both tracks beside it.
        (TrackWiring::PickupOnWiper, Some(beside(&[8000.0, 500e3, 300e3])), Some(beside(&[500e3, 300e3]))),
    ] {
        let guitar = Guitarful::two_places(invented::each_place(track));
        let middle = "neck and bridge";
        let full = nominal(&guitar, middle, "", Volumes::Full {});
        assert!(near(full, beside(&[8000.0, 6000.0, 500e3, 300e3])), "{track:?}: {full:?}");
        for (volumes, wanted) in
            [(Volumes::ZeroOf { place: "neck".to_owned() }, neck_down), (Volumes::Zero {}, all_down)]
        {
            let found = nominal(&guitar, middle, "", volumes.clone());
            assert!(
                found.zip(wanted).is_some_and(|(found, wanted)| (found - wanted).abs() < 0.5),
                "{track:?} {volumes:?}: {found:?}, not {wanted:?}"
            );
        }
    }
}

/// Nobody can tell how the volumes are wired: at full it reads alike either way, and nothing is expected with one down.
#[test]
fn volumes_of_a_wiring_not_known_are_read_at_full_alone() {
    let at = |track| {
        let guitar = Guitarful::two_places(invented::each_place(track));
        let wiring = guitar.wiring();
        jack_readings(&guitar.install(&wiring))
    };
    let not_known = at(TrackWiring::NotKnown);
    assert!(not_known.len() == 3 && not_known.iter().all(|one| one.set.volumes == Volumes::Full {}), "{not_known:?}");
    for told in [TrackWiring::PickupOnTrack, TrackWiring::PickupOnWiper] {
        for one in at(told).iter().filter(|one| one.set.volumes == Volumes::Full {}) {
            let same = not_known.iter().find(|other| other.set == one.set).expect("the same position");
            assert_eq!((same.low, same.high, same.nominal), (one.low, one.high, one.nominal), "{told:?}");
        }
    }
    let guitar = Guitarful::two_places(invented::each_place(TrackWiring::NotKnown));
    let wiring = guitar.wiring();
    let proof = crate::wiring::prove(&guitar.install(&wiring), &[]);
    assert!(proof.left.iter().all(|set| set.volumes == Volumes::Full {}), "{:?}", proof.left);
}

#[test]
fn a_pickup_of_which_nothing_is_known_has_no_figure() {
    let mut guitar = Guitarful::two_places(VolumeLayout::Shared {});
    guitar.staying[0].reads = None;
    let wiring = guitar.wiring();
    let readings = jack_readings(&guitar.install(&wiring));
    let neck = readings.iter().find(|reading| reading.set.selector == "neck").expect("it has one");
    assert_eq!((neck.nominal, neck.shown.as_str(), neck.open), (None, "not known", false));
    assert!(neck.sentence.contains("Nothing is known of the neck pickup"), "{}", neck.sentence);
    let bridge = readings.iter().find(|reading| reading.set.selector == "bridge").expect("it has one");
    assert!(bridge.nominal.is_some());
}

#[test]
fn every_position_of_the_mode_switch() {
    let mut guitar = Guitarful::one_place(Some(500e3));
    guitar.plan = Plan {
        modes: ["series", "parallel"].map(Mode::new).to_vec(),
        switch: ModeSwitch::ready_made().into_iter().next(),
        turned: false,
        selector: None,
    };
    assert!(near(nominal(&guitar, "", "one", Volumes::Full {}), beside(&[8000.0, 500e3])));
    assert!(near(nominal(&guitar, "", "two", Volumes::Full {}), beside(&[4100.0, 3900.0, 500e3])));
    // A reading in the band of one is not in that of the other.
    let wiring = guitar.wiring();
    let readings = jack_readings(&guitar.install(&wiring));
    let full: Vec<&JackReading> = readings.iter().filter(|reading| reading.set.volumes == Volumes::Full {}).collect();
    assert!(full[0].low > full[1].high);
    assert_eq!(full[0].mode, Some(Mode::new("series")));
    assert_ne!(Reading::Ohms(full[0].low.expect("known")), Reading::OverLimit);
}
