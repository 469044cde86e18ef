//! What lies between the pickups and the jack: volume and tone pots, and the selector.

use crate::record::controls::{Selector, SelectorPosition, VolumeLayout};
use crate::record::guitar::Controls;
use crate::record::quantity::Ohms;
use crate::record::wiring::BySelector;

/// How far a pot's track lies from its stated value (common practice, no source).
pub const POT_WITHIN: f64 = 0.20;

/// The whole path from the pickups to the jack, as it is computed with.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalPath {
    /// How the volumes are laid out.
    pub layout: VolumeLayout,
    /// The shared volume pot, in ohms; nothing when not known.
    pub volume: Option<Ohms>,
    /// The shared tone pot, in ohms; nothing when there is none or it is not known.
    pub tone: Option<Ohms>,
    /// The positions; never empty. A guitar without a selector has one, with an empty name, that puts out every place.
    pub positions: Vec<SelectorPosition>,
}

impl SignalPath {
    /// From a guitar's controls. `places` are the places that hold a pickup: without a selector they are all heard
    /// together, as they are where one place only is fitted.
    #[must_use]
    pub fn new(controls: &Controls, layout: &VolumeLayout, selector: Option<&Selector>, places: &[String]) -> Self {
        let positions = match selector {
            Some(selector) if !selector.positions.is_empty() => selector.positions.clone(),
            _ => vec![SelectorPosition { name: String::new(), places: places.to_vec() }],
        };
        Self { layout: layout.clone(), volume: controls.volume, tone: controls.tone, positions }
    }

    /// With the positions of a plan in which two pickups stand in a row: one that the guitar's record does not have comes last.
    #[must_use]
    pub fn with(mut self, by: Option<&BySelector>) -> Self {
        if let Some(row) = by.and_then(|by| by.row.as_ref()) {
            let both = vec![row.upper.clone(), row.lower.clone()];
            match self.positions.iter_mut().find(|position| position.name == row.position) {
                Some(position) => position.places = both,
                None => self.positions.push(SelectorPosition { name: row.position.clone(), places: both }),
            }
        }
        self
    }

    /// The position with this name.
    #[must_use]
    pub fn position(&self, name: &str) -> Option<&SelectorPosition> {
        self.positions.iter().find(|position| position.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(places: &[&str]) -> Vec<String> {
        places.iter().map(|place| (*place).to_owned()).collect()
    }

    #[test]
    fn the_usual_selectors() {
        assert_eq!(Selector::usual(&names(&["bridge"])), None);
        let of = |places: &[&str]| -> Vec<String> {
            let selector = Selector::usual(&names(places)).expect("two places have a selector");
            selector.positions.into_iter().map(|position| position.name).collect()
        };
        assert_eq!(of(&["neck", "bridge"]), ["neck", "neck and bridge", "bridge"]);
        assert_eq!(
            of(&["neck", "middle", "bridge"]),
            ["neck", "neck and middle", "middle", "middle and bridge", "bridge"]
        );
    }

    #[test]
    fn without_a_selector_every_place_is_put_out() {
        let controls = Controls { volume: Some(Ohms(5e5)), tone: None, ..Controls::default() };
        let path = SignalPath::new(&controls, &VolumeLayout::default(), None, &names(&["bridge"]));
        assert_eq!(path.positions.len(), 1);
        assert_eq!(path.positions[0].places, ["bridge"]);
        let empty = Selector { positions: Vec::new() };
        assert_eq!(path, SignalPath::new(&controls, &VolumeLayout::default(), Some(&empty), &names(&["bridge"])));
    }
}
