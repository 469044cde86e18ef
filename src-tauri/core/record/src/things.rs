//! Pickups, guitars and rigs as their entries tell them: described, described again, retired, brought back.

use chrono::{DateTime, Utc};

use crate::body::{Body, StayBody, ThingBody};
use crate::entry::{Entry, Written};
use crate::guitar::Guitar;
use crate::meter::OwnMeter;
use crate::names::DEMO_BENCH;
use crate::pickup::Pickup;
use crate::rig::Rig;

/// One of the three things that can be described.
pub trait Described: Clone {
    /// The description in an entry, if it is of this thing.
    fn described_in(body: &ThingBody) -> Option<&Self>;
    /// What its owner calls it.
    fn label(&self) -> &str;
    /// Takes over what came to live in it since.
    fn change(&mut self, _body: &StayBody) {}
}

impl Described for Pickup {
    fn described_in(body: &ThingBody) -> Option<&Self> {
        if let ThingBody::PickupDescribed { pickup } = body { Some(pickup) } else { None }
    }

    fn label(&self) -> &str {
        &self.label
    }
}

impl Described for Guitar {
    fn described_in(body: &ThingBody) -> Option<&Self> {
        if let ThingBody::GuitarDescribed { guitar } = body { Some(guitar) } else { None }
    }

    fn label(&self) -> &str {
        &self.label
    }

    fn change(&mut self, body: &StayBody) {
        if let StayBody::Fitted { place, pickup, words, .. } = body
            && let Some(at) = self.places.iter_mut().find(|at| at.name == *place)
        {
            at.fitted = *pickup;
            at.fitted_words.clone_from(words);
        }
    }
}

impl Described for Rig {
    fn described_in(body: &ThingBody) -> Option<&Self> {
        if let ThingBody::RigDescribed { rig } = body { Some(rig) } else { None }
    }

    fn label(&self) -> &str {
        &self.label
    }
}

impl Described for OwnMeter {
    fn described_in(body: &ThingBody) -> Option<&Self> {
        if let ThingBody::MeterDescribed { meter } = body { Some(meter) } else { None }
    }

    fn label(&self) -> &str {
        &self.label
    }
}

/// A thing as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Thing<T> {
    /// Its newest description.
    pub described: T,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
    /// When it was written down first.
    pub first: DateTime<Utc>,
    /// When it was written about last.
    pub last: DateTime<Utc>,
    /// How many entries a newer version wrote about it.
    pub newer: usize,
}

impl<T: Described> Thing<T> {
    /// Folds the entries about one thing, as [`in_order`](crate::entry::in_order) sorts them; nothing when none of them describes it.
    pub fn fold<'a>(ordered: impl IntoIterator<Item = &'a (Entry, bool)>) -> Option<Self> {
        let mut thing: Option<Self> = None;
        let (mut retired, mut newer) = (false, 0);
        for (entry, struck) in ordered {
            let body = match &entry.body {
                Written::Newer { .. } => {
                    newer += 1;
                    continue;
                }
                Written::Known(_) if *struck => continue,
                Written::Known(body) => body,
            };
            match body {
                Body::Thing(body) => {
                    match body {
                        ThingBody::Retired { .. } => retired = true,
                        ThingBody::BroughtBack {} => retired = false,
                        ThingBody::PickupDescribed { .. }
                        | ThingBody::GuitarDescribed { .. }
                        | ThingBody::RigDescribed { .. }
                        | ThingBody::MeterDescribed { .. }
                        | ThingBody::BenchNamed { .. } => {}
                    }
                    match (T::described_in(body), &mut thing) {
                        (None, _) => {}
                        (Some(described), Some(thing)) => thing.described = described.clone(),
                        (Some(described), None) => {
                            thing = Some(Self {
                                described: described.clone(),
                                retired: false,
                                demo: entry.bench == DEMO_BENCH,
                                first: entry.at,
                                last: entry.at,
                                newer: 0,
                            });
                        }
                    }
                }
                Body::Stay(body) => {
                    if let Some(thing) = &mut thing {
                        thing.described.change(body);
                    }
                }
                // These change no description; strike-outs were applied when the entries were put in order.
                Body::Leads(_)
                | Body::Measured(_)
                | Body::Audition(_)
                | Body::Listening(_)
                | Body::Comparison(_)
                | Body::Blind(_)
                | Body::Bench(_)
                | Body::Install(_)
                | Body::Take(_)
                | Body::Strike(_) => {}
            }
            if let Some(thing) = &mut thing {
                thing.last = entry.at;
            }
        }
        thing.map(|thing| Self { retired, newer, ..thing })
    }
}
