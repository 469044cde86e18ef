//! The map in DEVELOPERS.md is the tree: every folder at the top, every crate, every module at the top of one and every folder of
//! pages and of tests stands in it once, and nothing stands in it that is not there.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What lies in each folder, both by their paths from the top.
type Tree = BTreeMap<String, Vec<String>>;

/// Where the words of a line begin at the latest, counted from the names at the top; a line that begins there goes on.
const WORDS: usize = 18;

/// Reads a map: names, two spaces, words; what lies in something stands two spaces further in.
fn read_map(text: &str) -> Tree {
    let lines = text.lines().skip_while(|line| !line.starts_with("    ")).take_while(|line| line.starts_with("    "));
    let (mut tree, mut above) = (Tree::new(), Vec::<String>::new());
    for line in lines {
        let line = &line[4..];
        let names = line.trim_start();
        let depth = (line.len() - names.len()) / 2;
        if depth * 2 >= WORDS {
            continue;
        }
        let names = names.split("  ").next().unwrap_or_default();
        above.truncate(depth);
        let parent = above.last().cloned().unwrap_or_default();
        for name in names.split(' ') {
            tree.entry(parent.clone()).or_default().push(name.to_owned());
        }
        // What stands below several names belongs to the last of them.
        let last = names.split(' ').next_back().unwrap_or_default();
        above.push(if parent.is_empty() { last.to_owned() } else { format!("{parent}/{last}") });
    }
    tree
}

fn listed(folder: &Path) -> Vec<(String, PathBuf)> {
    let entries = std::fs::read_dir(folder).expect("a folder of the tree can be read");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths.filter_map(|path| Some((path.file_name()?.to_str()?.to_owned(), path.clone()))).collect()
}

fn folders(folder: &Path) -> Vec<String> {
    let is_shown = |name: &str| name == ".ci" || !(name.starts_with('.') || name == "target" || name == "node_modules");
    listed(folder).into_iter().filter(|(name, path)| is_shown(name) && path.is_dir()).map(|(name, _)| name).collect()
}

/// Crates in the folder of another one.
fn crates(folder: &Path) -> Vec<String> {
    let mut all = folders(folder);
    all.retain(|name| folder.join(name).join("Cargo.toml").exists());
    all
}

/// The modules at the top of a crate.
fn modules(folder: &Path) -> Vec<String> {
    let stems = listed(&folder.join("src")).into_iter().filter_map(|(name, path)| {
        let of_module = path.is_dir() || name.ends_with(".rs");
        of_module.then(|| name.trim_end_matches(".rs").to_owned())
    });
    let mut all: Vec<String> = stems.filter(|name| !matches!(name.as_str(), "lib" | "main" | "tests")).collect();
    all.sort();
    all.dedup();
    all
}

/// The tree as it is.
fn tree(top: &Path) -> Tree {
    let app = top.join("src-tauri");
    let mut tree = Tree::new();
    let shells = crates(&app);
    tree.insert(String::new(), folders(top));
    tree.insert("src-tauri".to_owned(), modules(&app));
    for shell in &shells {
        let (name, folder) = (format!("src-tauri/{shell}"), app.join(shell));
        for inner in crates(&folder) {
            tree.insert(format!("{name}/{inner}"), modules(&folder.join(inner)));
        }
        tree.insert(name.clone(), [modules(&folder), crates(&folder)].concat());
        tree.entry(String::new()).or_default().push(name);
    }
    tree.insert("ui".to_owned(), folders(&top.join("ui/src")));
    tree.insert("tests".to_owned(), folders(&top.join("tests")));
    tree
}

/// What stands in one and not in the other, or twice, in a line each.
fn differences(map: &Tree, tree: &Tree) -> Vec<String> {
    let count = |tree: &Tree, folder: &str, name: &str| {
        tree.get(folder).map_or(0, |names| names.iter().filter(|other| *other == name).count())
    };
    let each = |tree: &Tree| -> Vec<(String, String)> {
        let all = tree.iter().flat_map(|(folder, names)| names.iter().map(move |name| (folder.clone(), name.clone())));
        all.collect()
    };
    let mut all = [each(map), each(tree)].concat();
    all.sort();
    all.dedup();
    let told = all.into_iter().filter_map(|(folder, name)| {
        let what = match (count(map, &folder, &name), count(tree, &folder, &name)) {
            (0, _) => "is missing from the map",
            (_, 0) => "is missing from the tree",
            (1, _) => return None,
            _ => "stands in the map twice",
        };
        Some(format!("{folder}/{name} {what}"))
    });
    told.collect()
}

#[test]
fn the_map_is_the_tree() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let text = std::fs::read_to_string(top.join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let map = text.split("## The map").nth(1).expect("a map").trim_start_matches('\n');
    assert_eq!(differences(&read_map(map), &tree(&top)), Vec::<String>::new());
}

#[test]
fn what_is_missing_or_twice_is_named() {
    let map = "    shop     words\n      saw  words  of it\n        blade tooth    words\n                        which go on\n      saw nail  words\n    yard\n";
    let map = read_map(map);
    let of = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<Vec<_>>();
    let tree = Tree::from([
        (String::new(), of(&["shop", "yard", "shed"])),
        ("shop".to_owned(), of(&["saw"])),
        ("shop/saw".to_owned(), of(&["blade", "tooth", "set"])),
    ]);
    let told = [
        "/shed is missing from the map",
        "shop/nail is missing from the tree",
        "shop/saw stands in the map twice",
        "shop/saw/set is missing from the map",
    ];
    assert_eq!(differences(&map, &tree), told);
}
