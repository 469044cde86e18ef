//! The circuit as sound goes through it: windings, pots at any position, capacitors, to the jack.

use super::{
    EARTHS, ENDS, GROUND, GROUND_POINT, GROUNDS, HOTS, InstallCircuit, JackLook, Joint, Knobs, LUGS, Layout, OUT,
    POINTS, SHARED_WIPER, SLEEVE, TIP, TOPS, WIPERS,
};
use crate::network::{Network, Winding};
use crate::record::controls::TrackWiring;
use crate::record::pickup::CoilName;
use crate::record::quantity::Ohms;
use crate::response::{Pots, Values};

/// How a selector and what stands beside it join the places.
#[derive(Debug, Clone, Copy)]
pub(in crate::wiring) enum Together<'a> {
    /// As a position of the selector does.
    Selected(&'a str),
    /// The new pickup alone stands on one that stays, at this number: both in a row.
    Row(u8),
}

/// A pickup that stays, between its own two nodes.
pub(in crate::wiring) trait Sounds {
    /// Puts it there; answers its windings with what each hears, nothing when its values are not known.
    fn lay(&self, network: &mut Network, ground: usize, hot: usize) -> Option<Vec<(Winding, f64)>>;
}

/// The circuit from all windings to the jack.
pub(in crate::wiring) struct AtJack {
    pub network: Network,
    /// The windings, each with what it hears.
    pub induced: Vec<(Winding, f64)>,
    /// The jack's two nodes.
    pub jack: (usize, usize),
}

impl InstallCircuit {
    /// The network from all windings to the jack, what each winding hears, and the jack's two nodes. `pots` are those of each
    /// place by number, the shared ones at 0; `blend` is a place and what lies between it and the output.
    pub(in crate::wiring) fn sounding(
        &self,
        (together, switch): (Together, &str),
        (values, heard): (&Values, impl Fn(CoilName) -> f64),
        staying: &[&dyn Sounds],
        (pots, blend): (&[Pots], Option<(u8, Ohms)>),
    ) -> Option<AtJack> {
        let row = if let Together::Row(place) = together { Some(place) } else { None };
        let selector = match together {
            Together::Selected(name) => self.selector_position(name)?,
            Together::Row(_) => u8::MAX,
        };
        let look = JackLook {
            selector,
            switch: if row.is_some() && self.by_selector { 0 } else { self.switch_position(switch, selector)? },
            knobs: Knobs::Full,
            port: (TIP, SLEEVE),
            not_full: false,
            plugged: false,
        };
        let node = usize::from;
        let mut made = self.planned;
        made.open = row.map(|_| Joint::Earth);
        let mut network = self.joints_alone(&made, &look);
        if row.is_some() {
            network.bond(node(LUGS), node(OUT));
        }
        if let Some((place, ohms)) = blend {
            network.resistance(node(LUGS + place), node(OUT), ohms.0);
        }
        self.lay_pots(&mut network, pots);
        let ends = |at: u8| (node(ENDS + 2 * at), node(ENDS + 2 * at + 1));
        let coils: Vec<_> = (0_u8..).zip(&self.coils).map(|(at, name)| (*name, ends(at).0, ends(at).1)).collect();
        let windings = values.wind(&mut network, &coils)?;
        let mut induced: Vec<(Winding, f64)> =
            windings.into_iter().zip(&self.coils).map(|(winding, name)| (winding, heard(*name))).collect();
        for (place, pickup) in (1_u8..).zip(staying).take(self.places.len().saturating_sub(1)) {
            let hot = if row == Some(place) { node(POINTS + GROUND_POINT) } else { node(HOTS + place) };
            let ground = if row == Some(place) { node(GROUND) } else { node(GROUNDS + place) };
            match pickup.lay(&mut network, ground, hot) {
                Some(windings) => induced.extend(windings),
                // One that is not known must not be heard, nor load what is.
                None if row == Some(place) || self.selects(selector, place) => return None,
                None => {}
            }
        }
        Some(AtJack { network, induced, jack: (node(TIP), node(SLEEVE)) })
    }

    fn selects(&self, selector: u8, place: u8) -> bool {
        self.selector.get(usize::from(selector)).is_some_and(|(_, places)| places.contains(&place))
    }

    fn lay_pots(&self, network: &mut Network, pots: &[Pots]) {
        let node = usize::from;
        let none = Pots::none();
        let of = |pot: u8| pots.get(usize::from(pot)).unwrap_or(&none);
        match self.layout {
            Layout::Shared => {
                let ends = [node(OUT), node(SHARED_WIPER)];
                of(0).between(network, ends, node(EARTHS), ends);
            }
            // Without a volume there may be a tone all the same.
            Layout::NoVolume => {
                let ends = [node(OUT); 2];
                Pots { volume: None, bleed: None, ..*of(0) }.between(network, ends, node(GROUND), ends);
            }
            Layout::Each(track) => {
                for pot in 0..self.pots() {
                    let ends = [node(TOPS + pot), node(WIPERS + pot)];
                    let ways = match track {
                        TrackWiring::PickupOnTrack | TrackWiring::NotKnown => ends,
                        TrackWiring::PickupOnWiper => [ends[1], ends[0]],
                    };
                    of(pot).between(network, ends, node(EARTHS + pot), ways);
                }
            }
        }
    }
}
