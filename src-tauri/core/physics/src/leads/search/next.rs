//! What to measure, to name, to tap or to hold a compass to next.

use super::words::{over_coil, told, where_coil_a_is, which_coil, which_of_them};
use super::{LeadSearch, LeadTask, same};
use crate::leads::identify::{CoilFound, LeadsFound};
use crate::leads::sense::{CoilSense, SensesFound};
use crate::leads::sound::shares_magnets;
use crate::record::leads::Contact;
use crate::record::pickup::{CoilName, Construction, Pickup};

impl LeadSearch {
    /// `taken` is the record as what was found has it.
    pub(super) fn next(
        &self,
        record: &Pickup,
        pickup: &Pickup,
        found: &LeadsFound,
        coils: &[(Option<CoilName>, CoilFound)],
        senses: &SensesFound,
    ) -> LeadTask {
        if !found.contradictions.is_empty() || !senses.contradictions.is_empty() {
            return LeadTask::Check {};
        }
        if let Some(next) = &found.next {
            return LeadTask::Measure { between: next.between.clone(), sentence: next.sentence.clone() };
        }
        if !found.sure || coils.is_empty() {
            return LeadTask::Stuck {};
        }
        let unnamed: Vec<[Contact; 2]> =
            coils.iter().filter(|(name, _)| name.is_none()).map(|(_, coil)| coil.between.clone()).collect();
        if !unnamed.is_empty() {
            let taken = |name: CoilName| coils.iter().any(|(other, _)| *other == Some(name));
            let coil = CoilName::ALL.into_iter().find(|name| !taken(*name)).unwrap_or(CoilName::C);
            return LeadTask::Name { coil, choices: unnamed, sentence: which_coil(pickup, coil) };
        }
        // One winding swings as a whole.
        let alone = |sense: &&CoilSense| pickup.construction != Construction::TappedCoil || sense.coil == CoilName::A;
        let between = |sense: &CoilSense, a: &Contact, b: &Contact| sense_is_between(coils, sense.coil, a, b);
        let swings = self.swings();
        let still = |sense: &&CoilSense| !swings.iter().any(|tap| between(sense, &tap.plus, &tap.minus));
        let heard = |sense: &CoilSense| self.heard.taps.iter().any(|taps| between(sense, &taps.tip, &taps.sleeve));
        // Those that were recorded on an input that may turn the sign wait until the others are recorded too.
        if let Some(sense) = senses.coils.iter().filter(alone).filter(still).min_by_key(|sense| heard(sense))
            && let Some((_, coil)) = coils.iter().find(|(name, _)| *name == Some(sense.coil))
        {
            let [plus, minus] = coil.between.clone();
            let tapped: Vec<CoilName> = senses.coils.iter().filter(alone).map(|one| one.coil).collect();
            let sentence = format!(
                "{}Lay the pickup flat, the meter on DC millivolts. Clip the plus probe on {plus}, then the minus probe on {minus}. \
                 Lay a piece of steel flat on the poles{}, \
                 then pull it off sharply. Which way does the first swing go when it comes off?",
                where_coil_a_is(pickup, &tapped),
                over_coil(pickup, sense.coil, coils.len())
            );
            return LeadTask::Tap {
                coil: sense.coil,
                which: which_of_them(sense.coil, &tapped),
                plus,
                minus,
                sentence,
            };
        }
        let stacked = shares_magnets(pickup.construction);
        for (place, sense) in senses.coils.iter().enumerate() {
            let asked = self.compass.iter().any(|(coil, _)| *coil == sense.coil);
            // The coils of a stack share their magnets.
            let shared = stacked && place > 0;
            if !asked && !shared {
                let sentence = format!(
                    "Hold a compass over the poles{}, from the strings' side. Which end of its needle do they pull? The end that \
                     points to the north of the earth is pulled by a south pole.",
                    over_coil(pickup, sense.coil, coils.len())
                );
                return LeadTask::Compass { coil: sense.coil, sentence };
            }
        }
        match self.written_into_with(pickup, found, coils, senses) {
            Some(written) if written == *record => LeadTask::Done {},
            Some(written) => LeadTask::Settle { sentences: told(record, &written) },
            None => LeadTask::Stuck {},
        }
    }
}

fn sense_is_between(coils: &[(Option<CoilName>, CoilFound)], coil: CoilName, a: &Contact, b: &Contact) -> bool {
    coils.iter().any(|(name, found)| *name == Some(coil) && same(&found.between, &[a.clone(), b.clone()]))
}
