//! What the readings at the jack tell of a guitar as it was: what each pickup that stays reads by itself.
//!
//! With the volumes at full a position puts the pickups it joins, and the tracks of their pots, side by side. So conductances
//! add, and what a pot or the meter may be off bounds what is left for one pickup from both sides.

use super::SignalPath;
use super::controls::POT_WITHIN;
use crate::meter::{ROOM_WITHIN, SHORT_BELOW, copper};
use crate::record::claim::Meter;
use crate::record::controls::VolumeLayout;
use crate::record::quantity::{Celsius, Ohms, Reading};
use crate::record::wiring::{JackSet, Volumes};

/// A reading at the jack of a guitar as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadBefore {
    /// How everything stood.
    pub set: JackSet,
    /// What the meter showed.
    pub reading: Reading,
    /// The temperature of the room, if it was measured.
    pub room: Option<Celsius>,
}

/// A pickup as the jack shows it through the pots.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedBack {
    /// Its place.
    pub place: String,
    /// What it reads by itself at 20 °C, in ohms.
    pub ohms: Ohms,
    /// The least and the most that it may be, in ohms.
    pub between: [Ohms; 2],
}

/// The positions that are worth a reading before anything is unsoldered: each one that puts out a place which holds a pickup,
/// volumes at full.
#[must_use]
pub fn positions_before(path: &SignalPath, holding: &[String]) -> Vec<JackSet> {
    let heard = |places: &[String]| places.iter().any(|place| holding.contains(place));
    let positions = path.positions.iter().filter(|position| heard(&position.places));
    positions
        .map(|position| JackSet { selector: position.name.clone(), switch: String::new(), volumes: Volumes::Full {} })
        .collect()
}

/// A range of conductances: likeliest, least, most.
type Range = [f64; 3];

fn add(a: Range, b: Range) -> Range {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// A track's conductance; of one whose value nobody wrote down it is 250 kΩ to 1 MΩ (common practice).
fn track(stated: Option<Ohms>) -> Range {
    match stated.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 0.0) {
        Some(ohms) => [1.0 / ohms, 1.0 / (ohms * (1.0 + POT_WITHIN)), 1.0 / (ohms * (1.0 - POT_WITHIN))],
        None => [1.0 / 500e3, 1.0 / (1e6 * (1.0 + POT_WITHIN)), 1.0 / (250e3 * (1.0 - POT_WITHIN))],
    }
}

/// What the tracks conduct beside the pickups of a position.
fn tracks(path: &SignalPath, places: &[&String]) -> Range {
    match &path.layout {
        VolumeLayout::Shared {} => track(path.volume),
        VolumeLayout::NoVolume {} => [0.0; 3],
        VolumeLayout::EachPlace { pots, .. } => places.iter().fold([0.0; 3], |sum, place| {
            add(sum, track(pots.iter().find(|pot| pot.place == **place).and_then(|pot| pot.volume)))
        }),
    }
}

/// What a reading leaves for the one pickup of its position that is not known yet.
struct Left {
    place: String,
    range: Range,
    room: Option<Celsius>,
    /// How many pickups its position joins.
    joined: usize,
}

impl Left {
    /// How far apart the least and the most are, measured by the likeliest.
    fn width(&self) -> f64 {
        (self.range[2] - self.range[1]) / self.range[0]
    }
}

fn left(path: &SignalPath, holding: &[String], read: &ReadBefore, meter: &Meter, known: &[Left]) -> Option<Left> {
    let position = path.positions.iter().find(|position| position.name == read.set.selector)?;
    let places: Vec<&String> = position.places.iter().filter(|place| holding.contains(place)).collect();
    let unknown: Vec<&&String> = places.iter().filter(|place| known.iter().all(|one| one.place != ***place)).collect();
    let ([place], Some(Ohms(ohms))) = (unknown.as_slice(), read.reading.ohms()) else { return None };
    if !(SHORT_BELOW..meter.limit().0).contains(&ohms) {
        return None;
    }
    let claim = meter.claim(Ohms(ohms)).0;
    let whole = [1.0 / ohms, 1.0 / (ohms + claim), 1.0 / (ohms - claim).max(1.0)];
    let others = known.iter().filter(|one| places.contains(&&one.place)).fold([0.0; 3], |sum, one| add(sum, one.range));
    let beside = add(tracks(path, &places), others);
    let range = [whole[0] - beside[0], whole[1] - beside[2], whole[2] - beside[1]];
    // What is left must be a pickup: not less than nothing, and no more than all of it.
    (range[0] > 0.0 && range[1] > 0.0).then(|| Left {
        place: (**place).clone(),
        range,
        room: read.room,
        joined: places.len(),
    })
}

/// What each pickup reads by itself, as far as the readings tell. A reading of a pickup alone decides; one of several together
/// tells of the one among them that was not read alone, in whichever order they were read. `holding` are the places that hold
/// a pickup.
#[must_use]
pub fn solved_back(path: &SignalPath, holding: &[String], readings: &[ReadBefore], meter: &Meter) -> Vec<SolvedBack> {
    let full: Vec<&ReadBefore> = readings.iter().filter(|read| read.set.volumes == Volumes::Full {}).collect();
    let mut known: Vec<Left> = Vec::new();
    while let Some(next) = full
        .iter()
        .filter_map(|read| left(path, holding, read, meter, &known))
        .min_by(|a, b| a.joined.cmp(&b.joined).then(a.width().total_cmp(&b.width())))
    {
        known.push(next);
    }
    known.sort_by_key(|one| holding.iter().position(|place| *place == one.place));
    known
        .into_iter()
        .map(|Left { place, range: [likely, least, most], room, .. }| {
            let (cold, middle, warm) = match room {
                Some(room) => (room.0, room.0, room.0),
                None => (20.0 - ROOM_WITHIN, 20.0, 20.0 + ROOM_WITHIN),
            };
            let at = |degrees: f64| copper(Celsius(degrees));
            let between = [1.0 / most / at(warm), 1.0 / least / at(cold)].map(Ohms);
            SolvedBack { place, ohms: Ohms(1.0 / likely / at(middle)), between }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use solderlast_samples::Chance;

    use super::*;
    use crate::record::controls::{PlacePots, Selector, TrackWiring};
    use crate::record::guitar::Controls;

    fn places(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    fn path(layout: &VolumeLayout, names: &[String], volume: Option<f64>) -> SignalPath {
        let controls = Controls { volume: volume.map(Ohms), ..Controls::default() };
        SignalPath::new(&controls, layout, Selector::usual(names).as_ref(), names)
    }

    fn read(selector: &str, ohms: f64) -> ReadBefore {
        let set = JackSet { selector: selector.to_owned(), switch: String::new(), volumes: Volumes::Full {} };
        ReadBefore { set, reading: Reading::Ohms(Ohms(ohms)), room: Some(Celsius(20.0)) }
    }

    #[test]
    fn eight_kilohm_behind_a_pot() {
        let names = places(&["neck", "bridge"]);
        let path = path(&VolumeLayout::Shared {}, &names, Some(250e3));
        let found = solved_back(&path, &names, &[read("bridge", 7751.9)], &Meter::plain());
        assert_eq!(found.len(), 1);
        assert!((found[0].ohms.0 - 8000.0).abs() < 0.5 && found[0].place == "bridge", "{found:?}");
        let [low, high] = found[0].between;
        // The meter's 1 % and 3 digits, and a fifth of the pot.
        assert!(low.0 > 7750.0 && low.0 < 7880.0 && high.0 > 8110.0 && high.0 < 8260.0, "{found:?}");
        assert_eq!(positions_before(&path, &names).len(), 3);
        assert_eq!(positions_before(&path, &places(&["neck"])).len(), 2);
    }

    /// Both together and one alone give the other, also where each has its own volume.
    #[test]
    fn one_that_is_never_alone() {
        let names = places(&["neck", "bridge"]);
        let pots =
            |place: &str| PlacePots { place: place.to_owned(), volume: Some(Ohms(500e3)), tone: None, capacitor: None };
        let each =
            VolumeLayout::EachPlace { track: TrackWiring::PickupOnTrack, pots: vec![pots("neck"), pots("bridge")] };
        let path = path(&each, &names, None);
        let beside = |ohms: &[f64]| 1.0 / ohms.iter().map(|ohms| 1.0 / ohms).sum::<f64>();
        let both = beside(&[6000.0, 8000.0, 500e3, 500e3]);
        let alone = beside(&[6000.0, 500e3]);
        let name = path.positions.iter().find(|position| position.places.len() == 2).map(|p| p.name.clone());
        let readings = [read(&name.unwrap_or_default(), both), read("neck", alone)];
        let found = solved_back(&path, &names, &readings, &Meter::plain());
        let bridge = found.iter().find(|one| one.place == "bridge");
        assert!(bridge.is_some_and(|one| (one.ohms.0 - 8000.0).abs() < 1.0), "{found:?}");
    }

    /// Each one that was read alone is its own reading with the pots reckoned out, whatever the positions that join it read, and
    /// in whichever order they were read; one that was never alone is what the others leave of it.
    #[test]
    fn its_own_reading_decides() {
        let names = places(&["neck", "bridge"]);
        let mut chance = Chance(11);
        for _ in 0..400 {
            let pot = [250e3, 500e3, 1e6][chance.below(3_usize)];
            let each_place = chance.flip();
            let layout = if each_place {
                let pots = names.iter().map(|place| PlacePots {
                    place: place.clone(),
                    volume: Some(Ohms(pot)),
                    tone: None,
                    capacitor: None,
                });
                VolumeLayout::EachPlace { track: TrackWiring::PickupOnTrack, pots: pots.collect() }
            } else {
                VolumeLayout::Shared {}
            };
            let path = path(&layout, &names, Some(pot));
            let meter = Meter { share: chance.between(0.001, 0.03), ..Meter::plain() };
            let pots = if each_place { 2.0 / pot } else { 1.0 / pot };
            let real = [(); 2].map(|()| chance.between(5000.0, 9000.0));
            // Read by a meter that is off by up to its claim, so the readings contradict each other a little.
            let mut read_as = |ohms: f64| ohms + chance.between(-1.0, 1.0) * meter.claim(Ohms(ohms)).0;
            let alone = real.map(|ohms| read_as(1.0 / (1.0 / ohms + 1.0 / pot)));
            let joined = read_as(1.0 / (1.0 / real[0] + 1.0 / real[1] + pots));
            let both = path.positions.iter().find(|position| position.places.len() == 2);
            let both = both.map(|position| position.name.clone()).unwrap_or_default();
            let mut readings = vec![read("neck", alone[0]), read(&both, joined), read("bridge", alone[1])];
            readings.rotate_left(chance.below(3_usize));
            if chance.flip() {
                readings.reverse();
            }
            let mut own = [0, 1].map(|at: usize| 1.0 / (1.0 / alone[at] - 1.0 / pot));
            if chance.flip() {
                readings.retain(|read| read.set.selector != "neck");
                own[0] = 1.0 / (1.0 / joined - pots - 1.0 / own[1]);
            }
            let found = solved_back(&path, &names, &readings, &meter);
            for (place, ohms) in names.iter().zip(own) {
                let right = |one: &&SolvedBack| (one.ohms.0 - ohms).abs() < 1e-6 * ohms;
                let one = found.iter().find(|one| one.place == *place).filter(right);
                assert!(one.is_some(), "{place} is {ohms}: {found:?} of {readings:?}");
            }
        }
    }

    /// 7.2 kΩ alone behind 500 kΩ is 7.31 kΩ, though the middle position, read before it, leaves 7.2 kΩ.
    #[test]
    fn the_middle_position_read_first() {
        let names = places(&["neck", "bridge"]);
        let path = path(&VolumeLayout::Shared {}, &names, Some(500e3));
        let both = path.positions.iter().find(|position| position.places.len() == 2);
        let both = both.map(|position| position.name.clone()).unwrap_or_default();
        let readings = [read("bridge", 8050.0), read(&both, 3800.0), read("neck", 7200.0)];
        let found = solved_back(&path, &names, &readings, &Meter::plain());
        let ohms: Vec<(&str, f64)> = found.iter().map(|one| (one.place.as_str(), one.ohms.0.round())).collect();
        assert_eq!(ohms, [("neck", 7305.0), ("bridge", 8182.0)]);
    }

    /// What can't be a pickup tells nothing: open, short, or more than the pot.
    #[test]
    fn what_is_no_pickup() {
        let names = places(&["neck"]);
        let path = path(&VolumeLayout::Shared {}, &names, Some(250e3));
        let selector = path.positions[0].name.clone();
        for ohms in [0.4, 260e3, 400e3, f64::NAN, -1.0] {
            let found = solved_back(&path, &names, &[read(&selector, ohms)], &Meter::plain());
            assert!(found.is_empty(), "{ohms}: {found:?}");
        }
        let open = ReadBefore { reading: Reading::OverLimit, ..read(&selector, 1.0) };
        assert!(solved_back(&path, &names, &[open], &Meter::plain()).is_empty());
    }

    /// Whatever pickups, pots and meter are within what they claim, the truth lies between what is said.
    #[test]
    fn the_truth_lies_between() {
        let names = places(&["neck", "middle", "bridge"]);
        let meter = Meter::plain();
        let mut chance = Chance(7);
        let mut between = |low: f64, high: f64| chance.between(low, high);
        let mut told = 0;
        for _ in 0..400 {
            let path = path(&VolumeLayout::Shared {}, &names, Some(500e3));
            let real: Vec<f64> = names.iter().map(|_| between(3000.0, 14_000.0)).collect();
            let (pot, degrees) = (500e3 * between(0.8, 1.2), between(10.0, 30.0));
            let known = between(0.0, 1.0) < 0.5;
            let readings: Vec<ReadBefore> = path
                .positions
                .iter()
                .map(|position| {
                    let sum: f64 = names
                        .iter()
                        .zip(&real)
                        .filter(|(name, _)| position.places.contains(name))
                        .map(|(_, ohms)| 1.0 / (ohms * (1.0 + 0.003_93 * (degrees - 20.0))))
                        .sum();
                    let exact = 1.0 / (sum + 1.0 / pot);
                    let shown = exact + 0.95 * between(-1.0, 1.0) * meter.claim(Ohms(exact)).0;
                    ReadBefore { room: known.then_some(Celsius(degrees)), ..read(&position.name, shown) }
                })
                .collect();
            for one in solved_back(&path, &names, &readings, &meter) {
                let at = names.iter().position(|name| *name == one.place).unwrap_or_default();
                let [low, high] = one.between;
                assert!(low.0 <= real[at] && real[at] <= high.0, "{one:?}, really {}", real[at]);
                told += 1;
            }
        }
        assert_eq!(told, 1200);
    }
}
