//! The benches that wrote this log, by their names.

use std::collections::{BTreeSet, HashMap};

use chrono::{DateTime, Utc};

use super::Refusal;
use crate::ask::acts::{Composed, write};
use crate::ask::forms::typed::at;
use crate::ask::reply::Reply;
use crate::ask::views::NamedBench;
use crate::entry_lines::lines::EntryLine;
use crate::logbook::{Lists, Log};
use crate::record::body::{Body, ThingBody};
use crate::record::entry::{About, Entry};
use crate::record::names::{BenchId, DEMO_BENCH, EntryId};
use crate::record::words;

/// Names this bench.
#[derive(Debug, Clone)]
struct Naming {
    entry: EntryId,
    bench: BenchId,
    name: String,
}

impl Composed for Naming {
    fn writes(&self) -> (EntryId, About) {
        (self.entry, About::Bench(self.bench))
    }

    fn compose(self, log: &mut Log, _before: &[(Entry, bool)], _now: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        let name = self.name;
        for other in log.benches()?.into_iter().filter(|other| *other != self.bench) {
            if name_of(log, other)?.is_some_and(|taken| taken.to_lowercase() == name.to_lowercase()) {
                return Err(Refusal::unclear("name", "Another bench has this name. Choose another one."));
            }
        }
        Ok(vec![Body::Thing(ThingBody::BenchNamed { name })])
    }
}

/// Names this bench; answers all of them.
pub(super) fn name_bench(
    log: &mut Log,
    (entry, bench): (EntryId, BenchId),
    name: String,
    now: DateTime<Utc>,
) -> Result<Reply, Refusal> {
    let name = words::label(&name, "this bench").map_err(at("name"))?;
    if name_of(log, bench)?.as_ref() != Some(&name) {
        write(log, &Naming { entry, bench, name }, now)?;
    }
    benches_reply(log, bench)
}

/// This bench, and all others that wrote in any audition.
pub(super) fn benches_reply(log: &mut Log, this: BenchId) -> Result<Reply, Refusal> {
    Ok(Reply::Benches { benches: named_benches(log, this)? })
}

/// The same, this one first, then in the order of their names.
pub(super) fn named_benches(log: &mut Log, this: BenchId) -> Result<Vec<NamedBench>, Refusal> {
    let all = log.benches()?;
    named(log, this, all)
}

/// These and this one, by their names.
fn named(log: &Log, this: BenchId, others: Vec<BenchId>) -> Result<Vec<NamedBench>, Refusal> {
    let all: BTreeSet<BenchId> = others.into_iter().chain([this]).collect();
    let mut benches = Vec::with_capacity(all.len());
    for bench in all {
        let given = name_of(log, bench)?;
        let named = given.is_some();
        let name = given.unwrap_or_else(|| without_name(bench == this));
        benches.push(NamedBench { bench, name, named, this: bench == this });
    }
    benches.sort_by_cached_key(|one| (!one.this, !one.named, one.name.to_lowercase(), one.bench));
    // Two that were named apart from each other may have come to the same name.
    for at in 1..benches.len() {
        let (before, rest) = benches.split_at_mut(at);
        if let Some(one) = rest.first_mut() {
            one.name = free_name(&one.name, before);
        }
    }
    Ok(benches)
}

/// Says at each line of these entries who wrote it, where others than this bench did.
pub(super) fn sign(log: &Log, ordered: &[(Entry, bool)], lines: &mut [EntryLine]) -> Result<(), Refusal> {
    let this = log.bench();
    let by: HashMap<EntryId, BenchId> =
        ordered.iter().filter(|(one, _)| one.bench != DEMO_BENCH).map(|(one, _)| (one.id, one.bench)).collect();
    if by.values().all(|bench| *bench == this) {
        return Ok(());
    }
    let mut all = log.benches_listed()?;
    all.extend(by.values());
    let names: HashMap<BenchId, String> = named(log, this, all)?.into_iter().map(|one| (one.bench, one.name)).collect();
    for line in lines {
        line.by = by.get(&line.entry).and_then(|bench| names.get(bench)).cloned();
    }
    Ok(())
}

/// This name, or with a number where one of these has it.
fn free_name(name: &str, taken: &[NamedBench]) -> String {
    let is_taken = |name: &String| taken.iter().any(|one| one.name.to_lowercase() == name.to_lowercase());
    let numbered = (2..=taken.len() + 2).map(|number| format!("{name} ({number})"));
    std::iter::once(name.to_owned()).chain(numbered).find(|name| !is_taken(name)).unwrap_or_else(|| name.to_owned())
}

fn without_name(this: bool) -> String {
    if this { "This bench" } else { "A bench without a name" }.to_owned()
}

/// The name that a bench was given last, at that bench itself.
fn name_of(log: &Log, bench: BenchId) -> Result<Option<String>, Refusal> {
    let ordered = log.about(About::Bench(bench))?;
    let own = ordered.iter().rev().filter(|(entry, struck)| entry.bench == bench && !struck);
    Ok(own.filter_map(|(entry, _)| named_in(entry)).next())
}

fn named_in(entry: &Entry) -> Option<String> {
    match entry.body.known() {
        Some(Body::Thing(ThingBody::BenchNamed { name })) => Some(name.clone()),
        _ => None,
    }
}
