//! A hookup in words.

use super::{Against, ModeHookup, as_hooked_up, lead_in_words};
use crate::leads::sound::{Phase, Sound, adds, cancels, hum_in_words, shares_magnets};
use crate::meter::Joined;
use crate::meter::circuit::RigCircuit;
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::rig::{Mode, Rig};
use crate::record::words::{capital, listed};

/// What a mode does, in a sentence. `seen` says what the output sees.
pub(super) fn mode(pickup: &Pickup, mode: &Mode, seen: &str, sound: &Sound, shorted: bool) -> String {
    let left = sound.hum.left();
    let against_hum = left.is_none_or(|left| !adds(left));
    let stacked = pickup.construction == Construction::Stacked;
    let tapped = pickup.construction == Construction::TappedCoil;
    let met = match sound.strings {
        Phase::Silent => return format!("{}: no sound from this pickup on this rig.", mode.0),
        Phase::OutOfPhase if shorted => "out of phase, thin and weak, and a part of it shorted: leave this mode out",
        _ if shorted => "its other part shorted, which dulls the sound: leave this mode out",
        Phase::OneCoil if tapped => "fewer turns, less output",
        Phase::InPhase if tapped => "all its turns",
        Phase::OneCoil if stacked && sound.hears != [CoilName::A] => {
            "the lower coil alone, which hardly hears the strings"
        }
        Phase::OneCoil => "one coil alone",
        Phase::InPhase if stacked && left.is_some_and(|left| against_hum && !cancels(left)) => {
            "hooked up against hum, too unlike to cancel it"
        }
        Phase::InPhase if stacked && against_hum => "hooked up against hum, which takes a little of the sound away",
        Phase::InPhase if stacked => "full, and the hum of both coils adds",
        Phase::InPhase => "in phase",
        Phase::OutOfPhase => "out of phase, thin and weak",
    };
    format!("{}: {seen}, {met}, {}.", mode.0, hum_in_words(left))
}

/// Which rule leads, and what hum is weighed by.
pub(super) fn rule(pickup: &Pickup, measured: bool) -> String {
    if pickup.construction == Construction::TappedCoil {
        return "One winding does not cancel hum, whichever part of it is heard.".to_owned();
    }
    if pickup.coils.len() < 2 {
        return "One coil alone does not cancel hum.".to_owned();
    }
    let leads = if shares_magnets(pickup.construction) {
        "Hum leads: a stack shares its magnets, so the lower coil goes in the other way round. It cancels hum and takes a little of \
         the string's sound with it."
    } else {
        "Strings lead: all coils are hooked up to swing the same way. Where their magnets are opposite, hum is cancelled too."
    };
    let weighed = if measured {
        "How much hum is left is worked out from the coils' resistances, which stand in for their turns."
    } else {
        "For the hum its coils are taken to be alike; measured, they tell how much is left."
    };
    format!("{leads} {weighed}")
}

/// Leads in terminals, and what the modes do with them.
pub(super) struct On<'a> {
    pub pickup: &'a Pickup,
    pub rig: &'a Rig,
    pub joined: &'a [Joined],
    pub circuit: &'a RigCircuit,
    pub modes: &'a [ModeHookup],
    pub left_off: &'a [LeadName],
}

impl On<'_> {
    /// Where things stand, in a sentence or two.
    pub fn sentence(&self) -> String {
        let pickup = self.pickup;
        if pickup.leads.is_empty() || pickup.leads.iter().all(|lead| lead.ends.is_empty()) {
            return "Which lead is which is not known yet. Find out the leads first.".to_owned();
        }
        let mut sentence = "This is the hookup.".to_owned();
        let unknown: Vec<&LeadName> =
            pickup.leads.iter().filter(|lead| lead.ends.is_empty()).map(|lead| &lead.name).collect();
        let full = (0..self.circuit.terminals.len())
            .all(|at| self.joined.iter().any(|here| usize::from(here.terminal) == at && !here.leads.is_empty()));
        if !unknown.is_empty() {
            sentence = format!("This is the hookup as far as it is known; not of {}.", listed(&unknown));
        } else if !self.left_off.is_empty() && full {
            sentence.push_str(&format!(
                " {} {} off the block: its {} terminals are taken. Fold it back and insulate its end; do not cut it.",
                listed(self.left_off),
                if self.left_off.len() == 1 { "stays" } else { "stay" },
                self.circuit.terminals.len()
            ));
        } else if !self.left_off.is_empty() {
            sentence.push_str(&format!(" Still to be put in: {}.", listed(self.left_off)));
        }
        let silent = self.named(|mode| mode.strings == Phase::Silent);
        if !silent.is_empty() {
            sentence.push_str(&format!(" No sound in {}.", listed(&silent)));
        }
        let out = self.named(|mode| mode.strings == Phase::OutOfPhase);
        if !out.is_empty() {
            sentence.push_str(&format!(" Out of phase in {}: {}.", listed(&out), self.why_out()));
        }
        let hums = self.named(|mode| self.hum_adds(mode));
        if !hums.is_empty() {
            sentence.push_str(&format!(" Hum adds in {}: {}.", listed(&hums), self.why_it_hums()));
        }
        sentence
    }

    /// Whether coils work against each other, or hum adds where it could cancel.
    pub fn amiss(&self) -> bool {
        self.modes.iter().any(|mode| mode.strings == Phase::OutOfPhase || self.hum_adds(mode))
    }

    /// That the pickup as a whole is in the other way round than its record means it. Alone nobody hears that, beside another
    /// pickup it counts; so it is told, and nothing waits for it.
    pub fn turned(&self) -> Option<String> {
        // Coils against each other, or ends that nobody has told, are said already.
        if self.circuit.assumed || self.modes.iter().any(|mode| mode.strings == Phase::OutOfPhase) {
            return None;
        }
        let swings = |circuit: &RigCircuit| -> Vec<(usize, bool)> {
            let plus = |at: usize| super::conditions(self.pickup, circuit, at, None).plus;
            (0..circuit.positions.len()).filter_map(|at| Some((at, plus(at)?))).collect()
        };
        let all_to_minus = |swings: &[(usize, bool)]| !swings.is_empty() && swings.iter().all(|(_, plus)| !plus);
        let here = swings(self.circuit);
        let (first, _) = *here.first().filter(|_| all_to_minus(&here))?;
        let best = super::arrange::best(self.pickup, self.rig);
        if best == self.joined || all_to_minus(&swings(&RigCircuit::new(self.pickup, &best, self.rig))) {
            return None;
        }
        let at_ground = |lead: &LeadName| {
            self.circuit.comes_out(&self.circuit.meant, lead, first).is_some_and(|[ground, _]| ground)
        };
        let leads = self.pickup.leads.iter().filter(|lead| !lead.ends.is_empty() && at_ground(&lead.name));
        let leads: Vec<String> = leads.map(|lead| lead_in_words(self.pickup, &Contact::from(&lead.name))).collect();
        let are = if leads.len() == 1 { "is" } else { "are" };
        let turned = "turned round against the record. Alone it sounds the same, and an install follows what is in the terminals.";
        (!leads.is_empty()).then(|| capital(&format!("{} {are} at ground: {turned}", listed(&leads))))
    }

    fn named(&self, test: impl Fn(&ModeHookup) -> bool) -> Vec<String> {
        self.modes.iter().filter(|mode| test(mode)).map(|mode| mode.mode.0.clone()).collect()
    }

    /// Whether the coils of a stack are hooked up so that their hum adds.
    fn hum_adds(&self, mode: &ModeHookup) -> bool {
        self.pickup.construction == Construction::Stacked && mode.hears.len() > 1 && mode.hum_left.is_some_and(adds)
    }

    /// Two leads that mend it when they are exchanged: each mode as good as it was or better, and none of those that were bad.
    fn to_exchange(&self, bad: impl Fn(&ModeHookup) -> bool) -> Option<[&LeadName; 2]> {
        let placed: Vec<(&LeadName, bool)> = self
            .pickup
            .leads
            .iter()
            .filter(|lead| self.joined.iter().any(|here| here.leads.iter().any(|other| other.is(&lead.name))))
            .map(|lead| {
                let bound = self.pickup.joined_to_leads().iter().any(|(_, other)| **other == lead.name);
                (&lead.name, bound)
            })
            .collect();
        let coil_of = |name: &LeadName| {
            let lead = self.pickup.leads.iter().find(|lead| lead.name == *name);
            lead.and_then(|lead| lead.ends.first()).map(|end| end.coil)
        };
        let mut pairs: Vec<[(&LeadName, bool); 2]> = (0..placed.len())
            .flat_map(|a| (a + 1..placed.len()).map(move |b| [a, b]))
            .map(|pair| pair.map(|at| placed[at]))
            .collect();
        // The two ends of one coil first, the last coil first, and none that shield or frame hangs on.
        pairs.sort_by_key(|[one, other]| {
            (one.1 || other.1, coil_of(one.0) != coil_of(other.0), std::cmp::Reverse(coil_of(one.0)))
        });
        pairs.into_iter().map(|pair| pair.map(|(name, _)| name)).find(|[one, other]| {
            let exchanged: Vec<Joined> = self
                .joined
                .iter()
                .map(|here| {
                    let leads = here.leads.iter().map(|lead| match lead {
                        lead if lead.is(one) => Contact::from(*other),
                        lead if lead.is(other) => Contact::from(*one),
                        lead => lead.clone(),
                    });
                    Joined { terminal: here.terminal, leads: leads.collect() }
                })
                .collect();
            let circuit = RigCircuit::new(self.pickup, &exchanged, self.rig);
            let after = |position: usize| super::one_mode(self.pickup, &circuit, position, None);
            self.modes.iter().enumerate().all(|(position, before)| {
                let after = after(position);
                let worse = after.strings == Phase::OutOfPhase
                    || (after.strings == Phase::Silent && before.strings != Phase::Silent)
                    || after.hears.len() < before.hears.len();
                !bad(&after) && !worse
            })
        })
    }

    /// Why coils work against each other, and what mends it.
    fn why_out(&self) -> String {
        self.why(|mode| mode.strings == Phase::OutOfPhase)
    }

    /// Why a mode is as bad as that, and what mends it: two leads to exchange, or all of them put in as suggested.
    fn why(&self, bad: impl Fn(&ModeHookup) -> bool) -> String {
        if let Some([one, other]) = self.to_exchange(&bad) {
            return self.exchange(one, other);
        }
        let best = super::arrange::best(self.pickup, self.rig);
        if best != self.joined {
            let suggested = as_hooked_up(self.pickup, self.rig, &best, &[]);
            if !suggested.modes.iter().any(bad) {
                let places = suggested.places.iter().filter(|place| !place.leads.is_empty());
                let places: Vec<String> =
                    places.map(|place| format!("{} to terminal {}", listed(&place.leads), place.name)).collect();
                return format!("put {}", listed(&places));
            }
        }
        if self.joined_inside() {
            "this pickup is joined so inside".to_owned()
        } else {
            "this rig joins it so".to_owned()
        }
    }

    /// Those of these modes in which coils work against each other, and what mends it where the leads are soldered.
    pub fn against(&self, wanted: &[Mode]) -> Option<Against> {
        let fights = |mode: &ModeHookup| mode.strings == Phase::OutOfPhase && wanted.contains(&mode.mode);
        let modes: Vec<Mode> = self.modes.iter().filter(|mode| fights(mode)).map(|mode| mode.mode.clone()).collect();
        if modes.is_empty() {
            return None;
        }
        if let Some([one, other]) = self.to_exchange(fights) {
            return Some(Against { modes, mend: capital(&format!("{}.", self.exchange(one, other))) });
        }
        let suggested = as_hooked_up(self.pickup, self.rig, &super::arrange::best(self.pickup, self.rig), &[]);
        if !suggested.modes.iter().any(fights) {
            let lines = self.rig.positions.iter().zip(&suggested.install);
            let lines = lines.filter(|(position, _)| modes.contains(&position.mode)).map(|(_, line)| line.as_str());
            let mend = format!("By its record it goes like this. {}", lines.map(capital).collect::<Vec<_>>().join(" "));
            return Some(Against { modes, mend });
        }
        let mend = "They are joined so inside the pickup; with the leads that come out it can't be mended.".to_owned();
        self.joined_inside().then_some(Against { modes, mend })
    }

    fn why_it_hums(&self) -> String {
        self.why(|mode| self.hum_adds(mode))
    }

    fn exchange(&self, one: &LeadName, other: &LeadName) -> String {
        let said = |lead: &LeadName| lead_in_words(self.pickup, &Contact::from(lead));
        format!("exchange {} and {}", said(one), said(other))
    }

    /// Whether ends of different coils are joined inside the pickup.
    fn joined_inside(&self) -> bool {
        let leads = self.pickup.leads.iter().map(|lead| &lead.ends);
        leads.chain(&self.pickup.joined_inside).any(|ends| ends.iter().any(|end| end.coil != ends[0].coil))
    }

    /// Where a lead comes out that shield or frame is joined to.
    pub fn ground(&self) -> Vec<String> {
        let heard = |mode: &&ModeHookup| mode.strings != Phase::Silent;
        let mut sentences: Vec<String> = Vec::new();
        for (what, lead) in self.pickup.joined_to_leads() {
            let comes_out = |position: usize| self.circuit.comes_out(&self.circuit.meant, lead, position);
            let modes = |test: &dyn Fn([bool; 2]) -> bool| -> Vec<String> {
                let those = self.modes.iter().enumerate().filter(|(_, mode)| heard(mode));
                let those = those.filter(|(position, _)| comes_out(*position).is_some_and(test));
                those.map(|(_, mode)| mode.mode.0.clone()).collect()
            };
            let (grounded, not) = (modes(&|[ground, _]| ground), modes(&|[ground, _]| !ground));
            let joined = format!("{what} is joined to {lead} inside");
            if not.is_empty() {
                if !grounded.is_empty() {
                    sentences.push(capital(&format!("{joined}, so {lead} goes to ground, the sleeve of the output.")));
                }
            } else {
                sentences.push(capital(&format!(
                    "{joined}, and {lead} is not at ground in {}. {} is live there: it hums, and crackles when it is touched. That \
                     can't be had otherwise with these leads, unless somebody parts it from {lead} and grounds it by a wire of its own.",
                    listed(&not),
                    capital(what)
                )));
            }
        }
        // What this very hookup misses and another would give is no fault of the pickup.
        if self.modes.iter().any(|mode| mode.grounded == Some(false) && mode.strings != Phase::Silent) {
            let grounded = |modes: &[ModeHookup]| {
                modes.iter().filter(|mode| mode.grounded == Some(true) && mode.strings != Phase::Silent).count()
            };
            let best = super::arrange::best(self.pickup, self.rig);
            if best != self.joined {
                let map = as_hooked_up(self.pickup, self.rig, &best, &[]);
                if grounded(&map.modes) > grounded(self.modes) {
                    for sentence in &mut sentences {
                        if let Some(at) = sentence.find(" That can't be had otherwise") {
                            sentence.truncate(at);
                            sentence.push_str(" Put the leads in as suggested.");
                        }
                    }
                }
            }
        }
        sentences
    }

    /// Per mode: what goes to ground, what to hot, what is joined and insulated, what stays free.
    pub fn install(&self) -> Vec<String> {
        self.rig
            .positions
            .iter()
            .zip(self.modes)
            .map(|(position, mode)| {
                if mode.strings == Phase::Silent {
                    return format!("{}: not possible with this pickup.", mode.mode.0);
                }
                let mut groups: Vec<Vec<u8>> =
                    (0..self.rig.terminals.len()).filter_map(|t| u8::try_from(t).ok()).map(|t| vec![t]).collect();
                for bond in &position.bonds {
                    let (mut together, apart): (Vec<_>, Vec<_>) =
                        groups.into_iter().partition(|group| group.iter().any(|terminal| bond.contains(terminal)));
                    let one: Vec<u8> = together.drain(..).flatten().collect();
                    groups = apart;
                    groups.push(one);
                }
                groups.sort();
                let leads = |group: &[u8]| -> Vec<Contact> {
                    self.joined
                        .iter()
                        .filter(|here| group.contains(&here.terminal))
                        .flat_map(|here| here.leads.clone())
                        .collect()
                };
                let [ground, tip] = position.output;
                let mut parts = Vec::new();
                for (terminal, where_to) in [(ground, "ground"), (tip, "the switch or the hot")] {
                    for group in groups.iter().filter(|group| group.contains(&terminal)) {
                        parts.push(format!("{} to {where_to}", listed(&leads(group))));
                    }
                }
                for group in groups.iter().filter(|group| !group.contains(&ground) && !group.contains(&tip)) {
                    match leads(group).as_slice() {
                        [] => {}
                        [one] => parts.push(format!("{one} folded back and insulated")),
                        many => parts.push(format!("{} joined to each other and insulated", listed(many))),
                    }
                }
                if !self.left_off.is_empty() {
                    parts.push(format!("{} folded back and insulated", listed(self.left_off)));
                }
                if mode.grounded == Some(false) {
                    parts.push("what is joined to a lead inside is live here".to_owned());
                }
                format!("{}: {}.", mode.mode.0, parts.join("; "))
            })
            .collect()
    }
}
