//! The pages' types are those of the contract.
//!
//! `make types` writes them anew.

use std::path::Path;

use solderlast_core::ask::{Ask, Refusal, Reply};
use ts_rs::{Config, TS};

#[test]
fn the_types_of_the_pages_are_fresh() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let config = Config::new().with_out_dir(folder.path());
    Ask::export_all(&config).expect("asks can be told to TypeScript");
    Reply::export_all(&config).expect("replies can be told to TypeScript");
    Refusal::export_all(&config).expect("refusals can be told to TypeScript");
    let fresh = std::fs::read_to_string(folder.path().join("contract.ts")).expect("the types were written");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../ui/src/contract.ts");
    if std::env::var_os("SOLDERLAST_WRITE_TYPES").is_some() {
        std::fs::write(&kept, &fresh).expect("the types can be kept");
    }
    let stale = std::fs::read_to_string(&kept).unwrap_or_default() != fresh;
    assert!(!stale, "ui/src/contract.ts is stale: run `make types`");
}
