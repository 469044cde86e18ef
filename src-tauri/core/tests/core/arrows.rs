//! Arrows between modules run one way: no circle among the modules of the two top levels of any crate.
//!
//! The sources are read as text, without what is compiled for tests only. A module uses another one when a path in it
//! leads there: in a `use`, or written out. What a module shows again of another (`pub use`) is followed to where it is
//! defined, so that no arrow can hide behind it; a module that only shows what is in it uses nothing.

mod read;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use read::Sources;

/// What uses what, each by its name, with a path that says so.
type Arrows = BTreeMap<String, BTreeMap<String, String>>;

/// The module of the two top levels that this one belongs to.
fn top(module: &str, levels: usize) -> String {
    module.split("::").take(levels).collect::<Vec<_>>().join("::")
}

fn arrows(sources: &Sources, levels: usize) -> Arrows {
    let mut arrows = Arrows::new();
    for (from, to, path) in sources.uses() {
        let (from, to) = (top(&from, levels), top(&to, levels));
        if from != to && !from.is_empty() && !to.is_empty() {
            arrows.entry(from).or_default().entry(to).or_insert(path);
        }
    }
    arrows
}

/// Everything that can be reached along the arrows.
fn reached<'a>(arrows: &'a Arrows, from: &'a str) -> BTreeSet<&'a str> {
    let mut reached = BTreeSet::new();
    let mut next = vec![from];
    while let Some(here) = next.pop() {
        for to in arrows.get(here).into_iter().flat_map(BTreeMap::keys) {
            if reached.insert(to.as_str()) {
                next.push(to);
            }
        }
    }
    reached
}

/// Each arrow that lies on a circle, in a line.
fn circles(arrows: &Arrows) -> Vec<String> {
    let back = |from: &str, to: &str| reached(arrows, to).contains(from);
    let each = arrows.iter().flat_map(|(from, all)| all.iter().map(move |(to, path)| (from, to, path)));
    each.filter(|(from, to, _)| back(from, to)).map(|(from, to, path)| format!("{from} -> {to} ({path})")).collect()
}

#[test]
fn no_modules_use_each_other() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let folders = std::fs::read_dir(&crates).expect("the folder of the crates can be read");
    let mut roots: Vec<_> = folders.filter_map(|entry| Some(entry.ok()?.path().join("src"))).collect();
    roots.push(crates.join("src"));
    let mut read = 0;
    for root in roots.iter().filter(|root| root.join("lib.rs").exists()) {
        let sources = Sources::read(root);
        read += sources.count();
        for levels in [1, 2] {
            let circles = circles(&arrows(&sources, levels));
            assert!(circles.is_empty(), "in {}, these use each other:\n{}", root.display(), circles.join("\n"));
        }
    }
    assert!(read > 100, "{read} files are not all that there are");
}

fn circles_of(files: &[(&str, &str)], levels: usize) -> Vec<String> {
    circles(&arrows(&Sources::of(files), levels))
}

#[test]
fn a_circle_is_found_however_it_is_written() {
    let there = ("lead", "pub struct Lead;");
    for (what, back) in [
        ("a use", "use crate::meter::Meter;"),
        ("one of several", "use crate::{lead::Lead, meter::Meter};"),
        ("several of one", "use crate::meter::{\n    Meter as Other,\n};"),
        ("everything", "use crate::meter::*;"),
        ("the module", "use crate::meter;\nfn f() { meter::read(); }"),
        ("a path", "fn f() -> crate::meter::Meter { todo!() }"),
        ("a way up", "use super::meter::Meter;"),
    ] {
        let wire = ("wire", back);
        let meter = ("meter", "use crate::wire::Wire;\nuse crate::lead::Lead;\npub struct Meter;");
        let found = circles_of(&[there, wire, meter], 1);
        assert_eq!(found.len(), 2, "{what}: {found:?}");
    }
}

#[test]
fn a_circle_behind_what_is_shown_again_is_found() {
    let files = [
        ("meter", "mod agree;\nmod claim;\npub use agree::agreed;\npub use claim::Claim;"),
        ("meter::agree", "use super::Claim;\npub fn agreed() {}"),
        ("meter::claim", "use crate::meter::agreed;\npub struct Claim;"),
    ];
    assert_eq!(circles_of(&files, 1), Vec::<String>::new());
    let found = circles_of(&files, 2);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().any(|line| line.starts_with("meter::claim -> meter::agree")), "{found:?}");
}

#[test]
fn a_circle_over_three_is_found_and_a_fork_is_none() {
    let ring = [("a", "use crate::b::B;"), ("b", "use crate::c::C;"), ("c", "use crate::a::A;")];
    assert_eq!(circles_of(&ring, 1).len(), 3);
    let fork = [("a", "use crate::{b::B, c::C};"), ("b", "use crate::c::C;"), ("c", "")];
    assert_eq!(circles_of(&fork, 1), Vec::<String>::new());
}

#[test]
fn what_is_not_compiled_uses_nothing() {
    let meter = ("meter", "use crate::wire::Wire;");
    for wire in [
        "// use crate::meter::Meter;",
        "/// See [`crate::meter::Meter`].\npub struct Wire;",
        "const SAID: &str = \"crate::meter::Meter\";",
        "const SAID: &str = r#\"\"crate::meter::Meter\"#;",
        "#[cfg(test)]\nmod tests {\n    use crate::meter::Meter;\n}",
        "#[cfg(test)]\nuse crate::meter::Meter;",
        "pub(in crate::meter) const SAME: f64 = 1.0;",
    ] {
        assert_eq!(circles_of(&[meter, ("wire", wire)], 1), Vec::<String>::new(), "{wire}");
    }
    let bench = [meter, ("wire", "#[cfg(test)]\nmod bench;"), ("wire::bench", "use crate::meter::Meter;")];
    assert_eq!(circles_of(&bench, 1), Vec::<String>::new());
    // A letter in quotes does not swallow what follows.
    let wire = "const QUOTE: char = '\"';\nuse crate::meter::Meter;\nconst OTHER: char = '\"';";
    assert_eq!(circles_of(&[meter, ("wire", wire)], 1).len(), 2);
}
