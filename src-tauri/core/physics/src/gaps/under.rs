//! Where to start with the gaps, and how near is too near, by what pulls the strings, where, and on which side of them.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::over::Over;
use super::{GapIs, Reach, beside};
use crate::record::gaps::Strings;
use crate::record::guitar::Guitar;
use crate::record::pickup::{Magnets, Pickup, Poles, Stagger};
use crate::record::quantity::{Length, Millimetres};
use crate::record::rig::Faces;

/// Farther from the saddle than this part of the scale, a place counts as a neck place.
const NECK_FROM: f64 = 0.2;
/// How much farther the starting range lies at a neck place, in millimetres (common practice): strings swing wider there
/// and magnets pull them more.
const NECK_FARTHER: f64 = 0.3;
/// This much nearer than the starting range, magnets are likely to pull the strings, in millimetres (common practice).
const PULLS_BELOW: f64 = 0.5;
/// This many times the largest starting gap, nothing can be judged any more (common practice).
const NOTHING_BEYOND: f64 = 2.5;
/// What stays free between a pole and the hardest swing of a string where one starts, in millimetres (common practice).
const STAYS_FREE: f64 = 0.4;
/// How wide a starting range is at least, in millimetres.
const NARROWEST: f64 = 0.8;

/// Where to start, in millimetres, by magnets, place and the side of the strings on which the pickup is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct StartingGaps {
    /// Smallest and largest at the bass side.
    pub bass: [Length; 2],
    /// Smallest and largest at the treble side.
    pub treble: [Length; 2],
    /// Why not nearer, in a sentence.
    pub reason: String,
    /// Where the range is from.
    pub source: String,
}

/// How hard magnets pull the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pull {
    /// Magnets end right under the strings.
    Strong,
    /// A bar magnet works through steel poles or a blade.
    Mild,
    /// Nobody knows where its magnets are.
    Unknown,
}

impl Pull {
    /// By where the magnets are; where nobody wrote that down, by the poles that can be seen.
    #[must_use]
    pub fn of(pickup: &Pickup) -> Self {
        match (pickup.magnets, pickup.poles) {
            (Some(Magnets::InPoles), _) | (None, Poles::Rods) => Self::Strong,
            (Some(Magnets::Bar), _) | (None, Poles::Screws | Poles::Blade) => Self::Mild,
            (None, Poles::Hidden) => Self::Unknown,
        }
    }
}

/// What the starting range hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Under {
    /// How hard the pickup pulls.
    pub pull: Pull,
    /// Whether it is at a neck place.
    pub neck: bool,
    /// The strings over or under it.
    pub over: Over,
    /// How much nearer than a straight line between the outer gaps each string comes, in millimetres.
    nearer: Vec<f64>,
}

impl Under {
    /// A pickup at `place` of a guitar, bass and treble side, held as a rig that faces like this holds it.
    #[must_use]
    pub fn at(pickup: &Pickup, guitar: Option<&Guitar>, place: [Millimetres; 2], faces: Faces) -> Self {
        let over = Over::of(guitar, place, faces);
        let [bass, treble] = [0, 1].map(|side| over.place[side] / over.scale[side].max(1.0));
        let poles: Vec<f64> = match &pickup.stagger {
            Stagger::Staggered { heights } if pickup.poles != Poles::Blade => heights.iter().map(|h| h.0).collect(),
            Stagger::Staggered { .. } | Stagger::Flat | Stagger::Unknown => Vec::new(),
        };
        Self {
            pull: Pull::of(pickup),
            neck: f64::midpoint(bass, treble) > NECK_FROM,
            nearer: over.nearer_between(guitar.map_or(6, Guitar::courses), &poles),
            over,
        }
    }

    /// The usual range of an installed pickup at the bass and at the treble side, the strings pressed at the last fret, in
    /// millimetres (common practice, no source).
    fn installed(&self) -> [[f64; 2]; 2] {
        let range = match (self.over.bass, self.pull) {
            (false, Pull::Strong | Pull::Unknown) => [[2.0, 3.2], [1.6, 2.4]],
            (false, Pull::Mild) => [[1.6, 2.8], [1.2, 2.4]],
            (true, Pull::Strong | Pull::Unknown) => [[2.6, 4.0], [2.2, 3.2]],
            (true, Pull::Mild) => [[2.2, 3.6], [1.8, 3.0]],
        };
        let farther = if self.neck { NECK_FARTHER } else { 0.0 };
        range.map(|side| side.map(|gap| gap + farther))
    }

    /// How far a hard stroke swings each string, in millimetres.
    fn swings(&self) -> impl Iterator<Item = f64> + '_ {
        let [bass, treble] = self.over.swing();
        (0..self.nearer.len()).map(move |index| bass + (treble - bass) * self.part(index))
    }

    /// How far along from the bass to the treble string one of them is.
    fn part(&self, index: usize) -> f64 {
        index as f64 / self.nearer.len().saturating_sub(1).max(1) as f64
    }

    /// The starting range with the strings open or pressed, bass and treble side. A pickup above the strings starts as far
    /// from the open ones as an installed one is, and never within the swing of a hard stroke.
    fn range(&self, strings: Strings) -> [[f64; 2]; 2] {
        let pressed = Strings::Pressed { at: self.over.last_fret };
        let [bass, treble] = self.installed();
        if self.over.faces == Faces::Up && strings == pressed {
            return [bass, treble];
        }
        let installed = self.over.facing(Faces::Up);
        let open =
            |at: usize| installed.open([Millimetres(bass[at]), Millimetres(treble[at])], pressed).map(|gap| gap.0);
        let (mut low, mut high) = (open(0), open(1));
        if self.over.faces == Faces::Down {
            let lacks = self.swings().enumerate().map(|(index, swing)| {
                let line = low[0] + (low[1] - low[0]) * self.part(index);
                swing + STAYS_FREE - (line - self.nearer[index])
            });
            let lacks = lacks.fold(0.0, f64::max);
            for side in [0, 1] {
                low[side] += lacks;
                high[side] = high[side].max(low[side] + NARROWEST);
            }
        }
        let turned =
            |gaps: [f64; 2]| self.over.turned(gaps.map(Millimetres), Strings::Open {}, strings).map(|gap| gap.0);
        let (low, high) = (turned(low), turned(high));
        [[low[0], high[0]], [low[1], high[1]]]
    }

    /// The starting range, for gaps that are measured with the strings open or pressed.
    #[must_use]
    pub fn starting(&self, strings: Strings) -> StartingGaps {
        let [bass, treble] = self.range(strings);
        let lengths = |side: [f64; 2]| side.map(|gap| Length::from(Millimetres(gap)));
        let mut reason = vec![match self.over.faces {
            Faces::Down => {
                "The range is as far from the open strings as an installed pickup is, and leaves room for the swing of a \
                 hard stroke. The middle strings and the tallest poles come nearest: look along them."
            }
            Faces::Up => {
                "Nearer is louder, but magnets that are too near pull the strings: they warble, sound out of tune and die \
                 early, the wound strings first."
            }
        }];
        if self.neck {
            reason.push("At a neck place strings swing wider and are pulled more, so it lies a little farther away.");
        }
        if self.over.bass {
            reason.push("Bass strings swing wider than a guitar's.");
        }
        if self.pull == Pull::Unknown {
            reason.push("Not recorded yet where its magnets are, so it is the careful range.");
        }
        let source = if self.over.measured || (self.over.faces == Faces::Up && strings == self.over.usual()) {
            "Common practice, no source; a place to start, not a rule."
        } else {
            "Common practice, no source, with a usual string height; a place to start, not a rule."
        };
        StartingGaps {
            bass: lengths(bass),
            treble: lengths(treble),
            reason: reason.join(" "),
            source: source.to_owned(),
        }
    }

    /// The middle of the starting range: bass, treble.
    #[must_use]
    pub fn middle(&self, strings: Strings) -> [Millimetres; 2] {
        self.range(strings).map(|[low, high]| Millimetres(f64::midpoint(low, high)))
    }

    /// The near end of the starting range: bass, treble.
    #[must_use]
    pub fn nearest(&self, strings: Strings) -> [Millimetres; 2] {
        self.range(strings).map(|[low, _]| Millimetres(low))
    }

    /// How gaps at the bass and at the treble side compare with the starting range.
    #[must_use]
    pub fn compare(&self, gaps: [Millimetres; 2], strings: Strings) -> [GapIs; 2] {
        let range = self.range(strings);
        [0, 1].map(|side| beside(gaps[side], Millimetres(range[side][0]), Millimetres(range[side][1])))
    }

    /// Whether anything can be judged at these gaps, bass and treble side, and whether a string can hit a pole: the worse of
    /// the sides. `between` are gaps of strings between the outer ones, as far as they were measured.
    #[must_use]
    pub fn reach(&self, gaps: [Millimetres; 2], between: &[Option<Millimetres>], strings: Strings) -> Reach {
        if self.hits(gaps, between, strings) {
            return Reach::Hits;
        }
        let pressed = Strings::Pressed { at: self.over.last_fret };
        let near = self.over.turned(gaps, strings, self.over.usual());
        let range = self.installed();
        let far = self.over.facing(Faces::Up).turned(self.over.open(gaps, strings), Strings::Open {}, pressed);
        let any = |test: &dyn Fn(usize) -> bool| [0, 1].into_iter().any(test);
        if any(&|side| near[side].0 < range[side][0] - PULLS_BELOW - 1e-9) {
            Reach::Pulls
        } else if any(&|side| far[side].0 > range[side][1] * NOTHING_BEYOND + 1e-9) {
            Reach::TooFar
        } else {
            Reach::Fine
        }
    }

    /// Whether the hardest stroke brings a string to a pole, or pressing one does.
    fn hits(&self, gaps: [Millimetres; 2], between: &[Option<Millimetres>], strings: Strings) -> bool {
        let open = self.over.open(gaps, strings).map(|gap| gap.0);
        let added = [0, 1].map(|side| open[side] - gaps[side].0);
        let last = self.nearer.len().saturating_sub(1);
        let swung = self.swings().enumerate().any(|(index, swing)| {
            let along = |ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * self.part(index);
            let inner = (1..last).contains(&index).then(|| between.get(index - 1).copied().flatten()).flatten();
            let free = match inner {
                Some(measured) if between.len() + 2 == self.nearer.len() => measured.0 + along(added),
                _ => along(open) - self.nearer[index],
            };
            free <= swing + 1e-9
        });
        let near = self.over.turned(gaps, strings, self.over.usual());
        swung || near.iter().any(|gap| gap.0 <= 0.0)
    }

    /// A warning where the strings can hit a pole at gaps that are only wanted yet.
    #[must_use]
    pub fn warning(&self, gaps: [Millimetres; 2], strings: Strings) -> Option<String> {
        self.hits(gaps, &[], strings).then(|| {
            "At these gaps a hard stroke can bring a string onto a pole. Want more room, or play softly and watch it."
                .to_owned()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::guitar::GuitarString;
    use crate::record::pickup::Construction;
    use solderlast_samples::invented::{guitar, pickup};

    const PRESSED: Strings = Strings::Pressed { at: 22 };
    const OPEN: Strings = Strings::Open {};

    fn flat(poles: Poles) -> Pickup {
        Pickup { poles, stagger: Stagger::Flat, ..pickup(Construction::SingleCoil) }
    }

    fn at(pickup: &Pickup, place: f64, faces: Faces) -> Under {
        let guitar = Guitar {
            last_fret: Some(22),
            height_bass: Some(Millimetres(2.0)),
            height_treble: Some(Millimetres(1.6)),
            ..guitar()
        };
        Under::at(pickup, Some(&guitar), [Millimetres(place); 2], faces)
    }

    fn mm(gaps: [f64; 2]) -> [Millimetres; 2] {
        gaps.map(Millimetres)
    }

    #[test]
    fn below_the_strings_the_pressed_rule_stays() {
        let under = at(&flat(Poles::Rods), 99.0, Faces::Up);
        let start = under.starting(PRESSED);
        assert_eq!(start.bass.map(|gap| gap.value.0), [2.0, 3.2]);
        assert_eq!(start.treble.map(|gap| gap.value.0), [1.6, 2.4]);
        assert_eq!(under.compare(mm([1.9, 2.5]), PRESSED), [GapIs::Near, GapIs::Far]);
        for (bass, treble, reach) in [
            (1.5, 1.1, Reach::Fine),
            (1.4, 2.0, Reach::Pulls),
            (2.4, 1.0, Reach::Pulls),
            (8.0, 6.0, Reach::Fine),
            (8.1, 2.0, Reach::TooFar),
        ] {
            assert_eq!(under.reach(mm([bass, treble]), &[], PRESSED), reach, "{bass} {treble}");
        }
    }

    /// What a starting range of an installed pickup would do over the strings: at a neck place its poles are hit.
    #[test]
    fn above_the_strings_a_range_of_installed_pickups_would_be_hit() {
        let under = at(&flat(Poles::Rods), 162.0, Faces::Down);
        assert_eq!(under.reach(mm([2.3, 1.9]), &[], OPEN), Reach::Hits);
        // Measured pressed, 2.4 mm are 0.6 mm from the open string.
        assert_eq!(under.reach(mm([2.4, 2.0]), &[], PRESSED), Reach::Hits);
        let start = under.starting(OPEN);
        assert!(start.bass[0].value.0 > 3.9 && start.treble[0].value.0 > 3.1, "{start:?}");
        assert!(start.reason.contains("hard stroke") && start.source.contains("no source"), "{start:?}");
        assert_eq!(under.reach(under.nearest(OPEN), &[], OPEN), Reach::Fine);
    }

    #[test]
    fn a_neck_place_starts_farther_away() {
        let middle = |place: f64| at(&flat(Poles::Screws), place, Faces::Up).middle(PRESSED)[0].0;
        assert!((middle(162.0) - middle(41.0) - NECK_FARTHER).abs() < 1e-9);
    }

    #[test]
    fn the_magnets_decide_and_not_the_name() {
        for construction in [Construction::SingleCoil, Construction::SideBySide, Construction::Mini] {
            let with = |magnets, poles| {
                let pickup = Pickup { magnets, poles, ..pickup(construction) };
                (Pull::of(&pickup), at(&pickup, 99.0, Faces::Up).starting(PRESSED).bass[0].value.0)
            };
            assert_eq!(with(Some(Magnets::InPoles), Poles::Rods), (Pull::Strong, 2.0));
            assert_eq!(with(Some(Magnets::Bar), Poles::Rods), (Pull::Mild, 1.6));
            assert_eq!(with(None, Poles::Screws), (Pull::Mild, 1.6));
            assert_eq!(with(None, Poles::Hidden), (Pull::Unknown, 2.0));
        }
    }

    #[test]
    fn a_bass_has_ranges_of_its_own() {
        let strings = ["E1", "A1", "D2", "G2"].map(|note| GuitarString { note: note.to_owned(), gauge: None }).to_vec();
        let bass = Guitar { strings, scale: Millimetres(864.0), ..guitar() };
        let place = [Millimetres(100.0); 2];
        let low = |guitar: &Guitar| {
            let under = Under::at(&flat(Poles::Rods), Some(guitar), place, Faces::Up);
            let start = under.starting(under.over.usual());
            (start.bass[0].value.0, start.reason)
        };
        assert!(low(&bass).0 > low(&guitar()).0 + 0.3 && low(&bass).1.contains("Bass strings"));
        assert!(!low(&guitar()).1.contains("Bass strings"));
    }

    #[test]
    fn the_middle_strings_count_where_they_were_measured() {
        let under = at(&flat(Poles::Rods), 162.0, Faces::Down);
        let gaps = mm([4.4, 3.6]);
        assert_eq!(under.reach(gaps, &[], OPEN), Reach::Fine);
        let between = |d: f64| [Some(Millimetres(3.4)), Some(Millimetres(d)), None, None];
        assert_eq!(under.reach(gaps, &between(1.5), OPEN), Reach::Hits);
        assert_eq!(under.reach(gaps, &between(2.4), OPEN), Reach::Fine);
    }
}
