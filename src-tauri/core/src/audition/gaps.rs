//! The gaps of an audition as a page shows them: where to start, what was measured, what the studs are turned for, and
//! what all of it comes to when the strings sound and when the pickup is installed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Audition;
use crate::audition::kit::{Kit, hung, over, under};
use crate::physics::gaps::{Fairness, GapIs, Hung, LevelsView, Moves, Over, Reach, StartingGaps, StringGap};
use crate::physics::{gaps, strings};
use crate::record::audition::AuditionId;
use crate::record::gaps::{GapsMeasured, LevelReading, Strings};
use crate::record::guitar::Guitar;
use crate::record::quantity::{InInches, Length, LengthUnit, Millimetres};
use crate::record::rig::Faces;
use crate::record::verdict::{Verdict, VerdictKind};

/// The gaps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct GapsView {
    /// Where to start.
    pub start: Option<StartingGaps>,
    /// At the bass side.
    pub bass: Option<Length>,
    /// At the treble side.
    pub treble: Option<Length>,
    /// How the bass side compares with what the studs are turned for.
    pub bass_is: Option<GapIs>,
    /// How the treble side compares with what the studs are turned for.
    pub treble_is: Option<GapIs>,
    /// How they are measured, in a sentence.
    pub how: String,
    /// The fret at which the strings are pressed for it as a rule; nothing when they are left open.
    pub usual_pressed_at: Option<u8>,
    /// How the strings are for all gaps shown here: "open", "pressed at fret 22".
    pub strings: String,
    /// How high the strings stand over the last fret; nothing before something was chosen.
    pub height: Option<HeightView>,
    /// The gaps to the open strings in a sentence, where they were measured pressed.
    pub open: Option<String>,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub open_in_inches: Option<InInches>,
    /// That there are more poles than strings or fewer, in a sentence.
    pub poles: Option<String>,
    /// What they come to where the pickup is installed, in a sentence, under a rig that faces down.
    pub installed: Option<String>,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub installed_in_inches: Option<InInches>,
    /// The fret at which the strings were pressed; nothing when they were open.
    pub pressed_at: Option<u8>,
    /// Whether they stay like this.
    pub kept: bool,
    /// At the strings, or pairs of strings, between the outer ones, as far as they were measured.
    pub between: Vec<StringGap>,
    /// The same as typed text in millimetres, one a string or pair between the outer ones; empty where it was not measured.
    pub between_typed: Vec<String>,
    /// The notes of the strings, or pairs of strings, between the outer ones.
    pub between_notes: Vec<String>,
    /// How far the studs stand out, bass side and treble side.
    pub studs_out: Option<[Length; 2]>,
    /// What the studs are turned for.
    pub aim: Option<AimView>,
    /// Turns of the studs to the aim.
    pub moves: Option<Moves>,
    /// Levels read at known gaps, and what they say.
    pub levels: LevelsView,
}

/// How high the open strings stand over the last fret.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct HeightView {
    /// Whether both sides are in the guitar's record; usual heights stand in otherwise.
    pub known: bool,
    /// The number of the last fret.
    pub last_fret: u8,
    /// Whether the record says it; otherwise it is a usual one.
    pub fret_known: bool,
    /// At the bass side, as the record says.
    pub bass: Option<Length>,
    /// At the treble side, as the record says.
    pub treble: Option<Length>,
    /// What it is asked for, in a sentence.
    pub why: String,
}

/// What the studs are turned for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct AimView {
    /// At the bass side.
    pub bass: Length,
    /// At the treble side.
    pub treble: Length,
    /// The audition it was taken from.
    pub from: Option<AuditionId>,
    /// Whether somebody chose it; otherwise it is the middle of the starting range.
    pub chosen: bool,
    /// Smallest and largest gap to be content with at the bass side: the fair limit round a chosen aim, else the
    /// starting range.
    pub bass_band: [Length; 2],
    /// The same at the treble side.
    pub treble_band: [Length; 2],
    /// "To the gaps of an earlier audition".
    pub words: String,
    /// That a string can hit a pole there, or that the gaps were counted over from other strings; in a sentence.
    pub warning: Option<String>,
    /// Whether the present gaps make a fair comparison with it; only for a chosen aim.
    pub fairness: Option<Fairness>,
}

/// The gaps to draw a pickup with: as measured, or the middle of the starting range.
pub(crate) fn drawn_gaps(audition: &Audition, kit: &Kit) -> [Millimetres; 2] {
    let measured = audition.gaps.as_ref().map(|gaps| [gaps.said.bass, gaps.said.treble]);
    let start = || under(audition, kit).map(|under| under.middle(under.over.usual()));
    measured.or_else(start).unwrap_or([Millimetres(2.4), Millimetres(2.0)])
}

pub(super) fn gaps_view(audition: &Audition, kit: &Kit) -> GapsView {
    let under = under(audition, kit);
    let present = audition.gaps.as_ref().map(|saved| &saved.said);
    let over = over(audition.choice.as_ref().map(|choice| &choice.said), kit);
    // All numbers beside each other are for strings that are as they were when the gaps were measured.
    let strings = present.map(GapsMeasured::strings).or(over.map(|over| over.usual())).unwrap_or(Strings::Open {});
    let aim = aim(audition, kit, over, strings);
    let moves = match (present, &aim, &kit.rig) {
        (Some(present), Some(aim), Some(rig)) => {
            let place = audition.choice.as_ref().map(|choice| choice.said.from_saddle);
            let spread = kit.guitar.as_ref().zip(place).map(|(guitar, place)| strings::spread_at(guitar, place));
            let wanted = [aim.bass.value, aim.treble.value];
            gaps::moves([present.bass, present.treble], wanted, rig, spread, present.studs_out)
        }
        _ => None,
    };
    let is = |band: fn(&AimView) -> &[Length; 2], gap: Option<Millimetres>| {
        let aim = aim.as_ref()?;
        let [low, high] = band(aim).clone().map(|length| length.value.0);
        // A starting range is loose; the fair limit is not.
        let strict = if aim.chosen { 0.05 - 1e-9 } else { 0.0 };
        Some(gaps::beside(gap?, Millimetres(low + strict), Millimetres(high - strict)))
    };
    let notes = kit.guitar.as_ref().map(Guitar::inner_courses).unwrap_or_default();
    let steps = notes.len() as f64 + 1.0;
    let inner: Vec<(String, f64)> =
        notes.iter().zip(1_u8..).map(|(note, index)| (note.clone(), f64::from(index) / steps)).collect();
    let mean = |bass: Millimetres, treble: Millimetres| Millimetres(f64::midpoint(bass.0, treble.0));
    let open = |gaps: [Millimetres; 2]| over.map_or(gaps, |over| over.open(gaps, strings));
    let mean = |gaps: [Millimetres; 2]| {
        let [bass, treble] = open(gaps);
        mean(bass, treble)
    };
    let readings: Vec<_> = sounding_levels(audition, over, strings);
    let mut levels = gaps::levels_view(
        &readings,
        present.map(|present| mean(present.pair())),
        aim.as_ref().map(|aim| mean([aim.bass.value, aim.treble.value])),
    );
    // As they were read, whatever they were counted over to.
    (levels.readings, levels.readings_in_inches) =
        InInches::told_each(|unit| audition.levels.iter().map(|level| level.said.in_words(unit)).collect());
    let measured = over.zip(present);
    let (open, open_in_inches) =
        InInches::told_if(|unit| measured.and_then(|(over, present)| open_in_words(&over, present, unit)));
    let (installed, installed_in_inches) =
        InInches::told_if(|unit| measured.and_then(|(over, present)| installed_in_words(&over, present, unit)));
    GapsView {
        start: under.as_ref().map(|under| under.starting(strings)),
        how: over.map(|over| how(&over)).unwrap_or_default(),
        usual_pressed_at: over.and_then(|over| over.usual().pressed_at()),
        strings: strings.in_words(),
        height: over.map(|over| height(kit.guitar.as_ref(), &over)),
        poles: audition.choice.as_ref().zip(kit.guitar.as_ref()).zip(kit.pickup.as_ref()).and_then(
            |((choice, guitar), pickup)| {
                let still = Millimetres(0.0);
                strings::strings_over_poles(guitar, pickup, choice.said.sides(), still, strings::OUTER_LIMIT).mismatch
            },
        ),
        open,
        open_in_inches,
        installed,
        installed_in_inches,
        bass: present.map(|present| present.bass.into()),
        treble: present.map(|present| present.treble.into()),
        bass_is: is(|aim| &aim.bass_band, present.map(|present| present.bass)),
        treble_is: is(|aim| &aim.treble_band, present.map(|present| present.treble)),
        pressed_at: present.and_then(|present| present.pressed_at),
        kept: present.is_some_and(|present| present.kept),
        between: present
            .map(|present| gaps::between(&inner, present.bass, present.treble, &present.between))
            .unwrap_or_default(),
        between_typed: present.map(between_typed).unwrap_or_default(),
        between_notes: notes,
        studs_out: present.and_then(|present| present.studs_out).map(|out| out.map(Length::from)),
        levels,
        aim,
        moves,
    }
}

/// The gaps of single strings as they are typed; empty where none was measured.
fn between_typed(present: &GapsMeasured) -> Vec<String> {
    let typed = |gap: &Option<Millimetres>| gap.map(|gap| gap.shown(LengthUnit::Millimetre)).unwrap_or_default();
    present.between.iter().map(typed).collect()
}

/// The levels at the distances that the open strings had; readings of older versions were taken as the gaps were measured.
pub(crate) fn sounding_levels(audition: &Audition, over: Option<Over>, strings: Strings) -> Vec<LevelReading> {
    let readings = audition.levels.iter().map(|level| level.said);
    readings.map(|one| over.map_or(one, |over| gaps::over_open_strings(one, &over, strings))).collect()
}

/// How the gaps are measured, in a sentence.
fn how(over: &Over) -> String {
    match over.faces {
        Faces::Down => {
            "Leave the strings open: the pickup hangs above them, so pressing one takes it away from the poles. \
                        Measure from the pole top, or the cover, to the top of the string."
                .to_owned()
        }
        Faces::Up => format!(
            "Press the string at the last fret, {} here, best with a capo: that brings it nearest to the pickup. Measure from the pole top, or \
             the cover, to the underside of the string.",
            over.last_fret
        ),
    }
}

fn height(guitar: Option<&Guitar>, over: &Over) -> HeightView {
    let told = |height: Option<Millimetres>| height.map(Length::from);
    HeightView {
        known: over.measured,
        last_fret: over.last_fret,
        fret_known: guitar.is_some_and(|guitar| guitar.last_fret.is_some()),
        bass: told(guitar.and_then(|guitar| guitar.height_bass)),
        treble: told(guitar.and_then(|guitar| guitar.height_treble)),
        why: "It turns gaps under open strings into gaps under pressed ones, for the install and for fair comparisons. It \
              is asked once for each guitar."
            .to_owned(),
    }
}

/// The gaps to the open strings, where they were measured pressed.
fn open_in_words(over: &Over, gaps: &GapsMeasured, unit: LengthUnit) -> Option<String> {
    gaps.pressed_at?;
    let [bass, treble] = over.open(gaps.pair(), gaps.strings());
    let shown = |gap: Millimetres| if gap.0 > 0.0 { gap.shown(unit) } else { "nothing left".to_owned() };
    let about = if over.measured { "" } else { ", by a usual string height" };
    Some(format!("Open, the strings are {} and {} from the poles{about}.", shown(bass), shown(treble)))
}

/// What the gaps of a rig above the strings come to where the pickup is installed.
fn installed_in_words(over: &Over, gaps: &GapsMeasured, unit: LengthUnit) -> Option<String> {
    if over.faces != Faces::Down {
        return None;
    }
    let pressed = Strings::Pressed { at: over.last_fret };
    let open = over.open(gaps.pair(), gaps.strings());
    let [bass, treble] = over.facing(Faces::Up).turned(open, Strings::Open {}, pressed);
    let fret = over.last_fret;
    if bass.0 <= 0.0 || treble.0 <= 0.0 {
        return Some(format!(
            "An installed pickup can't come so near: pressed at fret {fret}, the strings would lie on its poles."
        ));
    }
    let about = if over.measured { "" } else { " (by a usual string height)" };
    Some(format!(
        "Installed as far from the open strings, that is {} and {} pressed at fret {fret}{about}.",
        bass.shown(unit),
        treble.shown(unit)
    ))
}

fn aim(audition: &Audition, kit: &Kit, over: Option<Over>, strings: Strings) -> Option<AimView> {
    let under = under(audition, kit);
    if let Some(aim) = audition.aim.as_ref().map(|saved| saved.said) {
        let said = Strings::at(aim.pressed_at);
        let [bass, treble] = over.map_or([aim.bass, aim.treble], |over| {
            // Nothing can be nearer than the string itself.
            over.turned([aim.bass, aim.treble], said, strings).map(|gap| Millimetres(gap.0.max(0.0)))
        });
        let counted = (said != strings).then(|| {
            format!(
                " They were told for strings {}; here they are counted over to {}.",
                said.in_words(),
                strings.in_words()
            )
        });
        let present = hung(
            audition.choice.as_ref().map(|choice| &choice.said),
            audition.gaps.as_ref().map(|gaps| &gaps.said),
            kit,
        );
        let wanted = over.map(|over| Hung { gaps: [aim.bass, aim.treble], strings: said, over });
        let words = if aim.from.is_some() { "To the gaps of the earlier audition" } else { "To the gaps you want" };
        let band = |gap: Millimetres| {
            [(gap.0 - gaps::FAIR.0).max(0.0), gap.0 + gaps::FAIR.0].map(|gap| Length::from(Millimetres(gap)))
        };
        return Some(AimView {
            bass_band: band(bass),
            treble_band: band(treble),
            bass: bass.into(),
            treble: treble.into(),
            from: aim.from,
            chosen: true,
            words: words.to_owned(),
            warning: under
                .and_then(|under| under.warning([bass, treble], strings))
                .into_iter()
                .chain(counted.map(|counted| counted.trim_start().to_owned()))
                .reduce(|one, other| format!("{one} {other}")),
            fairness: present.zip(wanted).map(|(present, wanted)| gaps::fairness(&present, &wanted)),
        });
    }
    let under = under?;
    let [bass, treble] = under.middle(strings);
    let start = under.starting(strings);
    Some(AimView {
        bass_band: start.bass,
        treble_band: start.treble,
        bass: bass.into(),
        treble: treble.into(),
        from: None,
        chosen: false,
        words: "To the middle of the starting range".to_owned(),
        warning: None,
        fairness: None,
    })
}

pub(super) fn gaps_verdict(audition: &Audition, kit: &Kit) -> Option<Verdict> {
    let present = &audition.gaps.as_ref()?.said;
    let under = under(audition, kit)?;
    let [bass, treble] = under.compare(present.pair(), present.strings());
    let away = match under.over.faces {
        Faces::Down => "Lift the rig",
        Faces::Up => "Lower the rig",
    };
    Some(match (under.reach(present.pair(), &present.between, present.strings()), bass, treble) {
        (Reach::Hits, ..) => Verdict::new(
            VerdictKind::Bad,
            "A pole can be hit",
            format!(
                "A hard stroke can bring a string onto a pole: that marks both and bangs. {away} before the sound comes up."
            ),
        ),
        (Reach::Pulls, ..) => Verdict::new(
            VerdictKind::Unsure,
            "Too near",
            format!("So near that the magnets are likely to pull the strings. {away} before you judge anything."),
        ),
        (Reach::TooFar, ..) => Verdict::new(
            VerdictKind::Unsure,
            "Too far",
            "So far away that nothing can be judged. Check the unit, or come nearer.",
        ),
        (Reach::Fine, GapIs::Within, GapIs::Within) => {
            Verdict::new(VerdictKind::Good, "In range", "Both sides lie within the usual starting range.")
        }
        (Reach::Fine, GapIs::Near, _) | (Reach::Fine, _, GapIs::Near) => Verdict::new(
            VerdictKind::Unsure,
            "Near",
            "Nearer than the usual range. If notes warble or die early, the magnets pull the strings: go away from them.",
        ),
        (Reach::Fine, GapIs::Far, _) | (Reach::Fine, _, GapIs::Far) => Verdict::new(
            VerdictKind::Unsure,
            "Far",
            "Farther than the usual range. It will sound weaker and thinner than it is.",
        ),
    })
}
