//! What ear and eye find out at the finished wiring: taps, phase, hum, and a listen against the audition's notes.

use super::fold::Install;
use super::kit::InstallKit;
use super::page::{AnswerOffered, CheckView, HeardBefore};
use crate::audition::listen;
use crate::install::sheet::Sheet;
use crate::physics::wiring::Staying;
use crate::record::install::{HumHeard, InstallAnswer, PhaseHeard, PolesUp, SoundHeard, TapHeard, swing_in_words};
use crate::record::leads::Swing;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::positions;

/// Answers to pick from, with what was given.
fn offered(install: &Install, answers: Vec<(InstallAnswer, &str)>) -> Vec<AnswerOffered> {
    let given = |answer: &InstallAnswer| install.answer(&answer.check()) == Some(answer);
    let with = |(answer, words): (InstallAnswer, &str)| AnswerOffered {
        chosen: given(&answer),
        words: words.to_owned(),
        answer,
    };
    answers.into_iter().map(with).collect()
}

/// What the ear is asked while the cavity is open and no string is on: a tap at every place.
pub(super) fn checks(install: &Install, kit: &InstallKit) -> Vec<CheckView> {
    if install.plan.is_none() {
        return Vec::new();
    }
    let mut checks = Vec::new();
    for place in kit.sounding_places() {
        let answers = TapHeard::ALL.map(|heard| (InstallAnswer::Tap { place: place.clone(), heard }, heard.in_words()));
        let answers = offered(install, answers.to_vec());
        let how = match kit.position_with(&place) {
            Some(position) => {
                format!("Selector in {position}. Tap its poles softly with steel, then those of the other places.")
            }
            None => "Tap its poles softly with steel.".to_owned(),
        };
        let verdict = answers.iter().find(|one| one.chosen).map(|one| tap_verdict(&one.answer));
        checks.push(CheckView { asked: format!("What does a tap at “{place}” give?"), how, answers, verdict });
    }
    checks
}

/// Whether a pickup sits at each place of which the record says nothing: what stays decides phase, hum and readings.
pub(super) fn places_asked(install: &Install, kit: &InstallKit) -> Vec<CheckView> {
    let asked = |place: String| {
        let sits = |sits| InstallAnswer::Sits { place: place.clone(), sits };
        let cant = InstallAnswer::SitsUnknown { place: place.clone() };
        let verdict = (install.answer(&cant.check()) == Some(&cant)).then(|| {
            cant_tell(format!(
                "It counts as one of which nothing is known: phase and hum beside {place}, and what the jack reads there, stay open. \
                 Look under the plate or the cover; or set the selector to {place} alone, volume at full: a jack that reads OL, or \
                 the pot alone, has none there."
            ))
        });
        let answers =
            vec![(sits(true), "Yes, one stays there"), (sits(false), "No, it is empty"), (cant, "can't tell")];
        CheckView {
            asked: format!("Is there a pickup at the {place}?"),
            how: "The guitar's record does not say. What sits there is heard together with the new one, and read at the jack."
                .to_owned(),
            answers: offered(install, answers),
            verdict,
        }
    };
    // What the readings of the guitar as it was tell is not asked; what was answered stays, to be changed.
    let open = |place: &String| kit.sits.contains_key(place) || !kit.was_read(install, place);
    kit.unrecorded().into_iter().filter(open).map(asked).collect()
}

/// What tap and compass are asked about a pickup that stays, in the guitar as it is wired now.
pub(super) fn standing_checks(install: &Install, kit: &InstallKit, staying: &Staying) -> Vec<CheckView> {
    let place = &staying.place;
    let swings = [Swing::Up, Swing::Down, Swing::Nothing];
    let answers = swings.map(|swing| (InstallAnswer::Swing { place: place.clone(), swing }, swing_in_words(swing)));
    let answers = offered(install, answers.to_vec());
    let verdict = match staying.tap {
        Some(Swing::Nothing) => {
            let sentence = "Pull the steel off sharper, or take a bigger piece. Volume at full.";
            Some(Verdict::new(VerdictKind::Unsure, "Not seen", sentence))
        }
        _ => None,
    };
    let clips = match kit.position_with(place) {
        Some(position) => {
            format!("Selector on {position}, volume at full. Clip the plus probe on the tip of the plug, then the minus on its sleeve.")
        }
        None => "No position gives it alone, so measure at its own leads: clip the plus probe on the one that goes to the hot."
            .to_owned(),
    };
    let swing = CheckView {
        asked: format!("Which way does the first swing of “{place}” go?"),
        how: format!(
            "Cable out of the amplifier, meter on DC millivolts. {clips} Lay steel flat on its poles and pull it off sharply."
        ),
        answers,
        verdict,
    };
    // One coil whose magnet the record tells needs no compass.
    let told = staying.recorded_pole().is_some();
    let poles = (!told).then(|| {
        let answers = PolesUp::ALL.map(|up| (InstallAnswer::Poles { place: place.clone(), up }, up.in_words()));
        let answers = offered(install, answers.to_vec());
        let cant = InstallAnswer::Poles { place: place.clone(), up: PolesUp::CantTell };
        let verdict = answers.iter().any(|one| one.chosen && one.answer == cant).then(|| {
            let sentence = "A magnet with a marked pole tells too: like poles push each other away. Without one, play both together \
                            once the strings are on: that settles the phase.";
            cant_tell(sentence)
        });
        CheckView {
            asked: format!("Which pole of “{place}” faces the strings?"),
            how: "Hold a compass over each row of poles. The end of the needle that points to the north of the earth is pulled \
                  by a south pole."
                .to_owned(),
            answers,
            verdict,
        }
    });
    std::iter::once(swing).chain(poles).collect()
}

/// What the ear is asked once strings are on: phase of each pair, hum in each mode.
pub(super) fn strung_checks(install: &Install, kit: &InstallKit, sheet: &Sheet) -> Vec<CheckView> {
    let Some(plan) = &install.plan else { return Vec::new() };
    let mut checks = Vec::new();
    for position in kit.joining_positions(&plan.said) {
        let answers =
            PhaseHeard::ALL.map(|heard| (InstallAnswer::Phase { position: position.clone(), heard }, heard.in_words()));
        let answers = offered(install, answers.to_vec());
        let verdict = answers.iter().find(|one| one.chosen).map(|one| phase_verdict(&one.answer));
        checks.push(CheckView {
            asked: format!("How do they sound together in “{position}”?"),
            how: "Play a low chord. Change to each alone, and back.".to_owned(),
            answers,
            verdict,
        });
    }
    for (mode, cancels) in &sheet.hum {
        let answers = HumHeard::ALL.map(|heard| (InstallAnswer::Hum { mode: mode.clone(), heard }, heard.in_words()));
        let answers = offered(install, answers.to_vec());
        let verdict = answers.iter().find(|one| one.chosen).map(|one| hum_verdict(&one.answer, *cancels));
        let expect = match cancels {
            Some(true) => "It is wired to cancel hum here.",
            Some(false) => "It is not wired to cancel hum here, so some is no fault.",
            None => "Whether it cancels hum here is not known.",
        };
        checks.push(CheckView {
            asked: format!("How much hum in “{}”?", mode.0),
            how: format!("Selector on the new pickup alone. Hands off the strings, then touch them. {expect}"),
            answers,
            verdict,
        });
    }
    checks
}

/// What comes of it that nobody can tell: it stays open, and stops nothing.
fn cant_tell(sentence: impl Into<String>) -> Verdict {
    Verdict::new(VerdictKind::Unsure, "Can't tell", sentence)
}

fn tap_verdict(answer: &InstallAnswer) -> Verdict {
    let InstallAnswer::Tap { place, heard } = answer else { return Verdict::new(VerdictKind::Unsure, "Not asked", "") };
    match heard {
        TapHeard::Clear => Verdict::new(VerdictKind::Good, "Heard", "This place is joined as it should be."),
        TapHeard::Weak => Verdict::new(
            VerdictKind::Bad,
            "Weak",
            format!(
                "“{place}” is much weaker than the others: a joint of it is bad, or its coils work against each other."
            ),
        ),
        TapHeard::Nothing => Verdict::new(
            VerdictKind::Bad,
            "Silent",
            format!("Nothing comes from “{place}”: it is not joined, it is shorted, or the selector stands elsewhere."),
        ),
        TapHeard::Elsewhere => Verdict::new(
            VerdictKind::Bad,
            "Another place",
            format!(
                "Where “{place}” should sound, another place does: their leads are on each other's lugs of the selector."
            ),
        ),
        TapHeard::CantTell => cant_tell(format!(
            "Tap “{place}” once more with its volume at full and the others at zero. Until it is told, only the readings at the jack \
             speak for it."
        )),
    }
}

fn phase_verdict(answer: &InstallAnswer) -> Verdict {
    let InstallAnswer::Phase { position, heard } = answer else {
        return Verdict::new(VerdictKind::Unsure, "Not asked", "");
    };
    match heard {
        PhaseHeard::Full => Verdict::new(VerdictKind::Good, "In phase", "They add, as they should."),
        PhaseHeard::Thin => Verdict::new(
            VerdictKind::Bad,
            "Out of phase",
            format!(
                "In “{position}” they work against each other. Unplug the guitar from the amplifier, look at “Phase and hum”, and \
                 turn the new pickup in “Plan”. Soldering then begins with the stop list again."
            ),
        ),
        PhaseHeard::CantTell => cant_tell(format!(
            "Play the thickest string alone, in “{position}” and in each alone. Out of phase, its bass is gone when both are on."
        )),
    }
}

fn hum_verdict(answer: &InstallAnswer, cancels: Option<bool>) -> Verdict {
    let InstallAnswer::Hum { mode, heard } = answer else { return Verdict::new(VerdictKind::Unsure, "Not asked", "") };
    match (heard, cancels) {
        (HumHeard::Quiet, _) => Verdict::new(VerdictKind::Good, "Quiet", "Grounds hold, and nothing hums."),
        (HumHeard::OneCoil, Some(true)) => Verdict::new(
            VerdictKind::Bad,
            "Hums",
            format!(
                "“{}” should cancel hum and does not: one coil is silent, or is hooked the wrong way round.",
                mode.0
            ),
        ),
        (HumHeard::OneCoil, _) => Verdict::new(
            VerdictKind::Good,
            "Some hum",
            "Coils that do not cancel hum pick it up. That is no fault of the wiring.",
        ),
        (HumHeard::LessWhenTouched, Some(true)) => Verdict::new(
            VerdictKind::Good,
            "Strings grounded",
            format!(
                "Less hum when the strings are touched is normal: it shows that the ground of the strings works. With your hands \
                 on them “{}” should be quiet; if it still hums as one coil does, say so.",
                mode.0
            ),
        ),
        (HumHeard::LessWhenTouched, _) => Verdict::new(
            VerdictKind::Good,
            "Strings grounded",
            "Less hum when the strings are touched is normal: it shows that the ground of the strings works.",
        ),
        (HumHeard::MoreWhenTouched, _) => Verdict::new(
            VerdictKind::Bad,
            "Ground and hot",
            "More hum when strings are touched: hot and ground are in each other's place, at the jack or at the pickup. \
             Unplug before you look.",
        ),
        (HumHeard::CantTell, _) => cant_tell(format!(
            "Hum in “{}” is not judged. A little more gain, hands off the strings, away from lamps and screens: then it is heard.",
            mode.0
        )),
    }
}

/// What the audition noted, and whether it is still so.
pub(super) fn heard(install: &Install, kit: &InstallKit) -> Vec<HeardBefore> {
    let wanted: Vec<_> = install.plan.iter().flat_map(|plan| positions(&plan.said)).map(|(_, mode)| mode).collect();
    let before = listen(&kit.audition, &kit.heard);
    let mut heard = Vec::new();
    for mode in wanted {
        if heard.iter().any(|one: &HeardBefore| one.mode == mode) {
            continue;
        }
        let noted = before.modes.iter().find(|one| one.mode == mode);
        let answers: Vec<AnswerOffered> = SoundHeard::ALL
            .into_iter()
            .map(|heard| {
                let answer = InstallAnswer::Sound { mode: mode.clone(), heard, words: String::new() };
                let given = install.answer(&answer.check());
                let chosen = matches!(given, Some(InstallAnswer::Sound { heard: said, .. }) if *said == heard);
                AnswerOffered { answer, words: heard.in_words().to_owned(), chosen }
            })
            .collect();
        let verdict = answers.iter().find(|one| one.chosen).map(|one| match &one.answer {
            InstallAnswer::Sound { heard: SoundHeard::Different, mode, .. } => Verdict::new(
                VerdictKind::Bad,
                "Another sound",
                format!(
                    "“{}” sounds other than it did. Look at heights and place first, then at the readings of this mode.",
                    mode.0
                ),
            ),
            InstallAnswer::Sound { heard: SoundHeard::Near, .. } => {
                Verdict::new(VerdictKind::Good, "Near", "Heights and fresh strings change a sound a little.")
            }
            InstallAnswer::Sound { heard: SoundHeard::CantTell, mode, .. } => cant_tell(format!(
                "“{}” is not held against the audition. Days blur a memory: the audition's notes stand above.",
                mode.0
            )),
            _ => Verdict::new(VerdictKind::Good, "As chosen", "It is what you heard over the strings."),
        });
        let rated = noted.iter().flat_map(|one| &one.rated).filter_map(|rated| {
            let value = rated.value?;
            let word = rated.anchors.get(usize::from(value.saturating_sub(1)))?;
            Some(format!("{} {value} of 5, {word}", rated.name.to_lowercase()))
        });
        heard.push(HeardBefore {
            rated: rated.chain(kit.audition.beside_fitted(&mode)).collect(),
            note: noted.map(|one| one.note.clone()).unwrap_or_default(),
            heard_in: noted.map(|one| one.heard_in.clone()).unwrap_or_default(),
            heard_in_inches: noted.and_then(|one| one.heard_in_inches.clone()),
            check: CheckView {
                asked: format!("How does “{}” sound now?", mode.0),
                how: "Same amp and settings, pickup at its starting heights.".to_owned(),
                answers,
                verdict,
            },
            mode,
        });
    }
    heard
}
