//! How far a pickup is to be moved, where a take says that a side or a string is too loud: by the gaps it was made at, the levels that
//! were read at other gaps, and the thread of the rig's studs.

use crate::audition::{Audition, Kit, Take, over, sounding_levels};
use crate::physics::gaps::{LevelLaw, evened, moves};
use crate::physics::strings::spread_at;
use crate::record::gaps::Strings;
use crate::record::quantity::{Decibels, LengthUnit, Millimetres};
use crate::takes::follows::{Follows, Why};

/// The same, with the way to go in millimetres and turns where it can be told.
pub(super) fn with_the_way(mut follows: Follows, take: &Take, audition: &Audition, kit: &Kit) -> Follows {
    let way = match follows.from {
        Why::Side { bass_over_treble } => side(bass_over_treble, take, audition, kit),
        Why::String { by, .. } if by.get() > 0.0 => string(by, take, audition, kit),
        _ => None,
    };
    if let Some(way) = way {
        follows.sentence.push(' ');
        follows.sentence.push_str(&way);
    }
    follows
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

fn side(bass_over_treble: Decibels, take: &Take, audition: &Audition, kit: &Kit) -> Option<String> {
    let [measured, open] = gaps(take, kit)?;
    let wanted = evened(open, bass_over_treble, &law(take, audition, kit))?;
    let [bass, treble] = [0, 1].map(|side| Millimetres(measured[side].get() + wanted[side].get() - open[side].get()));
    let (name, from, to) =
        if bass_over_treble.get() > 0.0 { ("bass", measured[0], bass) } else { ("treble", measured[1], treble) };
    let shown = |gap: Millimetres| Millimetres((gap.get() * 10.0).round() / 10.0).shown(LengthUnit::Millimetre);
    let from_to = format!("By its gaps: at the {name} side from {} to about {}", shown(from), shown(to));
    // Turns lead from where the studs are now.
    let here = audition.gaps.as_ref().is_some_and(|now| now.said.pair() == measured);
    let choice = take.conditions.choice.as_ref()?;
    let spread = kit.guitar.as_ref().map(|guitar| spread_at(guitar, choice.from_saddle));
    let out = take.conditions.gaps.as_ref().and_then(|gaps| gaps.studs_out);
    let turns = kit
        .rig
        .as_ref()
        .filter(|_| here)
        .and_then(|rig| moves(measured, [bass, treble], rig, spread, out))
        .filter(|moves| !moves.out_of_range)
        .map(|moves| {
            let turned = moves.studs.iter().filter(|stud| stud.eighths != 0);
            turned.map(|stud| format!("{}: {}", stud.side, stud.words)).collect::<Vec<_>>().join("; ")
        })
        .filter(|turns| !turns.is_empty());
    Some(match turns {
        Some(turns) => format!("{from_to}. {turns}."),
        None => format!("{from_to}."),
    })
}

fn string(by: Decibels, take: &Take, audition: &Audition, kit: &Kit) -> Option<String> {
    let [_, [bass, treble]] = gaps(take, kit)?;
    let middle = Millimetres(f64::midpoint(bass.get(), treble.get()));
    let [wanted, _] = evened([middle; 2], by, &law(take, audition, kit))?;
    let more = Millimetres(((wanted.get() - middle.get()) * 10.0).round() / 10.0);
    Some(format!("It wants about {} more gap.", more.shown(LengthUnit::Millimetre)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comparison::invented;
    use crate::record::take::{Coding, KeptSound, Played, Recorded, TakeName};

    /// What is said of a take that was made in this audition, whose rig now has these gaps.
    fn said(from: Why, now: [f64; 2], gaps: bool) -> String {
        let compared = invented::heard(1, 1, 0, &["single"], &[], |conditions, kit| {
            if let Some(measured) = &mut conditions.gaps {
                (measured.bass, measured.treble) = (Millimetres(2.4), Millimetres(2.0));
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
        let follows = Follows { from, sentence: "First.".to_owned() };
        with_the_way(follows, &take, &audition, &compared.kit).sentence
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
    }
}
