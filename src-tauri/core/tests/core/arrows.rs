//! Arrows between modules run one way: no circle among the modules of the two top levels of any crate. A crate under the core is
//! itself the upper one of the two.
//!
//! The sources are read as text, without what is compiled for tests only. A module uses another one when a path in it
//! leads there: in a `use`, or written out. What a module shows again of another (`pub use`) is followed to where it is
//! defined, so that no arrow can hide behind it; a module that only shows what is in it uses nothing.

mod read;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

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

/// The folders of all crates in `src-tauri`: the shells, the core, and those under it.
fn crates() -> Vec<PathBuf> {
    let core = Path::new(env!("CARGO_MANIFEST_DIR"));
    let app = core.join("..");
    let in_folder = |folder: &Path| {
        let entries = std::fs::read_dir(folder).expect("the folder of the crates can be read");
        entries.map(|entry| entry.expect("an entry").path()).collect::<Vec<_>>()
    };
    let mut all = [in_folder(&app), in_folder(core), vec![app]].concat();
    all.retain(|folder| folder.join("src/lib.rs").exists());
    all
}

#[test]
fn no_modules_use_each_other() {
    let mut read = 0;
    for folder in crates() {
        let root = folder.join("src");
        let sources = Sources::read(&root);
        read += sources.count();
        let under_the_core = folder.parent() == Some(Path::new(env!("CARGO_MANIFEST_DIR")));
        for levels in 1..=if under_the_core { 1 } else { 2 } {
            let circles = circles(&arrows(&sources, levels));
            assert!(circles.is_empty(), "in {}, these use each other:\n{}", root.display(), circles.join("\n"));
        }
    }
    assert!(read > 300, "{read} files are not all that there are");
}

/// Of our own crates, each of the core's uses those above it in this list and nothing below; the log and the
/// takes know what is written alone. What exchanges a log with a server uses the log, and neither the core nor the page has any
/// of it.
#[test]
fn crates_use_those_above_them() {
    let may_use = [
        ("record", vec![]),
        ("physics", vec!["record"]),
        ("safety", vec!["record", "physics"]),
        ("log", vec!["record"]),
        ("takes", vec!["record"]),
        ("core", vec!["record", "physics", "safety", "log", "takes"]),
        ("meet", vec!["log"]),
        ("page", vec!["core"]),
    ];
    let mut found = 0;
    for folder in crates() {
        let manifest = std::fs::read_to_string(folder.join("Cargo.toml")).expect("each crate has a manifest");
        let named = |line: &str| Some(line.strip_prefix("name = \"solderlast-")?.strip_suffix('"')?.to_owned());
        let name = manifest.lines().find_map(named).expect("each crate has a name");
        let Some((_, may)) = may_use.iter().find(|(one, _)| *one == name) else { continue };
        found += 1;
        let shipped = manifest.split("[dev-dependencies]").next().unwrap_or_default();
        let uses = shipped.lines().filter_map(|line| line.strip_prefix("solderlast-")?.split(['.', ' ']).next());
        for used in uses {
            assert!(may.contains(&used), "{name} uses {used}");
        }
    }
    assert_eq!(found, may_use.len(), "the core and what is under it were not found");
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
