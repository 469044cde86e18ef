//! Stop lists: short lists that are read and done, item by item, before a risky act.
//!
//! At most seven items each, as the manual of the WHO Surgical Safety Checklist advises: few items, said aloud, at a
//! point where work pauses. A list that grows is skipped.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::cautions::{Moment, Situation};
use crate::holds::HoldView;
use crate::record::seat::HeldBy;
use crate::record::tick::Tick;

/// Which stop list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum StopList {
    /// Before the sound comes up.
    SoundUp,
    /// Before the rig is taken down.
    TakeDown,
    /// Before the iron is switched on.
    Iron,
    /// When the sound goes down at a guitar without a rig.
    SoundDown,
}

/// One item of a stop list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StopItem {
    /// Its name for good: ticks in a logbook refer to it.
    pub tick: Tick,
    /// What to do, as it is said aloud.
    pub say: &'static str,
    /// Why.
    pub why: &'static str,
}

const fn item(tick: Tick, say: &'static str, why: &'static str) -> StopItem {
    StopItem { tick, say, why }
}

const SOUND_UP: &[StopItem] = &[
    item(
        Tick::DryAndWhole,
        "Hands and floor dry. Mains leads whole.",
        "Damp or a bare wire turns a small fault into a deadly shock.",
    ),
    item(Tick::VolumeAtZero, "Volume at zero, on the amp and the guitar.", "Nothing can bang through an amp at zero."),
    item(Tick::Standby, "Amp in standby, or off.", "A plug going in makes a crack. The speaker need not hear it."),
    item(
        Tick::PluggedIn,
        "Clip the string ground on. Plug into the rig, then the amp.",
        "A loose cable on a live amp hums and bangs when it is touched.",
    ),
    item(Tick::SwitchedOn, "Switch the amp on.", "Now all is joined and nothing moves any more."),
    item(
        Tick::RaisedSlowly,
        "Raise the volume slowly. Stop while you can still talk over it.",
        "You hear a fault while it is still quiet.",
    ),
];

const TAKE_DOWN: &[StopItem] = &[
    item(Tick::VolumeDown, "Volume down to zero.", "A terminal touched with the sound up hurts ears and speakers."),
    item(Tick::AmpQuiet, "Amp in standby, or off.", "The plug then comes out without a crack."),
    item(Tick::Unplugged, "Cable and string ground off the rig.", "What still hangs on it drags it over the finish."),
    item(
        Tick::LeadsFree,
        "Open the terminals and take the leads out.",
        "A pickup lifted by its leads tears its coil wire.",
    ),
    item(Tick::Lifted, "Hold the rig. Free its feet one by one, then lift.", "Feet torn off can lift loose finish."),
    item(
        Tick::FinishLooked,
        "Look at the finish in light from the side.",
        "A mark is best seen and written down at once.",
    ),
];

const IRON: &[StopItem] = &[
    item(
        Tick::GuitarUnplugged,
        "Guitar unplugged from everything.",
        "A fault in iron or amp can send current through the strings and you.",
    ),
    item(Tick::BatteryOut, "Battery out, if there is one.", "A shorted battery gets hot enough to burn."),
    item(Tick::StringsSafe, "Strings off, or slack and covered.", "A tight string whips when the iron touches it."),
    item(Tick::FinishCovered, "Finish covered with cotton or card.", "One drop of solder marks any finish for good."),
    item(Tick::GlassesOn, "Safety glasses on.", "Solder spits and cut wire flies into eyes."),
    item(Tick::AirMoving, "Window open or fan on, drawing fume away.", "Fume from rosin can cause asthma."),
    item(
        Tick::StandReady,
        "Stand ready, bench clear, children and pets out.",
        "An iron that rolls burns skin and lights paper.",
    ),
];

const SOUND_DOWN: &[StopItem] = &[
    item(Tick::VolumeDown, "Volume down to zero.", "A plug pulled with the sound up hurts ears and speakers."),
    item(Tick::AmpQuiet, "Amp in standby, or off.", "The plug then comes out without a crack."),
    item(Tick::Unplugged, "Cable out of the guitar.", "A cable still in changes every reading at the jack."),
];

impl StopList {
    /// All lists.
    pub const ALL: [Self; 4] = [Self::SoundUp, Self::TakeDown, Self::Iron, Self::SoundDown];

    /// The moment before which it is read.
    #[must_use]
    pub fn before(self) -> Moment {
        match self {
            Self::SoundUp => Moment::SoundUp,
            Self::TakeDown | Self::SoundDown => Moment::TakeDown,
            Self::Iron => Moment::Iron,
        }
    }

    /// Its title.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::SoundUp => "Before the sound comes up",
            Self::TakeDown => "Before you take it down",
            Self::Iron => "Before you light the iron",
            Self::SoundDown => "Before you pull the plug",
        }
    }

    /// All its items, in the order in which they are done.
    #[must_use]
    pub fn items(self) -> &'static [StopItem] {
        match self {
            Self::SoundUp => SOUND_UP,
            Self::TakeDown => TAKE_DOWN,
            Self::Iron => IRON,
            Self::SoundDown => SOUND_DOWN,
        }
    }

    /// The items that this bench needs: an item about a battery falls away where there is none.
    #[must_use]
    pub fn items_for(self, situation: &Situation) -> Vec<&'static StopItem> {
        let needed = |item: &&StopItem| item.tick != Tick::BatteryOut || situation.battery != Some(false);
        self.items().iter().filter(needed).collect()
    }

    /// As a page shows it; `done` answers when an item was ticked, and the words that went with it.
    #[must_use]
    pub fn view(self, situation: &Situation, done: impl Fn(Tick) -> Option<(DateTime<Utc>, String)>) -> OrderView {
        let items = self.items_for(situation);
        let count = items.len();
        let items: Vec<OrderItem> = items
            .into_iter()
            .enumerate()
            .map(|(n, item)| {
                let done = done(item.tick);
                // Whoever said that there is one is not told “if”.
                let there = item.tick == Tick::BatteryOut && situation.battery == Some(true);
                let (say, why) = match item.tick {
                    Tick::BatteryOut if there => ("Battery out.", item.why),
                    Tick::Lifted => lift(situation).unwrap_or((item.say, item.why)),
                    _ => (item.say, item.why),
                };
                OrderItem {
                    tick: item.tick,
                    number: format!("{} of {count}", n + 1),
                    said: say.to_owned(),
                    why: why.to_owned(),
                    spoken: format!("{}. {say} {why}", n + 1),
                    words: done.as_ref().map(|(_, words)| words.clone()).unwrap_or_default(),
                    hold: None,
                    done: done.map(|(at, _)| at),
                }
            })
            .collect();
        let left = || items.iter().filter(|item| item.done.is_none()).map(|item| item.tick);
        let next = left().next();
        // One after the other from the next one on: nothing is skipped over.
        let together: Vec<Tick> = left().take_while(|tick| !tick.alone()).collect();
        OrderView {
            list: self,
            title: self.title().to_owned(),
            spoken: format!("{}. {count} things. Say each one aloud and do it.", self.title()),
            together_said: format!("{} done, each said aloud", places_of(&items, &together)),
            together: if together.len() > 1 { together } else { Vec::new() },
            next,
            waits: None,
            items,
        }
    }
}

/// How a rig is lifted that something else than its feet holds, and why so; nothing where its feet alone do.
fn lift(situation: &Situation) -> Option<(&'static str, &'static str)> {
    let torn = "Feet torn off can lift loose finish.";
    let loose = "It slides as soon as nothing holds it.";
    match (situation.held_by?, situation.slides == Some(true)) {
        (HeldBy::Nothing, _) => None,
        (HeldBy::Strap, true) => Some(("Hold the rig. Loosen the strap, then lift.", loose)),
        (HeldBy::Strap, false) => Some(("Hold the rig. Loosen the strap. Free its feet one by one, then lift.", torn)),
        (HeldBy::Other, true) => Some(("Hold the rig. Undo what holds it, then lift.", loose)),
        (HeldBy::Other, false) => {
            Some(("Hold the rig. Undo what holds it. Free its feet one by one, then lift.", torn))
        }
    }
}

/// Items by their places in the list: `Items 3 to 5`, or `Items 3 and 5`.
fn places_of(items: &[OrderItem], ticks: &[Tick]) -> String {
    let places: Vec<usize> =
        items.iter().enumerate().filter(|(_, item)| ticks.contains(&item.tick)).map(|(n, _)| n + 1).collect();
    match places.as_slice() {
        [] => String::new(),
        [one] => format!("Item {one}"),
        [first, .., last] if places.len() > 2 && last - first + 1 == places.len() => format!("Items {first} to {last}"),
        [others @ .., last] => {
            let others: Vec<String> = others.iter().map(usize::to_string).collect();
            format!("Items {} and {last}", others.join(", "))
        }
    }
}

/// A stop list with its ticks, as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct OrderView {
    /// Which list.
    pub list: StopList,
    /// Its title.
    pub title: String,
    /// What is said aloud before its items.
    pub spoken: String,
    /// Its items, in order.
    pub items: Vec<OrderItem>,
    /// The next item; nothing when all are done.
    pub next: Option<Tick>,
    /// The next items that may be ticked in one act, when there are several: none on which a hold or a clock hangs.
    pub together: Vec<Tick>,
    /// What that act says.
    pub together_said: String,
    /// The hold that the items after the next one wait for; it can be passed by writing why.
    pub waits: Option<HoldView>,
}

/// One item of a stop list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct OrderItem {
    /// Which.
    pub tick: Tick,
    /// `2 of 6`.
    pub number: String,
    /// What to do, as it is said aloud.
    pub said: String,
    /// Why.
    pub why: String,
    /// What is read aloud for it.
    pub spoken: String,
    /// When it was done.
    #[ts(type = "string | null")]
    pub done: Option<DateTime<Utc>>,
    /// Words that went with it.
    pub words: String,
    /// The hold that it clears, while it holds and nobody passed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub hold: Option<HoldView>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::tick::MOST_ITEMS;

    #[test]
    fn a_rig_is_lifted_by_what_holds_it() {
        for (held_by, slides, says) in [
            (None, None, "Hold the rig. Free its feet one by one, then lift."),
            (Some(HeldBy::Nothing), Some(false), "Hold the rig. Free its feet one by one, then lift."),
            (Some(HeldBy::Strap), Some(true), "Hold the rig. Loosen the strap, then lift."),
            (Some(HeldBy::Strap), Some(false), "Hold the rig. Loosen the strap. Free its feet one by one, then lift."),
            (Some(HeldBy::Other), Some(true), "Hold the rig. Undo what holds it, then lift."),
        ] {
            let view = StopList::TakeDown.view(&Situation { held_by, slides, ..Situation::default() }, |_| None);
            let item = view.items.iter().find(|item| item.tick == Tick::Lifted).expect("it is on the list");
            assert_eq!(item.said, says, "{held_by:?} {slides:?}");
            assert!(item.spoken.contains(says) && item.spoken.ends_with(&item.why), "{}", item.spoken);
        }
    }

    #[test]
    fn short_lists_with_reasons() {
        let mut ticks = std::collections::BTreeSet::new();
        for list in StopList::ALL {
            assert!((2..=MOST_ITEMS).contains(&list.items().len()), "{}", list.title());
            for item in list.items() {
                // The way down is a part of the take-down.
                assert!(ticks.insert(item.tick) || list == StopList::SoundDown, "{:?} is there twice", item.tick);
                assert!(!item.say.is_empty() && !item.why.is_empty(), "{:?}", item.tick);
                let words = item.say.split_whitespace().count();
                assert!(words <= 12, "{:?}: {words} words are too many to say aloud", item.tick);
            }
        }
        for (list, ticks) in [
            (StopList::SoundUp, &Tick::SOUND_UP[..]),
            (StopList::TakeDown, &Tick::TAKE_DOWN),
            (StopList::Iron, &Tick::IRON),
            (StopList::SoundDown, &Tick::SOUND_DOWN),
        ] {
            assert_eq!(list.items().iter().map(|item| item.tick).collect::<Vec<_>>(), ticks);
        }
    }

    #[test]
    fn volume_first() {
        // On the way up it is at zero before anything is plugged in; on the way down nothing comes before it.
        let place = |list: StopList, tick: Tick| list.items().iter().position(|item| item.tick == tick);
        assert!(place(StopList::SoundUp, Tick::VolumeAtZero) < place(StopList::SoundUp, Tick::PluggedIn));
        assert!(place(StopList::SoundUp, Tick::PluggedIn) < place(StopList::SoundUp, Tick::SwitchedOn));
        assert_eq!(place(StopList::SoundUp, Tick::RaisedSlowly), Some(StopList::SoundUp.items().len() - 1));
        assert_eq!(place(StopList::TakeDown, Tick::VolumeDown), Some(0));
        assert_eq!(place(StopList::Iron, Tick::GuitarUnplugged), Some(0));
    }

    fn when() -> Option<(DateTime<Utc>, String)> {
        Some((DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default(), String::new()))
    }

    #[test]
    fn done_when_all_that_applies_is_ticked() {
        let without_battery = Situation { battery: Some(false), ..Situation::default() };
        let but_the_battery = |tick| if tick == Tick::BatteryOut { None } else { when() };
        let view = StopList::Iron.view(&without_battery, but_the_battery);
        assert_eq!((view.next, view.items.len()), (None, 6));
        assert_eq!(view.items[0].number, "1 of 6");
        assert_eq!(StopList::Iron.view(&Situation::default(), but_the_battery).next, Some(Tick::BatteryOut));
        assert_eq!(StopList::Iron.view(&Situation::default(), |_| when()).next, None);
    }

    #[test]
    fn a_battery_that_is_there_is_told_without_an_if() {
        for (battery, said) in
            [(None, Some("Battery out, if there is one.")), (Some(true), Some("Battery out.")), (Some(false), None)]
        {
            let view = StopList::Iron.view(&Situation { battery, ..Situation::default() }, |_| None);
            let item = view.items.iter().find(|item| item.tick == Tick::BatteryOut);
            assert_eq!(item.map(|item| item.said.as_str()), said);
            assert!(item.is_none_or(|item| item.spoken.contains(&item.said)));
        }
    }

    #[test]
    fn every_item_is_spoken_with_its_number() {
        let view = StopList::SoundUp.view(&Situation::default(), |_| None);
        assert_eq!(view.spoken, "Before the sound comes up. 6 things. Say each one aloud and do it.");
        assert!(view.items[1].spoken.starts_with("2. Volume at zero"));
    }

    /// For each list: how far it is done, and what may then be ticked in one act.
    #[test]
    fn only_what_nothing_hangs_on_is_ticked_together() {
        use Tick::{AirMoving, AmpQuiet, GlassesOn, LeadsFree, PluggedIn, StandReady, Standby, SwitchedOn, Unplugged};
        let cases: [(StopList, usize, &[Tick]); 8] = [
            (StopList::SoundUp, 0, &[]),
            (StopList::SoundUp, 1, &[]),
            (StopList::SoundUp, 2, &[Standby, PluggedIn, SwitchedOn]),
            (StopList::SoundUp, 4, &[]),
            (StopList::TakeDown, 0, &[]),
            (StopList::TakeDown, 1, &[AmpQuiet, Unplugged, LeadsFree]),
            (StopList::TakeDown, 5, &[]),
            (StopList::Iron, 4, &[GlassesOn, AirMoving, StandReady]),
        ];
        for (list, done, together) in cases {
            let ticked: Vec<Tick> = list.items().iter().take(done).map(|item| item.tick).collect();
            let view = list.view(&Situation::default(), |tick| if ticked.contains(&tick) { when() } else { None });
            assert_eq!(view.together, together, "{list:?} after {done}");
        }
        let view = StopList::SoundUp.view(&Situation::default(), |tick| {
            if matches!(tick, Tick::DryAndWhole | Tick::VolumeAtZero) { when() } else { None }
        });
        assert_eq!(view.together_said, "Items 3 to 5 done, each said aloud");
        let view = StopList::SoundUp.view(&Situation::default(), |tick| {
            if matches!(tick, Tick::DryAndWhole | Tick::VolumeAtZero | Tick::PluggedIn) { when() } else { None }
        });
        assert_eq!(view.together_said, "Items 3 and 5 done, each said aloud");
    }
}
