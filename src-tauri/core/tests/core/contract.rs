//! The pages' types are those of the contract, one file a topic.
//!
//! `make types` writes them anew.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use solderlast_core::ask::{Ask, Refusal, Reply};
use ts_rs::{Config, TS};

/// The files in a folder, by name.
fn files(folder: &Path) -> BTreeMap<String, String> {
    let there = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    there
        .map(|file| {
            let text = fs::read_to_string(file.path()).expect("types are text");
            (file.file_name().to_string_lossy().into_owned(), text)
        })
        .collect()
}

/// What shows all topics again, so that a page needs to know of none.
fn index(topics: &BTreeMap<String, String>) -> String {
    let names = topics.keys().filter_map(|name| name.strip_suffix(".ts"));
    let lines = names.map(|name| format!("export type * from \"./{name}\";\n"));
    std::iter::once("// Made from the contract in Rust: `make types`.\n".to_owned()).chain(lines).collect()
}

#[test]
fn the_types_of_the_pages_are_fresh() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let config = Config::new().with_out_dir(folder.path());
    Ask::export_all(&config).expect("asks can be told to TypeScript");
    Reply::export_all(&config).expect("replies can be told to TypeScript");
    Refusal::export_all(&config).expect("refusals can be told to TypeScript");
    assert_eq!(fs::read_dir(folder.path()).expect("the types were written").count(), 1, "a type has no topic");
    let mut fresh = files(&folder.path().join("contract"));
    assert!(fresh.len() > 10, "{:?} are not all topics", fresh.keys());
    fresh.insert("index.ts".to_owned(), index(&fresh));
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../ui/src/contract");
    if std::env::var_os("SOLDERLAST_WRITE_TYPES").is_some() {
        fs::create_dir_all(&kept).expect("there is a folder for the types");
        for stale in files(&kept).keys().filter(|name| !fresh.contains_key(*name)) {
            fs::remove_file(kept.join(stale)).expect("a topic that is no more can be removed");
        }
        for (name, types) in &fresh {
            fs::write(kept.join(name), types).expect("the types can be kept");
        }
    }
    let kept = files(&kept);
    let stale: Vec<_> = fresh.keys().chain(kept.keys()).filter(|name| kept.get(*name) != fresh.get(*name)).collect();
    assert!(stale.is_empty(), "ui/src/contract is stale in {stale:?}: run `make types`");
}
