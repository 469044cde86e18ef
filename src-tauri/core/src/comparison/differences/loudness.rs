//! What makes one louder than the other: gaps, the level at the ear, the amplifier.

use super::{Heard, LOUDER_WINS, NotTold, Pair, Subject, Toward, WHAT_LOUDER_WINS, Weight};
use crate::audition::{hung, over, sounding_levels};
use crate::comparison::effect::{LOUDER, louder};
use crate::physics::gaps;
use crate::physics::gaps::LevelLaw;
use crate::record::gaps::{GapsMeasured, Strings};
use crate::record::listening::Quality;
use crate::record::quantity::{Decibels, Millimetres};
use crate::record::sound::LevelTold;

/// This much nearer, magnets pull the strings noticeably more, in millimetres (common practice).
const PULLS_MORE: f64 = 0.5;

impl<'a> Pair<'a> {
    pub(super) fn gaps(&mut self) {
        let Some([one, other]) = self.both(Subject::Gaps, |heard| heard.conditions.gaps.clone()) else {
            let not = [self.one, self.other].map(|heard| heard.conditions.gaps.is_none());
            let sentence = format!("Nobody measured the gaps of {}. Nearer is louder.{LOUDER_WINS}", self.whose(not));
            self.unknown.retain(|not_told| not_told.subject != Subject::Gaps);
            let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either));
            self.find_a_gap(Subject::Gaps, not, sentence, &explains);
            return;
        };
        let hung = |heard: &Heard<'_>, gaps| hung(heard.conditions.choice.as_ref(), Some(gaps), &heard.of.kit);
        let (one, other) = match (hung(&self.one, &one), hung(&self.other, &other)) {
            (Some(one), Some(other)) => (one, other),
            (one, other) => {
                self.unknown.push(NotTold { subject: Subject::Gaps, of_one: one.is_some() || other.is_some() });
                return;
            }
        };
        if !one.comparable(&other) {
            self.gaps_apart_in_kind(one.strings, other.strings);
        } else if !gaps::fairness(&one, &other).fair {
            // What is heard follows from the distance the strings have when they sound.
            self.gaps_apart(one.open(), other.open());
        }
    }

    /// The names of those of which something is not recorded.
    fn whose(&self, not: [bool; 2]) -> String {
        let names = self.names().into_iter().zip(not).filter(|(_, not)| *not);
        crate::record::words::listed(&names.map(|(name, _)| name.to_owned()).collect::<Vec<_>>())
    }

    /// Gaps that were measured in ways that can't be held against each other.
    fn gaps_apart_in_kind(&mut self, one: Strings, other: Strings) {
        let how = |strings: Strings| match strings {
            Strings::Open {} => "with the strings open".to_owned(),
            Strings::Pressed { .. } => strings.in_words(),
        };
        let sentence = format!(
            "The gaps of {} were measured {}, those of {} {}. So the numbers can't be held against each other until the \
             guitar's record says how high the strings stand at the last fret.",
            self.one.name,
            how(one),
            self.other.name,
            how(other)
        );
        let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either));
        self.find(Subject::Gaps, Weight::Unfair, sentence, &explains);
    }

    /// What one pickup nearer the strings does to the sound; the gaps are those under open strings, bass and treble side.
    fn gaps_apart(&mut self, one: [Millimetres; 2], other: [Millimetres; 2]) {
        let mean = |gaps: &[Millimetres; 2]| f64::midpoint(gaps[0].0, gaps[1].0);
        let first_near = mean(&one) < mean(&other);
        let (near, far) = if first_near { (&one, &other) } else { (&other, &one) };
        let (near_name, far_name) =
            if first_near { (self.one.name, self.other.name) } else { (self.other.name, self.one.name) };
        let law = self.law();
        let (by, within) = louder(law.as_ref(), Millimetres(mean(near)), Millimetres(mean(far)));
        let [bass, treble] = [0, 1].map(|side: usize| louder(law.as_ref(), near[side], far[side]).0.0);
        let source = match &law {
            Some(law) => format!("by {} levels read on this bench", law.readings),
            None => "by common practice".to_owned(),
        };
        let shown = |length: Millimetres| length.shown(self.unit);
        let sides = |gaps: &[Millimetres; 2]| format!("{} and {}", shown(gaps[0]), shown(gaps[1]));
        let mut sentence = format!(
            "{near_name} was {} from the open strings (bass and treble side), {far_name} {}.",
            sides(near),
            sides(far)
        );
        let nearer = Toward::one_if(first_near);
        let mut explains = Vec::new();
        if by.0 >= LOUDER {
            sentence.push_str(&format!(
                " That alone makes {near_name} about {} louder, give or take {}, {source}.{LOUDER_WINS}",
                by.shown(),
                within.shown()
            ));
            explains.extend(WHAT_LOUDER_WINS.map(|quality| (quality, nearer)));
        }
        if (bass - treble).abs() >= LOUDER {
            let side = if bass > treble { "bass" } else { "treble" };
            sentence.push_str(&format!(
                " Its {side} strings gain {} more than the others, so the strings balance differently.",
                Decibels((bass - treble).abs()).shown()
            ));
            explains.push((Quality::Balance, Toward::Either));
            let quality = if bass > treble { Quality::Bass } else { Quality::Treble };
            explains.push((quality, nearer));
        }
        if mean(far) - mean(near) >= PULLS_MORE {
            sentence.push_str(
                " So much nearer, its magnets pull the strings more, which shortens notes and can make them warble.",
            );
            explains.push((Quality::Sustain, nearer.opposite()));
            explains.push((Quality::Balance, Toward::Either));
        }
        if explains.is_empty() {
            sentence.push_str(" By the levels that makes less than a decibel.");
        }
        let heard = !explains.is_empty();
        self.find(Subject::Gaps, if heard { Weight::Unfair } else { Weight::Doubt }, sentence, &explains);
        if let Some(last) = self.found.last_mut() {
            last.louder = Some(Decibels(if first_near { by.0 } else { -by.0 }));
        }
    }

    /// The law fitted to the level readings of the two auditions: the one with the most readings, the surest of those.
    pub(super) fn law(&self) -> Option<LevelLaw> {
        [self.one, self.other]
            .into_iter()
            .filter_map(|heard| {
                let (of, choice) = (heard.of, heard.conditions.choice.as_ref());
                let strings = heard.conditions.gaps.as_ref().map_or(Strings::Open {}, GapsMeasured::strings);
                let readings = sounding_levels(&of.audition, over(choice, &of.kit), strings);
                LevelLaw::fit(&readings).ok()
            })
            .max_by(|a, b| {
                a.readings.cmp(&b.readings).then_with(|| b.per_decade_within.0.total_cmp(&a.per_decade_within.0))
            })
    }

    pub(super) fn level(&mut self) {
        let Some([one, other]) = self.both(Subject::Level, |heard| heard.conditions.level) else { return };
        let apart = one.level().0 - other.level().0;
        if apart.abs() < LOUDER {
            return;
        }
        let loud = if apart > 0.0 { self.one.name } else { self.other.name };
        let by_meter = matches!((one, other), (LevelTold::Meter { .. }, LevelTold::Meter { .. }));
        let sentence = format!(
            "{loud} was heard {} louder at the ear{}.{LOUDER_WINS}",
            Decibels(apart.abs()).shown(),
            if by_meter { "" } else { ", as far as plain words tell a level" }
        );
        let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::one_if(apart > 0.0)));
        self.find(Subject::Level, Weight::Unfair, sentence, &explains);
        if let Some(last) = self.found.last_mut() {
            last.louder = Some(Decibels(apart));
        }
    }

    pub(super) fn amplifier(&mut self) {
        let plain = |words: &str| words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        let words = |heard: &Heard<'_>| heard.conditions.amp.clone();
        let (one, other) = (words(&self.one), words(&self.other));
        let kinds = (self.one.conditions.amp_kind, self.other.conditions.amp_kind);
        let other_kind = matches!(kinds, (Some(one), Some(other)) if one != other);
        let any = Self::any_quality(Toward::Either);
        match (one, other) {
            (Some(one), Some(other)) if plain(&one) != plain(&other) => {
                let sentence = format!(
                    "{} went through “{one}”, {} through “{other}”. Another amplifier or another setting can change anything.",
                    self.one.name, self.other.name
                );
                self.find(Subject::Amplifier, Weight::Unfair, sentence, &any);
            }
            _ if other_kind => {
                let sentence = format!(
                    "{} and {} went through another kind of amplifier, which can change anything.",
                    self.one.name, self.other.name
                );
                self.find(Subject::Amplifier, Weight::Unfair, sentence, &any);
            }
            (Some(_), Some(_)) => {}
            (one, other) => {
                let not = [one.is_none(), other.is_none()];
                let sentence = format!(
                    "What {} went through is not recorded. Another amplifier or setting can change anything.",
                    self.whose(not)
                );
                self.find_a_gap(Subject::Amplifier, not, sentence, &any);
            }
        }
    }
}
