//! How far a pickup is to be moved, where a take says that a side or a string is too loud: by the gaps it was made at, the levels that
//! were read at other gaps, and the thread of the rig's studs.

use crate::audition::{Audition, Kit, Take, over, sounding_levels, under};
use crate::physics::gaps::{LevelLaw, evened, moves};
use crate::physics::strings::spread_at;
use crate::record::gaps::Strings;
use crate::record::quantity::{Decibels, InInches, LengthUnit, Millimetres};
use crate::takes::follows::{Follows, Why};

/// Gaps that lie so near to each other are the same to say, in millimetres.
const AS_SHOWN: f64 = 0.05;

/// The same, with the way to go in length and turns where it can be told.
pub(super) fn with_the_way(follows: Follows, take: &Take, audition: &Audition, kit: &Kit) -> Follows {
    let way = |unit: LengthUnit| match follows.from {
        Why::Side { bass_over_treble } => side(bass_over_treble, take, audition, kit, unit),
        Why::String { by, .. } if by.get() > 0.0 => string(by, take, audition, kit, unit),
        _ => None,
    };
    let (sentence, sentence_in_inches) = InInches::told(|unit| match way(unit) {
        Some(way) => format!("{} {way}", follows.sentence),
        None => follows.sentence.clone(),
    });
    Follows { sentence, sentence_in_inches, ..follows }
}

/// What levels say of gaps there: those that were read, where they say enough, else common practice.
fn law(take: &Take, audition: &Audition, kit: &Kit) -> LevelLaw {
    let over = over(take.conditions.choice.as_ref(), kit);
    let strings = take.conditions.gaps.as_ref().map_or(Strings::Open {}, |gaps| gaps.strings());
    let read = LevelLaw::fit(&sounding_levels(audition, over, strings)).ok();
    read.filter(|law| -law.per_decade.get() > law.per_decade_within.get()).unwrap_or_else(LevelLaw::usual)
}

/// The gaps of the take, and what they are over the open strings, which were plucked.
fn gaps(take: &Take, kit: &Kit) -> Option<[[Millimetres; 2]; 2]> {
    let measured = take.conditions.gaps.as_ref()?;
    let open = over(take.conditions.choice.as_ref(), kit)
        .map_or(measured.pair(), |over| over.open(measured.pair(), measured.strings()));
    Some([measured.pair(), open])
}

fn side(bass_over_treble: Decibels, take: &Take, audition: &Audition, kit: &Kit, unit: LengthUnit) -> Option<String> {
    let [measured, open] = gaps(take, kit)?;
    let wanted = evened(open, bass_over_treble, &law(take, audition, kit))?;
    let mut to = [0, 1].map(|side| Millimetres(measured[side].get() + wanted[side].get() - open[side].get()));
    let (loud, name, other) = if bass_over_treble.get() > 0.0 { (0, "bass", "treble") } else { (1, "treble", "bass") };
    // No farther than where one would start; then the other side comes nearer.
    let strings = take.conditions.gaps.as_ref().map_or(Strings::Open {}, |gaps| gaps.strings());
    let starting = under(audition, kit).map(|under| under.starting(strings));
    let most = starting.map(|starting| [starting.bass, starting.treble][loud][1].value);
    let mut and_then = String::new();
    if let Some(most) = most.filter(|most| to[loud].get() > most.get() + AS_SHOWN) {
        if measured[loud].get() > most.get() - AS_SHOWN {
            return Some(format!(
                "Its {name} side is at the far end of the starting range already, so bring the {other} side nearer instead."
            ));
        }
        to[loud] = most;
        and_then =
            format!(" That is the far end of the starting range: if it is not enough, bring the {other} side nearer.");
    }
    let from = measured[loud];
    let from_to =
        format!("By its gaps: at the {name} side from {} to about {}", from.about(unit), to[loud].about(unit));
    // Turns lead from where the studs are now.
    let here = audition.gaps.as_ref().is_some_and(|now| now.said.pair() == measured);
    let choice = take.conditions.choice.as_ref()?;
    let spread = kit.guitar.as_ref().map(|guitar| spread_at(guitar, choice.from_saddle));
    let out = take.conditions.gaps.as_ref().and_then(|gaps| gaps.studs_out);
    let turns = kit
        .rig
        .as_ref()
        .filter(|_| here)
        .and_then(|rig| moves(measured, to, rig, spread, out))
        .filter(|moves| !moves.out_of_range)
        .map(|moves| {
            let turned = moves.studs.iter().filter(|stud| stud.eighths != 0);
            turned.map(|stud| format!("{}: {}", stud.side, stud.words)).collect::<Vec<_>>().join("; ")
        })
        .filter(|turns| !turns.is_empty());
    Some(match turns {
        Some(turns) => format!("{from_to}. {turns}.{and_then}"),
        None => format!("{from_to}.{and_then}"),
    })
}

fn string(by: Decibels, take: &Take, audition: &Audition, kit: &Kit, unit: LengthUnit) -> Option<String> {
    let [_, [bass, treble]] = gaps(take, kit)?;
    let middle = Millimetres(f64::midpoint(bass.get(), treble.get()));
    let [wanted, _] = evened([middle; 2], by, &law(take, audition, kit))?;
    let more = Millimetres(wanted.get() - middle.get());
    Some(format!("It wants about {} more gap.", more.about(unit)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comparison::invented;
    use crate::record::take::{Coding, KeptSound, Played, Recorded, TakeName};

    /// What is said of a take that was made in this audition, whose rig now has these gaps.
    fn said(from: Why, now: [f64; 2], gaps: bool) -> String {
        said_at(from, [2.4, 2.0], now, gaps).0.sentence
    }

    /// The same of a take that was made at these gaps, and the far ends of the starting range, bass and treble side.
    fn said_at(from: Why, made: [f64; 2], now: [f64; 2], gaps: bool) -> (Follows, [f64; 2]) {
        let compared = invented::heard(1, 1, 0, &["single"], &[], |conditions, kit| {
            if let Some(measured) = &mut conditions.gaps {
                (measured.bass, measured.treble) = (Millimetres(made[0]), Millimetres(made[1]));
            }
            if !gaps {
                conditions.gaps = None;
            }
            // As wide as the strings, so that a turn at one side leaves the other alone.
            if let (Some(rig), Some(guitar), Some(choice)) = (&mut kit.rig, &kit.guitar, &conditions.choice) {
                rig.stud_spread = Some(spread_at(guitar, choice.from_saddle));
                rig.thread_pitch = Some(Millimetres(0.7));
            }
        });
        let mut audition = compared.audition.clone();
        if let Some(gaps) = &mut audition.gaps {
            (gaps.said.bass, gaps.said.treble) = (Millimetres(now[0]), Millimetres(now[1]));
        }
        let conditions = compared.audition.conditions.values().next().expect("it was heard").clone();
        let sound = KeptSound {
            take: TakeName::of(b"x"),
            seconds: 10.0,
            rate: 48_000,
            channels: 1,
            bytes: 1000,
            came_as: Coding::Pcm,
            flaws: Vec::new(),
        };
        let take = Take { sound, recorded: Recorded::of(Played::OpenStrings), conditions };
        let follows = Follows { from, sentence: "First.".to_owned(), sentence_in_inches: None };
        let starting = under(&audition, &compared.kit).expect("it is chosen").starting(Strings::Open {});
        let most = [starting.bass, starting.treble].map(|side| side[1].value.get());
        (with_the_way(follows, &take, &audition, &compared.kit), most)
    }

    /// Whatever the gaps are, nobody is sent farther away than the range in which the same page says to start.
    #[test]
    fn the_way_stays_inside_the_starting_range() {
        let (mut capped, mut at_the_end) = (0, 0);
        for tenths in 15..70 {
            for (loud, by) in [(0, 9.0), (1, -9.0)] {
                let gaps = [f64::from(tenths) / 10.0; 2];
                let (follows, most) = said_at(Why::Side { bass_over_treble: Decibels(by) }, gaps, gaps, true);
                let said = follows.sentence;
                if said.contains("far end of the starting range already") {
                    assert!(gaps[loud] > most[loud] - 0.06, "{gaps:?}, {most:?}: {said}");
                    at_the_end += 1;
                    continue;
                }
                let to = said.split("to about ").nth(1).and_then(|rest| rest.split(' ').next());
                let to: f64 = to.and_then(|to| to.parse().ok()).unwrap_or_else(|| panic!("no gap in “{said}”"));
                assert!(to <= most[loud] + 0.11, "{gaps:?}, {most:?}: {said}");
                capped += usize::from(said.contains("bring the"));
            }
        }
        assert!(capped > 5 && at_the_end > 5, "{capped} and {at_the_end}");
    }

    /// By common practice half the gap gives 6 dB: 3 dB are √2 times the gap, and a thread of 0.7 mm.
    #[test]
    fn the_way_to_go_in_millimetres_and_turns() {
        let side = |by| Why::Side { bass_over_treble: Decibels(by) };
        for (from, now, gaps, wanted) in [
            // 2.4 · √2 = 3.39: 0.99 mm are 1.42 turns.
            (
                side(3.0),
                [2.4, 2.0],
                true,
                "First. By its gaps: at the bass side from 2.4 mm to about 3.4 mm. Both bass studs: 1 and three eighths turns, lifting.",
            ),
            (
                side(-3.0),
                [2.4, 2.0],
                true,
                "First. By its gaps: at the treble side from 2 mm to about 2.8 mm. Both treble studs: 1 and one eighth turns, lifting.",
            ),
            // The rig was moved since: turns would begin somewhere else.
            (side(3.0), [2.6, 2.0], true, "First. By its gaps: at the bass side from 2.4 mm to about 3.4 mm."),
            (side(3.0), [2.4, 2.0], false, "First."),
            // The middle of both gaps is 2.2: 2.2 · √2 - 2.2 = 0.91.
            (Why::String { string: 3, by: Decibels(3.0) }, [2.4, 2.0], true, "First. It wants about 0.9 mm more gap."),
            (Why::String { string: 3, by: Decibels(-3.0) }, [2.4, 2.0], true, "First."),
            (Why::NoStrings, [2.4, 2.0], true, "First."),
        ] {
            assert_eq!(said(from, now, gaps), wanted);
        }
        let (told, _) = said_at(side(3.0), [2.4, 2.0], [2.6, 2.0], true);
        let in_inches = told.sentence_in_inches.map(|told| told.decimal_inch);
        let wanted = "First. By its gaps: at the bass side from 0.094 in to about 0.134 in.";
        assert_eq!(in_inches.as_deref(), Some(wanted));
    }
}
