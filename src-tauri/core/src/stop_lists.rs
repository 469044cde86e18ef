//! Stop lists: short lists that are read and done, item by item, before a risky act.
//!
//! At most seven items each, as the manual of the WHO Surgical Safety Checklist advises: few items, said aloud, at a
//! point where work pauses. A list that grows is skipped.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::cautions::{Moment, Situation};

/// The most items a stop list may have.
pub const MOST_ITEMS: usize = 7;

/// Which stop list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum StopList {
    /// Before the sound comes up.
    SoundUp,
    /// Before the rig is taken down.
    TakeDown,
    /// Before the iron is switched on.
    Iron,
}

/// One item of a stop list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StopItem {
    /// Its name for good: ticks in a logbook refer to it.
    pub id: &'static str,
    /// What to do, as it is said aloud.
    pub say: &'static str,
    /// Why.
    pub why: &'static str,
}

const fn item(id: &'static str, say: &'static str, why: &'static str) -> StopItem {
    StopItem { id, say, why }
}

const SOUND_UP: &[StopItem] = &[
    item(
        "dry_and_whole",
        "Hands and floor dry. Mains leads whole.",
        "Damp or a bare wire turns a small fault into a deadly shock.",
    ),
    item("volume_at_zero", "Volume at zero, on the amp and the guitar.", "Nothing can bang through an amp at zero."),
    item("standby", "Amp in standby, or off.", "A plug going in makes a crack. The speaker need not hear it."),
    item(
        "plugged_in",
        "Plug into the rig first, then into the amp.",
        "A loose cable on a live amp hums and bangs when it is touched.",
    ),
    item("switched_on", "Switch the amp on.", "Now all is joined and nothing moves any more."),
    item(
        "raised_slowly",
        "Raise the volume slowly. Stop while you can still talk over it.",
        "You hear a fault while it is still quiet.",
    ),
];

const TAKE_DOWN: &[StopItem] = &[
    item("volume_down", "Volume down to zero.", "A terminal touched with the sound up hurts ears and speakers."),
    item("amp_quiet", "Amp in standby, or off.", "The plug then comes out without a crack."),
    item("unplugged", "Cable out of the rig.", "A cable still in drags the rig over the finish."),
    item(
        "leads_free",
        "Open the terminals and take the leads out.",
        "A pickup lifted by its leads tears its coil wire.",
    ),
    item("lifted", "Hold the rig. Free its feet one by one, then lift.", "Feet torn off can lift loose finish."),
    item(
        "finish_looked",
        "Look at the finish in light from the side.",
        "A mark is best seen and written down at once.",
    ),
];

const IRON: &[StopItem] = &[
    item(
        "guitar_unplugged",
        "Guitar unplugged from everything.",
        "A fault in iron or amp can send current through the strings and you.",
    ),
    item("battery_out", "Battery out, if there is one.", "A shorted battery gets hot enough to burn."),
    item("strings_safe", "Strings off, or slack and covered.", "A tight string whips when the iron touches it."),
    item("finish_covered", "Finish covered with cotton or card.", "One drop of solder marks any finish for good."),
    item("glasses_on", "Safety glasses on.", "Solder spits and cut wire flies into eyes."),
    item("air_moving", "Window open or fan on, drawing fume away.", "Fume from rosin can cause asthma."),
    item(
        "stand_ready",
        "Stand ready, bench clear, children and pets out.",
        "An iron that rolls burns skin and lights paper.",
    ),
];

impl StopList {
    /// All lists.
    pub const ALL: [Self; 3] = [Self::SoundUp, Self::TakeDown, Self::Iron];

    /// The moment before which it is read.
    #[must_use]
    pub fn before(self) -> Moment {
        match self {
            Self::SoundUp => Moment::SoundUp,
            Self::TakeDown => Moment::TakeDown,
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
        }
    }

    /// All its items, in the order in which they are done.
    #[must_use]
    pub fn items(self) -> &'static [StopItem] {
        match self {
            Self::SoundUp => SOUND_UP,
            Self::TakeDown => TAKE_DOWN,
            Self::Iron => IRON,
        }
    }

    /// The items that this bench needs: an item about a battery falls away where there is none.
    #[must_use]
    pub fn items_for(self, situation: &Situation) -> Vec<&'static StopItem> {
        self.items().iter().filter(|item| item.id != "battery_out" || situation.battery != Some(false)).collect()
    }

    /// As a page shows it; `ticked` says whether an item's tick is in the log.
    #[must_use]
    pub fn view(self, situation: &Situation, ticked: impl Fn(&str) -> bool) -> StopListView {
        let items = self.items_for(situation);
        let count = items.len();
        let items: Vec<StopItemView> = items
            .into_iter()
            .enumerate()
            .map(|(n, item)| StopItemView {
                id: item.id.to_owned(),
                number: format!("{} of {count}", n + 1),
                say: item.say.to_owned(),
                why: item.why.to_owned(),
                spoken: format!("{}. {} {}", n + 1, item.say, item.why),
                ticked: ticked(item.id),
            })
            .collect();
        StopListView {
            list: self,
            title: self.title().to_owned(),
            spoken: format!("{}. {count} things. Say each one aloud and do it.", self.title()),
            done: items.iter().all(|item| item.ticked),
            items,
        }
    }
}

/// A stop list as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct StopListView {
    /// Which list.
    pub list: StopList,
    /// Its title.
    pub title: String,
    /// What is said aloud before its items.
    pub spoken: String,
    /// Its items, in order.
    pub items: Vec<StopItemView>,
    /// Whether every item is ticked.
    pub done: bool,
}

/// One item as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct StopItemView {
    /// Its name for good.
    pub id: String,
    /// `2 of 6`.
    pub number: String,
    /// What to do.
    pub say: String,
    /// Why.
    pub why: String,
    /// What is said aloud for it.
    pub spoken: String,
    /// Whether its tick is in the log.
    pub ticked: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_lists_with_reasons() {
        let mut ids = std::collections::BTreeSet::new();
        for list in StopList::ALL {
            assert!((2..=MOST_ITEMS).contains(&list.items().len()), "{}", list.title());
            for item in list.items() {
                assert!(ids.insert(item.id), "{} is there twice", item.id);
                assert!(!item.say.is_empty() && !item.why.is_empty(), "{}", item.id);
                let words = item.say.split_whitespace().count();
                assert!(words <= 12, "{}: {words} words are too many to say aloud", item.id);
            }
        }
    }

    #[test]
    fn volume_first() {
        // On the way up it is at zero before anything is plugged in; on the way down nothing comes before it.
        let place = |list: StopList, id: &str| list.items().iter().position(|item| item.id == id);
        assert!(place(StopList::SoundUp, "volume_at_zero") < place(StopList::SoundUp, "plugged_in"));
        assert!(place(StopList::SoundUp, "plugged_in") < place(StopList::SoundUp, "switched_on"));
        assert_eq!(place(StopList::SoundUp, "raised_slowly"), Some(StopList::SoundUp.items().len() - 1));
        assert_eq!(place(StopList::TakeDown, "volume_down"), Some(0));
        assert_eq!(place(StopList::Iron, "guitar_unplugged"), Some(0));
    }

    #[test]
    fn done_when_all_that_applies_is_ticked() {
        let without_battery = Situation { battery: Some(false), ..Situation::default() };
        let view = StopList::Iron.view(&without_battery, |id| id != "battery_out");
        assert!(view.done);
        assert_eq!(view.items.len(), 6);
        assert_eq!(view.items[0].number, "1 of 6");
        assert!(!StopList::Iron.view(&Situation::default(), |id| id != "battery_out").done);
        assert!(StopList::Iron.view(&Situation::default(), |_| true).done);
    }

    #[test]
    fn every_item_is_spoken_with_its_number() {
        let view = StopList::SoundUp.view(&Situation::default(), |_| false);
        assert_eq!(view.spoken, "Before the sound comes up. 6 things. Say each one aloud and do it.");
        assert!(view.items[1].spoken.starts_with("2. Volume at zero"));
    }
}
