//! How far a string is from a pole when it sounds, from what was measured with the string open or pressed.
//!
//! A string runs straight from the saddle to the nut, or to the fret at which it is pressed. Pressed at a fret that stands
//! a distance `f` from the saddle, it comes down there by its height `h` over that fret, and at a place `d` from the saddle
//! by `h·d/f`: similar triangles. Under an installed pickup that makes the gap smaller, over a rig that hangs face down it
//! makes it larger.

use crate::record::gaps::Strings;
use crate::record::guitar::Guitar;
use crate::record::quantity::Millimetres;
use crate::record::rig::Faces;
use crate::strings;

/// The last fret where a record does not say (common practice).
pub const USUAL_LAST_FRET: u8 = 22;
/// Height of the open strings over the last fret, bass and treble side, where a record does not say (common practice).
const USUAL_HEIGHT: [f64; 2] = [2.2, 1.8];
/// The same on a bass.
const USUAL_HEIGHT_BASS: [f64; 2] = [2.8, 2.3];
/// How far a hard stroke swings a string to each side, bass and treble side, in millimetres (common practice, no source).
const SWING: [f64; 2] = [2.0, 1.5];
/// The same on a bass.
const SWING_BASS: [f64; 2] = [3.0, 2.2];
/// Up to this part of the scale from the saddle the swing grows; from there on it is at its widest.
const SWING_GROWS_TO: f64 = 0.2;
/// How much higher than a straight line between the outer strings the middle ones stand over a curved fingerboard, in
/// millimetres (common practice: a radius of about 300 mm).
const CROWN: f64 = 1.0;

/// The strings over, or under, a pickup at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Over {
    /// Whether the pickup is above the strings or below them.
    pub faces: Faces,
    /// From the saddle to the pole line, bass and treble side, in millimetres.
    pub place: [f64; 2],
    /// Scale length, bass and treble side, in millimetres.
    pub scale: [f64; 2],
    /// The number of the last fret.
    pub last_fret: u8,
    /// From the last fret to the underside of the open string, bass and treble side, in millimetres.
    pub height: [f64; 2],
    /// Whether these heights were measured on this guitar; otherwise usual ones stand in.
    pub measured: bool,
    /// Whether it is a bass.
    pub bass: bool,
}

impl Over {
    /// At `place` of a guitar, bass and treble side, with the pickup held as a rig that faces like this holds it; an
    /// installed pickup is held like one that faces up.
    #[must_use]
    pub fn of(guitar: Option<&Guitar>, place: [Millimetres; 2], faces: Faces) -> Self {
        let bass = guitar.is_some_and(strings::is_bass);
        let usual = if bass { USUAL_HEIGHT_BASS } else { USUAL_HEIGHT };
        let told = guitar.map_or([None; 2], |guitar| [guitar.height_bass, guitar.height_treble]);
        let scales = guitar.map_or([Millimetres(648.0); 2], Guitar::scales);
        // One side alone still tells more than a usual height does: the other is told by the usual difference.
        let height = match told.map(|height| height.map(|height| height.0)) {
            [Some(bass), Some(treble)] => [bass, treble],
            [Some(bass), None] => [bass, bass * usual[1] / usual[0]],
            [None, Some(treble)] => [treble * usual[0] / usual[1], treble],
            [None, None] => usual,
        };
        Self {
            faces,
            place: place.map(|place| place.0),
            scale: scales.map(|scale| scale.0),
            last_fret: guitar.and_then(|guitar| guitar.last_fret).unwrap_or(USUAL_LAST_FRET),
            height,
            measured: told.iter().all(Option::is_some),
            bass,
        }
    }

    /// The same strings and place under an installed pickup, or over another rig.
    #[must_use]
    pub fn facing(self, faces: Faces) -> Self {
        Self { faces, ..self }
    }

    /// How far a fret is from the saddle at one side, in equal temperament, in millimetres.
    fn fret(&self, side: usize, fret: u8) -> f64 {
        self.scale[side] * 2f64.powf(-f64::from(fret) / 12.0)
    }

    /// How far the string comes down at the place, at the bass (0) or treble (1) side, when it is pressed at a fret; in
    /// millimetres. Its height over the other frets follows from that over the last one on a straight line to the nut,
    /// whose slots are taken to be as deep as the frets are high.
    #[must_use]
    pub fn comes_down(&self, side: usize, fret: u8) -> f64 {
        let (scale, last, here) = (self.scale[side], self.fret(side, self.last_fret), self.fret(side, fret));
        if scale <= 0.0 || scale - last <= 0.0 {
            return 0.0;
        }
        let height = self.height[side] * (scale - here) / (scale - last);
        height * (self.place[side] / here).clamp(0.0, 1.0)
    }

    /// What pressing at a fret adds to the gaps, bass and treble side; below zero it takes away.
    fn adds(&self, strings: Strings) -> [f64; 2] {
        let sign = match self.faces {
            Faces::Down => 1.0,
            Faces::Up => -1.0,
        };
        match strings {
            Strings::Open {} => [0.0; 2],
            Strings::Pressed { at } => [0, 1].map(|side| sign * self.comes_down(side, at)),
        }
    }

    /// The gaps to the open strings, bass and treble side, of gaps that were measured like this.
    #[must_use]
    pub fn open(&self, gaps: [Millimetres; 2], were: Strings) -> [Millimetres; 2] {
        self.turned(gaps, were, Strings::Open {})
    }

    /// Gaps that were measured one way, as they are when the strings are another way.
    #[must_use]
    pub fn turned(&self, gaps: [Millimetres; 2], from: Strings, to: Strings) -> [Millimetres; 2] {
        if from == to {
            return gaps;
        }
        let (from, to) = (self.adds(from), self.adds(to));
        [0, 1].map(|side| Millimetres(gaps[side].0 - from[side] + to[side]))
    }

    /// A mean gap, measured one way, as it is when the strings are another way.
    #[must_use]
    pub fn mean_turned(&self, gap: Millimetres, from: Strings, to: Strings) -> Millimetres {
        let [bass, treble] = self.turned([gap; 2], from, to);
        Millimetres(f64::midpoint(bass.0, treble.0))
    }

    /// How the strings are to be while the gaps are measured: as they come nearest to the pickup.
    #[must_use]
    pub fn usual(&self) -> Strings {
        match self.faces {
            Faces::Down => Strings::Open {},
            Faces::Up => Strings::Pressed { at: self.last_fret },
        }
    }

    /// How far a hard stroke swings the open string at the bass and at the treble side, in millimetres (common practice).
    #[must_use]
    pub fn swing(&self) -> [f64; 2] {
        let widest = if self.bass { SWING_BASS } else { SWING };
        [0, 1].map(|side| {
            let part = if self.scale[side] > 0.0 { self.place[side] / self.scale[side] } else { 1.0 };
            widest[side] * (part / SWING_GROWS_TO).clamp(0.0, 1.0)
        })
    }

    /// How much nearer the pickup each string comes than a straight line from the outer bass gap to the outer treble gap
    /// says, in millimetres: what its pole stands out, and the curve of the fingerboard, which lifts the middle strings
    /// towards a pickup above them. `poles` are the heights of as many poles as there are strings; none where all are
    /// alike or nobody knows.
    #[must_use]
    pub fn nearer_between(&self, count: usize, poles: &[f64]) -> Vec<f64> {
        let last = count.saturating_sub(1).max(1) as f64;
        let line = |index: usize, ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * index as f64 / last;
        let outer = [poles.first().copied().unwrap_or(0.0), poles.last().copied().unwrap_or(0.0)];
        let crown = match self.faces {
            Faces::Down => CROWN,
            Faces::Up => -CROWN,
        };
        (0..count)
            .map(|index| {
                let pole = if poles.len() == count { poles[index] - line(index, outer) } else { 0.0 };
                let across = 2.0 * index as f64 / last - 1.0;
                pole + crown * (1.0 - across * across)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn over(faces: Faces) -> Over {
        Over {
            faces,
            place: [162.0; 2],
            scale: [648.0; 2],
            last_fret: 24,
            height: [2.0, 1.6],
            measured: true,
            bass: false,
        }
    }

    /// The 24th fret stands a quarter of the scale from the saddle, which is where this place is: there the string comes
    /// down by its whole height.
    #[test]
    fn pressed_over_the_place_itself_it_comes_down_by_its_height() {
        let pressed = Strings::Pressed { at: 24 };
        let mm = |gaps: [f64; 2]| gaps.map(Millimetres);
        let near = |one: [Millimetres; 2], other: [f64; 2]| {
            assert!((one[0].0 - other[0]).abs() < 1e-9 && (one[1].0 - other[1]).abs() < 1e-9, "{one:?} {other:?}");
        };
        near(over(Faces::Up).open(mm([2.4, 2.0]), pressed), [4.4, 3.6]);
        near(over(Faces::Down).open(mm([4.4, 3.6]), pressed), [2.4, 2.0]);
        near(over(Faces::Down).turned(mm([2.4, 2.0]), Strings::Open {}, pressed), [4.4, 3.6]);
        // At the 12th fret the string stands two thirds as high (1/2 of the scale from the nut instead of 3/4), and the place
        // is half way to it.
        near(over(Faces::Up).open(mm([2.0, 2.0]), Strings::Pressed { at: 12 }), [2.0 + 2.0 / 3.0, 2.0 + 1.6 / 3.0]);
    }

    #[test]
    fn each_way_of_holding_is_measured_where_the_string_is_nearest() {
        assert_eq!(over(Faces::Down).usual(), Strings::Open {});
        assert_eq!(over(Faces::Up).usual(), Strings::Pressed { at: 24 });
    }

    #[test]
    fn the_middle_strings_come_nearest_to_a_pickup_above_them() {
        let flat = over(Faces::Down).nearer_between(6, &[]);
        assert!(flat[0].abs() < 1e-9 && flat[5].abs() < 1e-9 && flat[2] > 0.9, "{flat:?}");
        let staggered = over(Faces::Down).nearer_between(6, &[0.0, 0.5, 1.0, 1.0, 0.5, 0.0]);
        assert!((staggered[2] - flat[2] - 1.0).abs() < 1e-9);
        assert!(over(Faces::Up).nearer_between(6, &[])[2] < -0.9);
    }
}
