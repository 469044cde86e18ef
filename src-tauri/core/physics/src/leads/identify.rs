//! Which leads share a coil, which coils are joined inside, and what the shield touches, from ohm readings.
//!
//! Every wiring that the readings leave possible is kept, with how common it is. When one is left, it is sure; until
//! then, the next pair is the one whose reading is expected to tell most.

mod check;
mod coils;
mod facts;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::facts::Measured;
use super::wirings::{Facts, Left, MOST_NODES, Nodes, Relation, Wiring};
use crate::recent::Recent;
use crate::record::claim::Meter;
use crate::record::leads::{Contact, LeadName};
use crate::record::quantity::{Ohms, Reading};
use crate::record::words::{capital, listed};

/// What was measured so far, and what there is to measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct Search {
    /// The leads, by their owner's names or colours; at most eight.
    pub leads: Vec<LeadName>,
    /// Whether there is a shield to measure at.
    pub shield: bool,
    /// Whether there is a frame or baseplate to measure at.
    pub frame: bool,
    /// What was measured, in the order it was.
    pub readings: Vec<PairReading>,
    /// Pairs that can't be reached with the probes.
    #[serde(default)]
    pub out_of_reach: Vec<[Contact; 2]>,
}

/// A reading between two leads, or a lead and the shield or the frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct PairReading {
    /// The two, in any order.
    pub between: [Contact; 2],
    /// What the meter showed.
    pub reading: Reading,
}

/// What the readings come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct LeadsFound {
    /// Whether every lead is known for sure, as far as resistance tells.
    pub sure: bool,
    /// Whether one wiring is left and is being checked before it is called sure.
    pub checking: bool,
    /// Where things stand, in a sentence.
    pub sentence: String,
    /// The coils, in the order of their leads.
    pub coils: Vec<CoilFound>,
    /// Leads where two coils are joined inside.
    pub joins: Vec<String>,
    /// What is joined without a coil between: the shield to a lead, the frame to the shield.
    pub touching: Vec<Touching>,
    /// Leads that have no path to anything: a broken coil, or a lead that goes nowhere.
    pub loose: Vec<Contact>,
    /// The next pair to measure; nothing when it is sure, or when no pair is left that can be reached.
    pub next: Option<NextPair>,
    /// Readings that can't all be right, in words.
    pub contradictions: Vec<String>,
    /// Other things to say about the readings.
    pub notes: Vec<String>,
    /// How many different pairs were measured.
    pub measured: u8,
}

/// A coil, or coils in a row with no lead at their join.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct CoilFound {
    /// The leads at its ends.
    pub between: [Contact; 2],
    /// Its resistance as measured, in ohms.
    pub ohms: Ohms,
    /// In words: `red to white: 6.66 kΩ`.
    pub sentence: String,
}

/// Two that are joined without a coil between.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct Touching {
    /// The two.
    pub between: [Contact; 2],
    /// In words, with what it means.
    pub sentence: String,
}

/// The next pair to measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct NextPair {
    /// The two to put the probes on.
    pub between: [Contact; 2],
    /// What to do, in a sentence.
    pub sentence: String,
}

/// Says what the readings come to, and what to measure next.
///
/// Readings may come in any order and be incomplete or contradictory; `meter` says how far each may lie off. A pair that read
/// twice alike is believed; any other reading may be wrong. Before a wiring is called sure, what would best contradict it is
/// measured, until no one wrong reading could have led to it from another.
#[must_use]
pub fn identify(search: &Search, meter: &Meter) -> LeadsFound {
    // One look at a search asks for it several times.
    static LATELY: Recent<(Search, Meter), LeadsFound> = Recent::new();
    LATELY.find_or((search.clone(), meter.clone()), |(search, meter)| found_out(search, meter))
}

fn found_out(search: &Search, meter: &Meter) -> LeadsFound {
    let table = Table::new(search);
    let mut found = LeadsFound {
        sure: false,
        checking: false,
        sentence: String::new(),
        coils: Vec::new(),
        joins: Vec::new(),
        touching: Vec::new(),
        loose: Vec::new(),
        next: None,
        contradictions: Vec::new(),
        notes: table.notes.clone(),
        measured: 0,
    };
    if let Some(sentence) = table.refused() {
        found.sentence = sentence;
        return found;
    }
    let measured = facts::of(&table, search, meter, &mut found);
    if let Some((a, b)) = measured.disputed {
        found.next = Some(table.once_more(a, b, "It did not read the same twice."));
        found.sentence = format!(
            "Not sure: {} and {} did not read the same twice. Measure them once more; what a pair reads twice is believed.",
            table.said(a),
            table.said(b)
        );
        return found;
    }
    if !found.contradictions.is_empty() {
        "These readings can't all be right. Measure the named pairs again, hands off the bare metal."
            .clone_into(&mut found.sentence);
        return found;
    }
    let left = measured.facts(&table, None).map(|facts| (Left::of(table.nodes, &facts), facts));
    let Some((left, facts, one)) = left.ok().and_then(|(left, facts)| left.one.map(|one| (left, facts, one))) else {
        doubt(&table, &measured, &mut found);
        return found;
    };
    let all_of_it = left.count == 1;
    known_so_far(&table, &left, &mut found);
    let join_unknown = coils::find(&table, &measured, all_of_it.then_some(&one), meter, &mut found);
    if !found.contradictions.is_empty() {
        found.coils.clear();
        found.joins.clear();
        if let Some((a, b)) = measured.single_coil() {
            // One of them was read wrong: each is read again until two are alike.
            found.notes.append(&mut found.contradictions);
            again(&table, a, b, &mut found);
        } else {
            "These readings don't add up. Measure the named pairs again, hands off the bare metal."
                .clone_into(&mut found.sentence);
        }
        return found;
    }
    found.sure = all_of_it && join_unknown.is_none();
    if !found.sure {
        let pair = match join_unknown {
            Some(unknown) => unknown.pair,
            None => best_pair(&table, &facts, &left),
        };
        found.next = pair.map(|(a, b)| table.next(a, b));
    } else if let Some(check) = check::best(&table, &measured, &one) {
        found.sure = false;
        found.checking = true;
        found.next = Some(if check.repeats {
            table.once_more(check.pair.0, check.pair.1, "Nothing else has checked that reading.")
        } else {
            table.next(check.pair.0, check.pair.1)
        });
    }
    found.sentence = sentence(&found);
    found
}

/// The readings don't fit together: the one is measured again that, were it wrong, would leave the most common wirings.
fn doubt(table: &Table, measured: &Measured, found: &mut LeadsFound) {
    let mut most: Option<((usize, usize), f64)> = None;
    for taken in measured.taken.iter().filter(|taken| !taken.twice) {
        let Ok(facts) = measured.facts(table, Some(taken.pair)) else { continue };
        let common = Left::of(table.nodes, &facts).weight();
        if common > 0.0 && most.is_none_or(|(_, other)| common > other * (1.0 + 1e-9)) {
            most = Some((taken.pair, common));
        }
    }
    match (most, measured.facts(table, None)) {
        (Some(((a, b), _)), _) => again(table, a, b, found),
        (None, Err(sentence)) => {
            found.contradictions.push(sentence);
            "These readings can't all be right. Measure the named pairs again, hands off the bare metal."
                .clone_into(&mut found.sentence);
        }
        (None, Ok(_)) => {
            "No pickup with up to three coils reads like this. Measure each pair again, hands off the bare metal."
                .clone_into(&mut found.sentence);
            found.contradictions.push(found.sentence.clone());
        }
    }
}

fn again(table: &Table, a: usize, b: usize, found: &mut LeadsFound) {
    found.next = Some(table.once_more(a, b, "It does not fit to the others."));
    found.sentence = format!(
        "Not sure: these readings don't fit together, so one of them is wrong. Measure {} and {} again; what a pair reads twice is \
         believed.",
        table.said(a),
        table.said(b)
    );
}

/// Names by number: leads, then the shield, then the frame.
struct Table {
    names: Vec<Contact>,
    nodes: Nodes,
    out_of_reach: Vec<(usize, usize)>,
    notes: Vec<String>,
    leads_given: usize,
}

impl Table {
    fn new(search: &Search) -> Self {
        let mut names: Vec<Contact> = Vec::new();
        for lead in search.leads.iter().filter(|lead| !lead.is_taken()).map(Contact::from) {
            if !names.contains(&lead) {
                names.push(lead);
            }
        }
        let leads = names.len();
        names.extend(search.shield.then_some(Contact::Shield));
        names.extend(search.frame.then_some(Contact::Frame));
        let mut table = Self {
            nodes: Nodes { leads, shield: search.shield, frame: search.frame },
            names,
            out_of_reach: Vec::new(),
            notes: Vec::new(),
            leads_given: search.leads.len(),
        };
        table.out_of_reach = search.out_of_reach.iter().filter_map(|pair| table.pair(pair)).collect();
        table
    }

    fn refused(&self) -> Option<String> {
        if self.nodes.leads != self.leads_given {
            Some("Two leads have the same name. Give each its own, so that they can be told apart.".to_owned())
        } else if self.nodes.leads > MOST_NODES - 2 {
            Some(format!("At most {} leads can be told apart here. Leave out those you know.", MOST_NODES - 2))
        } else if self.nodes.count() < 2 {
            Some("Name at least two things to measure between: leads, shield or frame.".to_owned())
        } else {
            None
        }
    }

    /// The numbers of two different names, the lower first.
    fn pair(&self, between: &[Contact; 2]) -> Option<(usize, usize)> {
        let [a, b] = [0, 1].map(|i: usize| self.names.iter().position(|name| *name == between[i]));
        let (a, b) = (a?, b?);
        (a != b).then_some((a.min(b), a.max(b)))
    }

    fn reachable(&self, a: usize, b: usize) -> bool {
        !self.out_of_reach.contains(&(a.min(b), a.max(b)))
    }

    /// `the shield`, `red`.
    fn said(&self, node: usize) -> String {
        self.names[node].in_words()
    }

    fn next(&self, a: usize, b: usize) -> NextPair {
        NextPair {
            between: [self.names[a].clone(), self.names[b].clone()],
            sentence: format!(
                "Measure ohms between {} and {}. Clip the probes on, one by one. Hands off the bare metal while you read.",
                self.said(a),
                self.said(b)
            ),
        }
    }
}

impl Table {
    /// The same pair again, and why.
    fn once_more(&self, a: usize, b: usize, why: &str) -> NextPair {
        let mut next = self.next(a, b);
        next.sentence = format!(
            "Once more, to be sure: measure ohms between {} and {}. {why} Take the probes off and clip them on anew.",
            self.said(a),
            self.said(b)
        );
        next
    }
}

/// What every wiring that is left has in common.
fn known_so_far(table: &Table, left: &Left, found: &mut LeadsFound) {
    let count = table.nodes.count();
    let always = |a: usize, b: usize, relation: Relation| left.always(a.min(b), a.max(b), relation);
    for a in 0..count {
        for b in a + 1..count {
            if always(a, b, Relation::Joined) {
                let sentence = if b < table.nodes.leads {
                    format!(
                        "{} and {} are joined: a short, or two leads on one coil end.",
                        table.said(a),
                        table.said(b)
                    )
                } else if a < table.nodes.leads {
                    format!("{} is joined to {}. Use it as the ground lead.", table.said(b), table.said(a))
                } else {
                    "The shield is joined to the frame.".to_owned()
                };
                let between = [table.names[a].clone(), table.names[b].clone()];
                found.touching.push(Touching { between, sentence: capital(&sentence) });
            }
        }
    }
    for lead in 0..table.nodes.leads {
        if (0..count).filter(|other| *other != lead).all(|other| always(lead, other, Relation::Open)) {
            found.loose.push(table.names[lead].clone());
        }
    }
}

/// The pair whose reading is expected to tell most, in bits; nothing when no reachable pair tells anything.
fn best_pair(table: &Table, facts: &Facts, left: &Left) -> Option<(usize, usize)> {
    let count = table.nodes.count();
    let mut best: Option<((usize, usize), f64)> = None;
    for (a, b) in (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))) {
        if facts.between(a, b).is_some() || !table.reachable(a, b) {
            continue;
        }
        let common = Relation::ALL.map(|relation| left.common(a, b, relation));
        let total: f64 = common.iter().sum();
        let parts = common.iter().filter(|weight| **weight > 0.0).map(|weight| weight / total);
        let bits: f64 = parts.map(|part| -part * part.log2()).sum();
        if bits > 1e-12 && best.is_none_or(|(_, most)| bits > most + 1e-9) {
            best = Some(((a, b), bits));
        }
    }
    best.map(|(pair, _)| pair)
}

fn sentence(found: &LeadsFound) -> String {
    if !found.sure && !found.checking {
        let ending = if found.next.is_some() {
            "Measure the next pair."
        } else {
            "No pair is left that can be reached, so this stays open."
        };
        return match found.coils.as_slice() {
            [] => format!("Not sure yet. {ending}"),
            coils => format!(
                "Not sure yet. So far: {}. {ending}",
                listed(&coils.iter().map(|c| c.sentence.clone()).collect::<Vec<_>>())
            ),
        };
    }
    let coils: Vec<String> = found.coils.iter().map(|coil| coil.sentence.clone()).collect();
    let mut sentence = match coils.as_slice() {
        [] => "No coil shows between any of them: every coil is broken, or these are not its leads.".to_owned(),
        [one] => format!("One coil: {one}."),
        many => format!("{} coils: {}.", if many.len() == 2 { "Two" } else { "Three" }, listed(many)),
    };
    for join in &found.joins {
        sentence.push_str(&format!(" Coils are joined inside at {join}."));
    }
    if !found.loose.is_empty() {
        let (verb, it) = if found.loose.len() == 1 { ("has", "a lead") } else { ("have", "leads") };
        sentence.push_str(&format!(
            " {} {verb} no path to anything: {it} of a broken coil, or without one.",
            capital(&listed(&found.loose))
        ));
    }
    if found.checking {
        return format!("Not sure yet, but it looks like this. {sentence} The next reading checks it.");
    }
    sentence
}

#[cfg(test)]
mod tests;
