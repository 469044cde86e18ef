//! The guitar, the place along its strings, the strings themselves and their tuning.

use super::{HEARD_TONE, Heard, NotTold, Pair, SAME_GAUGE, SAME_PLACE, STRINGS_AGE, Subject, Toward, Weight};
use crate::comparison::effect::nearer_the_bridge;
use crate::physics::strings;
use crate::record::guitar::Guitar;
use crate::record::listening::Quality;
use crate::record::quantity::Millimetres;

impl<'a> Pair<'a> {
    pub(super) fn same_guitar(&mut self) -> bool {
        let of = |heard: &Heard<'_>| heard.conditions.choice.as_ref().map(|choice| choice.guitar);
        if of(&self.one) == of(&self.other) {
            return true;
        }
        let label = |heard: &Heard<'_>| {
            heard.of.kit.guitar.as_ref().map_or_else(|| "a guitar that is gone".to_owned(), |g| g.label.clone())
        };
        let [one, other] = self.names();
        let sentence = format!(
            "{one} was heard on {}, {other} on {}. Another guitar is another instrument: what is heard can't be put down to the \
             pickup.",
            label(&self.one),
            label(&self.other)
        );
        self.find(Subject::Guitar, Weight::Unfair, sentence, &Self::any_quality(Toward::Either));
        false
    }

    pub(super) fn guitar(&self) -> Option<&'a Guitar> {
        self.one.of.kit.guitar.as_ref().or(self.other.of.kit.guitar.as_ref())
    }

    /// The wider of the two apertures, so that what the place does is told once for both.
    pub(super) fn aperture(&self) -> Millimetres {
        let of = |heard: &Heard<'_>| heard.of.kit.pickup.as_ref().map_or(10.0, |p| strings::aperture(p.construction).0);
        Millimetres(of(&self.one).max(of(&self.other)))
    }

    pub(super) fn place(&mut self) {
        let from = |heard: &Heard<'_>| heard.conditions.choice.as_ref().map(|choice| choice.from_saddle);
        let Some([one, other]) = self.both(Subject::Place, from) else { return };
        let apart = Millimetres((one.0 - other.0).abs());
        if apart.0 <= SAME_PLACE + 1e-9 {
            return;
        }
        let first_near = one.0 < other.0;
        let (near_name, far_name) =
            if first_near { (self.one.name, self.other.name) } else { (self.other.name, self.one.name) };
        let scale = self.guitar().map_or(Millimetres(648.0), |guitar| guitar.scale);
        let near_far = [one.0.min(other.0), one.0.max(other.0)].map(Millimetres);
        let (words, heard, explains) = self.along_the_strings(near_far, scale, Toward::one_if(first_near));
        let sentence =
            format!("{near_name} stood {} nearer the bridge than {far_name}. {words}", apart.shown(self.unit));
        self.find(Subject::Place, if heard { Weight::Unfair } else { Weight::Doubt }, sentence, &explains);
    }

    /// What standing nearer the bridge does by itself, whether it is heard, and what it accounts for.
    pub(super) fn along_the_strings(
        &self,
        [near, far]: [Millimetres; 2],
        scale: Millimetres,
        nearer: Toward,
    ) -> (String, bool, Vec<(Quality, Toward)>) {
        if near.0 <= 0.0 || far.0 >= scale.0 {
            return (
                "One of the places is not between saddle and nut, so what it does can't be said.".to_owned(),
                true,
                Vec::new(),
            );
        }
        let [low, middle, high] = nearer_the_bridge(near, far, self.aperture(), scale).map(|band| band.0);
        let told: Vec<String> = [("the fundamentals", low), ("harmonics 2 to 5", middle), ("harmonics 6 to 20", high)]
            .into_iter()
            .filter(|(_, band)| band.abs() >= HEARD_TONE)
            .map(|(what, band)| format!("{:.1} dB {} of {what}", band.abs(), if band > 0.0 { "more" } else { "less" }))
            .collect();
        let mut explains = Vec::new();
        if high - low >= HEARD_TONE {
            explains.extend([Quality::Treble, Quality::Attack, Quality::Clarity].map(|quality| (quality, nearer)));
        }
        if low <= -HEARD_TONE {
            explains.extend([(Quality::Bass, nearer.opposite()), (Quality::Output, nearer.opposite())]);
        }
        let words = if told.is_empty() {
            "In no range of harmonics does that make a decibel.".to_owned()
        } else {
            let sum = if high - low >= HEARD_TONE { ": thinner and brighter by itself" } else { "" };
            format!("So it hears {}{sum}.", crate::record::words::listed(&told))
        };
        (words, !told.is_empty(), explains)
    }

    pub(super) fn strings(&mut self, same_guitar: bool) {
        let strings = |heard: &Heard<'a>| heard.of.kit.guitar.as_ref().map(|guitar| &guitar.strings);
        if let (Some(one), Some(other)) = (strings(&self.one), strings(&self.other)) {
            let gauge_differs = one.len() != other.len()
                || one.iter().zip(other).any(|(one, other)| match (one.gauge, other.gauge) {
                    (Some(one), Some(other)) => (one.0 - other.0).abs() > SAME_GAUGE,
                    _ => false,
                });
            if gauge_differs {
                let sentence = format!(
                    "{} and {} were heard over different string gauges. Thicker strings are louder and fuller.",
                    self.one.name, self.other.name
                );
                let explains = [Quality::Output, Quality::Bass, Quality::Treble, Quality::Balance, Quality::Sustain]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::Strings, Weight::Unfair, sentence, &explains);
            }
        }
        let age = |heard: &Heard<'a>| {
            heard
                .of
                .kit
                .guitar
                .as_ref()
                .map(|guitar| guitar.strings_age.trim().to_owned())
                .filter(|age| !age.is_empty())
        };
        let (older, newer) = (
            self.one.conditions.at.min(self.other.conditions.at),
            self.one.conditions.at.max(self.other.conditions.at),
        );
        let first_newer = self.one.conditions.at < self.other.conditions.at;
        match (age(&self.one), age(&self.other)) {
            (Some(one), Some(other)) if one.to_lowercase() != other.to_lowercase() => {
                let sentence = format!(
                    "The strings were another age: “{one}” under {}, “{other}” under {}. Old strings lose treble and ring shorter.",
                    self.one.name, self.other.name
                );
                let explains = [Quality::Treble, Quality::Clarity, Quality::Attack, Quality::Sustain]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::StringsAge, Weight::Unfair, sentence, &explains);
            }
            (one, other) => {
                if one.is_none() || other.is_none() {
                    let of_one = one.is_some() || other.is_some();
                    self.unknown.push(NotTold { subject: Subject::StringsAge, of_one });
                }
                if same_guitar && newer - older >= STRINGS_AGE {
                    let fresh = if first_newer { self.one.name } else { self.other.name };
                    let sentence = format!(
                        "By the guitar's record the strings are the same, but {} days lie between. If they are, they were fresher \
                         under {fresh}, and old strings lose treble.",
                        (newer - older).num_days()
                    );
                    let explains = [Quality::Treble, Quality::Clarity, Quality::Sustain]
                        .map(|quality| (quality, Toward::one_if(first_newer)));
                    self.find(Subject::StringsAge, Weight::Doubt, sentence, &explains);
                }
            }
        }
    }

    pub(super) fn tuning(&mut self) {
        let notes = |heard: &Heard<'_>| -> Option<Vec<String>> {
            let told = heard.conditions.tuned.as_ref().map(|notes| notes.iter().map(|note| note.shown()).collect());
            told.or_else(|| {
                heard
                    .of
                    .kit
                    .guitar
                    .as_ref()
                    .map(|guitar| guitar.strings.iter().map(|string| string.note.clone()).collect())
            })
        };
        let (Some(one), Some(other)) = (notes(&self.one), notes(&self.other)) else { return };
        if one == other {
            return;
        }
        let sentence = format!(
            "{} was heard tuned to {}, {} to {}. Slacker strings swing wider: louder, fuller and less clear.",
            self.one.name,
            one.join(" "),
            self.other.name,
            other.join(" ")
        );
        let explains = [Quality::Bass, Quality::Output, Quality::Clarity, Quality::Sustain, Quality::Treble]
            .map(|quality| (quality, Toward::Either));
        self.find(Subject::Tuning, Weight::Unfair, sentence, &explains);
    }
}
