//! How the pickup lay, in which rig, over what, through which cable, in which room, and who listened.

use super::{HEARD_RESONANCE, Heard, NotTold, Pair, SAME_ROOM, Subject, Toward, WHAT_LOUDER_WINS, Weight};
use crate::audition::ends_in_terminals;
use crate::comparison::effect::damped;
use crate::comparison::effect::{USUAL_CABLE, resonance_moves, warmer_is_quieter};
use crate::physics::facing::{EdgeIs, EndsAre, Facing, Signal, StaggerIs};
use crate::physics::{facing, meter};
use crate::record::facts::{InputLoad, LoadResistor};
use crate::record::listening::Quality;
use crate::record::rig::{Mode, Rig};

impl<'a> Pair<'a> {
    pub(super) fn facing(heard: &Heard<'_>) -> Option<Facing> {
        let mounting = heard.conditions.mounting?;
        let leads = ends_in_terminals(&heard.of.audition, &heard.of.kit);
        let (pickup, rig) = (heard.of.kit.pickup.as_ref(), heard.of.kit.rig.as_ref());
        Some(facing::facing(mounting.lies(), mounting.is_marked(), pickup, heard.of.kit.guitar.as_ref(), rig, &leads))
    }

    pub(super) fn lie(&mut self) {
        let Some([one, other]) = self.both(Subject::Lie, Self::facing) else { return };
        if one.lie == other.lie {
            return;
        }
        let [first, second] = self.names();
        let mut sentences = vec![format!("{first} and {second} did not lie the same way round.")];
        let mut explains = Vec::new();
        let mut weight = Weight::Doubt;
        if one.poles != other.poles {
            sentences.push("With its back to the strings a pickup is weaker and thinner.".to_owned());
            explains.extend(WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either)));
            weight = Weight::Unfair;
        }
        let reversed =
            [(&one, first), (&other, second)].into_iter().find(|(facing, _)| facing.ends == EndsAre::Reversed);
        if let Some((facing, name)) = reversed.filter(|_| one.ends != other.ends) {
            let over = format!("{name} had its bass end over the treble strings");
            match facing.stagger {
                StaggerIs::Reversed => {
                    sentences.push(format!(
                        "{over}, so poles of other heights meet other strings: the strings balance differently."
                    ));
                    explains.push((Quality::Balance, Toward::Either));
                    weight = Weight::Unfair;
                }
                StaggerIs::NotKnown => {
                    sentences.push(format!(
                        "{over}. Not recorded yet: whether its poles stand at different heights. If they do, the strings balance \
                         differently."
                    ));
                    explains.push((Quality::Balance, Toward::Either));
                }
                StaggerIs::NoMatter => {
                    sentences.push(format!("{over}, but its two ends are alike for the strings."));
                }
                StaggerIs::Right | StaggerIs::OtherCount | StaggerIs::Astray => {}
            }
        }
        if one.edge != other.edge && (one.edge == EdgeIs::Swapped || other.edge == EdgeIs::Swapped) {
            let alone = |facing: &Facing, mode: &Mode| facing.alone.iter().find(|alone| alone.mode == *mode).cloned();
            let swapped = if one.edge == EdgeIs::Swapped { (&one, self.one) } else { (&other, self.other) };
            match alone(swapped.0, swapped.1.mode) {
                Some(alone) => {
                    sentences.push(format!(
                        "Their edges have changed places, and {} is one coil alone: it was heard {} from where the other would be, \
                         one coil spacing along the strings.",
                        alone.mode.0,
                        alone.apart.value.shown(self.unit)
                    ));
                    explains.extend(
                        [Quality::Treble, Quality::Bass, Quality::Attack].map(|quality| (quality, Toward::Either)),
                    );
                    weight = Weight::Unfair;
                }
                None => {
                    sentences.push("Their edges have changed places, which all coils together hardly show.".to_owned())
                }
            }
        }
        if one.signal != other.signal && one.signal != Signal::CantSay && other.signal != Signal::CantSay {
            sentences.push(
                "The sign of the signal is the opposite: alone that can't be heard, beside another pickup it can."
                    .to_owned(),
            );
        }
        self.find(Subject::Lie, weight, sentences.join(" "), &explains);
    }

    pub(super) fn rig(&mut self) {
        let (Some(one), Some(other)) = (self.one.of.kit.rig.as_ref(), self.other.of.kit.rig.as_ref()) else { return };
        let same = self.one.conditions.choice.as_ref().map(|choice| choice.rig)
            == self.other.conditions.choice.as_ref().map(|choice| choice.rig);
        let stray = |rig: &Rig| rig.stray.map_or(0.0, |stray| stray.0 * 1e12);
        let cable =
            self.one.conditions.cable.or(self.other.conditions.cable).map_or(USUAL_CABLE, |cable| cable.picofarads());
        let moves = resonance_moves(cable + stray(one), cable + stray(other));
        let heard = (moves - 1.0).abs() >= HEARD_RESONANCE;
        if same && !heard {
            return;
        }
        let more_stray = if stray(one) > stray(other) { self.one.name } else { self.other.name };
        let mut sentence = if same {
            "The record of the rig was changed between the two.".to_owned()
        } else {
            format!("{} hung in {}, {} in {}.", self.one.name, one.label, self.other.name, other.label)
        };
        let mut explains = Vec::new();
        if one.faces != other.faces {
            sentence.push_str(
                " One holds the pickup above the strings, the other below: the sign of the signal is the opposite, which can't be \
                 heard alone.",
            );
        }
        if heard {
            let lower = (1.0 - moves.min(1.0 / moves)) * 100.0;
            sentence.push_str(&format!(
                " The capacitance of the rig pulls the resonance of {more_stray} down by {lower:.0} %: a little duller."
            ));
            explains.push((Quality::Treble, Toward::one_if(stray(one) < stray(other))));
        } else if one.faces == other.faces {
            sentence.push_str(" Both face the same way, and their capacitance makes nothing that can be heard.");
        }
        let weight = if heard { Weight::Doubt } else { Weight::Harmless };
        self.find(Subject::Rig, weight, sentence, &explains);
    }

    pub(super) fn fitted(&mut self) {
        let told = (self.one.conditions.installed, self.other.conditions.installed);
        match told {
            (Some(one), Some(other)) if one != other => {
                let sentence = format!(
                    "The fitted pickup: {} under {}, {} under {}. Its magnets pull the strings, and its field adds to that of the \
                     one on the rig or opposes it.",
                    one.in_words(),
                    self.one.name,
                    other.in_words(),
                    self.other.name
                );
                let explains = [Quality::Output, Quality::Sustain, Quality::Bass, Quality::Treble]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::Fitted, Weight::Unfair, sentence, &explains);
            }
            (Some(_), Some(_)) => {}
            (one, other) => {
                self.unknown.push(NotTold { subject: Subject::Fitted, of_one: one.is_some() || other.is_some() });
            }
        }
    }

    pub(super) fn cable(&mut self) {
        let told = |heard: &Heard<'_>| heard.conditions.cable_picofarads();
        let Some([one, other]) = self.both(Subject::Cable, told) else { return };
        if (one - other).abs() < 0.5 {
            return;
        }
        let stray = |heard: &Heard<'_>| heard.of.kit.rig.as_ref().and_then(|rig| rig.stray).map_or(0.0, |s| s.0 * 1e12);
        let (a, b) = (one + stray(&self.one), other + stray(&self.other));
        let first_long = a > b;
        let long = if first_long { self.one.name } else { self.other.name };
        let lower = (1.0 - resonance_moves(a.min(b), a.max(b))) * 100.0;
        let known = [&self.one, &self.other].iter().all(|heard| heard.conditions.picofarads.is_some());
        let by = if known { "By its capacitance" } else { "By a usual 100 pF a metre, from memory," };
        let what = if known { "cable of more capacitance" } else { "longer cable" };
        let sentence = format!(
            "{long} was heard through the {what}. {by} that pulls its resonance down by about {lower:.0} %: duller by itself."
        );
        let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::one_if(!first_long)));
        self.find(Subject::Cable, Weight::Unfair, sentence, &explains);
    }

    /// Most rigs have none, so where neither was told nothing is missing.
    pub(super) fn load(&mut self) {
        let told = |heard: &Heard<'_>| heard.conditions.load;
        let (one, other) = (told(&self.one), told(&self.other));
        let has = |load: Option<LoadResistor>| load.and_then(LoadResistor::ohms);
        if has(one) == has(other) {
            return;
        }
        let (Some(one), Some(other)) = (one, other) else {
            let (name, load) = if one.is_some() { (self.one.name, one) } else { (self.other.name, other) };
            let load = load.map_or("", LoadResistor::in_words);
            let sentence = format!(
                "Across the output under {name} lay {load}; what lay there under the other is not recorded. Without one a \
                 pickup is brighter by itself."
            );
            let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::Either));
            self.find_a_gap(Subject::Load, [one.is_none(), other.is_none()], sentence, &explains);
            return;
        };
        let cable = self.picofarads();
        let Some([least, most]) = damped(one.ohms(), other.ohms(), cable) else { return };
        let ohms = |load: LoadResistor| load.ohms().map_or(f64::INFINITY, |ohms| ohms.0);
        let first_duller = ohms(one) < ohms(other);
        let (duller, load, brighter) =
            if first_duller { (self.one.name, one, other) } else { (self.other.name, other, one) };
        let sentence = format!(
            "Across the output under {duller} lay {}, under the other {}. That takes {least:.0} to {most:.0} dB off a resonance, for \
             usual coils (not measured): duller by itself.",
            load.in_words(),
            brighter.in_words(),
        );
        let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::one_if(!first_duller)));
        self.find(Subject::Load, Weight::Unfair, sentence, &explains);
    }

    /// The capacitance of the cable of either, in picofarads.
    fn picofarads(&self) -> f64 {
        let told = |heard: &Heard<'_>| heard.conditions.cable_picofarads();
        told(&self.one).or(told(&self.other)).unwrap_or(USUAL_CABLE)
    }

    /// Most inputs come to 1 MΩ, so where neither was told nothing is missing.
    pub(super) fn input(&mut self) {
        let told = |heard: &Heard<'_>| heard.conditions.input;
        let (one, other) = (told(&self.one), told(&self.other));
        if one == other {
            return;
        }
        let (Some(one), Some(other)) = (one, other) else {
            let known = one.or(other).filter(|known| *known != InputLoad::Ohms1M);
            let Some(known) = known else { return };
            let name = if one.is_some() { self.one.name } else { self.other.name };
            let sentence = format!(
                "{name} was heard through {}; what the other went into is not recorded. A smaller input makes a pickup duller by \
                 itself.",
                known.in_words()
            );
            let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::Either));
            self.find_a_gap(Subject::Input, [one.is_none(), other.is_none()], sentence, &explains);
            return;
        };
        let Some([least, most]) = damped(Some(one.ohms()), Some(other.ohms()), self.picofarads()) else { return };
        let first_duller = one.ohms().0 < other.ohms().0;
        let (duller, here, there) =
            if first_duller { (self.one.name, one, other) } else { (self.other.name, other, one) };
        let sentence = format!(
            "{duller} was heard through {}, the other through {}. That takes {least:.0} to {most:.0} dB off a resonance, for usual \
             coils (not measured): duller by itself.",
            here.in_words(),
            there.in_words(),
        );
        let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::one_if(!first_duller)));
        self.find(Subject::Input, Weight::Unfair, sentence, &explains);
    }

    /// Only hum hangs on it, so nothing is missing where no hum was rated.
    pub(super) fn string_ground(&mut self) {
        let rated = |heard: &Heard<'_>| heard.of.audition.rated.contains_key(&(heard.mode.clone(), Quality::Hum));
        if !rated(&self.one) || !rated(&self.other) {
            return;
        }
        let Some([one, other]) = self.both(Subject::StringGround, |heard| heard.conditions.string_ground) else {
            return;
        };
        if one == other {
            return;
        }
        let [with, without] = if one { [self.one.name, self.other.name] } else { [self.other.name, self.one.name] };
        let sentence = format!(
            "Under {with} the strings were grounded by a clip, under {without} they were not. Without it a pickup hums more by \
             itself."
        );
        self.find(Subject::StringGround, Weight::Unfair, sentence, &[(Quality::Hum, Toward::one_if(!one))]);
    }

    pub(super) fn by(&mut self) {
        if self.one.conditions.by == self.other.conditions.by {
            return;
        }
        let sentence = format!(
            "{} and {} were written down on two devices, perhaps by two people. Ears and words differ.",
            self.one.name, self.other.name
        );
        self.find(Subject::By, Weight::Doubt, sentence, &Self::any_quality(Toward::Either));
    }

    pub(super) fn room(&mut self) {
        let Some([one, other]) = self.both(Subject::Room, |heard| heard.conditions.room) else { return };
        let apart = one.0 - other.0;
        if apart.abs() < SAME_ROOM {
            return;
        }
        let warm = if apart > 0.0 { self.one.name } else { self.other.name };
        let cold = 8000.0 * meter::copper(if apart > 0.0 { other } else { one });
        let hot = 8000.0 * meter::copper(if apart > 0.0 { one } else { other });
        let quieter = warmer_is_quieter(cold, hot).0;
        let sentence = format!(
            "It was {:.0} °C warmer when {warm} was heard. Its coils read {:.1} % higher for that; of a coil of 8 kΩ it takes {quieter:.3} \
             dB, which nobody hears.",
            apart.abs(),
            (hot / cold - 1.0) * 100.0
        );
        self.find(Subject::Room, Weight::Harmless, sentence, &[]);
    }
}
