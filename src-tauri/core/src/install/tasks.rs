//! The acts of a permanent install as data: what to do, why, and what can hurt in it.

use crate::record::install::InstallTask;

/// One act, as it is read and done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TaskText {
    /// Its name for good: ticks in a logbook refer to it.
    pub act: InstallTask,
    /// What to do, as it is said aloud.
    pub say: &'static str,
    /// How it is done well.
    pub how: &'static str,
    /// What can hurt in it, the person, the pickup or the guitar.
    pub caution: &'static str,
}

/// All acts, in the order in which they are done. Common practice, no source.
pub const TASKS: [TaskText; 11] = [
    TaskText {
        act: InstallTask::OldPictured,
        say: "Pull the plug, open the cavity, and take a picture of every joint.",
        how: "Near enough to see which lead goes to which lug; write that down too. Mark the leads of pickups that stay with tape.",
        caution: "Cover the top first: a slipping screwdriver marks it. Slacken the strings where a pickguard has to come off.",
    },
    TaskText {
        act: InstallTask::OldOut,
        say: "Unsolder the old pickup and lift it out.",
        how: "Heat the joint, then pull the lead out softly. Do not cut it short: the old pickup wants its leads.",
        caution: "Do not heat a pot for longer than about three seconds. Its track dies of heat. Let it cool and try again.",
    },
    TaskText {
        act: InstallTask::Tinned,
        say: "Tin the stripped end of each lead that gets a joint.",
        how: "Clamp the lead first: one hand has the iron, the other the solder. Twist the strands, heat them, and let the solder flow in. Tin the lug as well.",
        caution: "Metal carries the heat: hold the lead by its sleeve, well behind the clamp.",
    },
    TaskText {
        act: InstallTask::SetIn,
        say: "Set the new pickup into its opening, leads led through to the cavity.",
        how: "Turn it the way round that this sheet shows. Leave slack in the leads. Screws snug, not tight. The iron waits in its stand.",
        caution: "Never pry at the cover: the coil wire under it is finer than hair. Keep its magnets away from loose steel.",
    },
    TaskText {
        act: InstallTask::Joined,
        say: "Make each joint of the hookup list, from the top down, and tick it on paper.",
        how: "First slide a piece of heat-shrink onto each lead that needs one. Hook the lead into the lug, or round the lead it meets, so that it stays there by itself. Then heat both together, feed solder to the joint, take the iron away, hold still.",
        caution: "Braid and bare shield wire go to ground only. A hair of it on a hot lug silences the guitar.",
    },
    TaskText {
        act: InstallTask::Cooled,
        say: "Let the joints cool by themselves, and look at each.",
        how: "A good joint hugs lug and lead. Solder free of lead looks dull: that is no fault. A joint that is cracked, sits there like a ball or was moved while it cooled is heated once more, with a little fresh solder.",
        caution: "Blowing on a joint makes it grainy. Metal stays hot for a minute.",
    },
    TaskText {
        act: InstallTask::Tugged,
        say: "Tug each lead softly.",
        how: "What moves in its joint is heated again.",
        caution: "Tug the lead, never the pickup by its lead.",
    },
    TaskText {
        act: InstallTask::Insulated,
        say: "Insulate bare joints and every lead that stays unused.",
        how: "Push the heat-shrink over each joint that held, and shrink it. Fold an unused lead back on itself and shrink a piece over its end. Never cut it short: another wiring may want it.",
        caution: "Shrink it with warm air, not with a flame.",
    },
    TaskText {
        act: InstallTask::Closed,
        say: "Lay the leads into the cavity and close it.",
        how: "No lead under the rim of the plate, none against a sharp edge. Iron cold and away first.",
        caution: "Turn screws back until they click into their thread, then in. Forced, they split old wood.",
    },
    TaskText {
        act: InstallTask::Strung,
        say: "Put the strings on and tune them up.",
        how: "Outer strings first, so that the neck comes under tension evenly. Then take the cover off the finish.",
        caution: "A string that slips whips. Wear glasses, keep your face away, and clip the ends off at once.",
    },
    TaskText {
        act: InstallTask::HeightsSet,
        say: "Set the pickup to its starting heights.",
        how: "Press the strings at the last fret, best with a capo, so that both hands are free. Measure from the pole to the underside of the string.",
        caution: "Too near, strong magnets pull the strings: they warble and die early.",
    },
];

/// What is done in an act, and what can hurt.
#[must_use]
pub fn text_of(which: InstallTask) -> &'static TaskText {
    TASKS.iter().find(|one| one.act == which).unwrap_or(&TASKS[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_act_is_told_once_in_its_order() {
        let told: Vec<InstallTask> = TASKS.iter().map(|one| one.act).collect();
        let listed: Vec<InstallTask> =
            InstallTask::OPEN.into_iter().chain(InstallTask::SOLDER).chain(InstallTask::CLOSE).collect();
        assert_eq!(told, listed);
        for act in listed {
            assert_eq!(super::text_of(act).act, act);
        }
    }

    /// Whoever has lit the iron has nothing left to do that could have been done before: the first act is one that needs it.
    #[test]
    fn what_is_done_cold_comes_before_the_iron() {
        assert!(InstallTask::OPEN.iter().all(|act| !act.needs_iron()));
        assert!(InstallTask::SOLDER[0].needs_iron(), "{:?}", InstallTask::SOLDER);
        let lit = || InstallTask::SOLDER.into_iter().map(|act| format!("{} {}", text_of(act).say, text_of(act).how));
        for cold in ["picture", "Write down", "cavity, and", "Strip ", "Cut the heat-shrink", "Roughen"] {
            assert!(lit().all(|said| !said.contains(cold)), "{cold} is asked for with the iron on");
        }
    }

    #[test]
    fn every_act_says_what_to_do_and_what_can_hurt() {
        for act in TASKS {
            for words in [act.say, act.how, act.caution] {
                assert!(words.ends_with('.') && !words.contains('!') && !words.contains('\u{2014}'), "{words}");
            }
        }
    }
}
