//! The tests of the crates that compute, as WebAssembly in Node: what is computed in a page holds what is computed everywhere.
//!
//! `.ci/page test` builds them. Their seeds are the usual ones, as nothing of the system is seen there.

use std::path::Path;

use solderlast_testkit::program;

/// Runs the tests of a crate. The first that fails stops them all, and its name stands in what Node says of the place.
fn passes(name: &str) {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../target/page-tests/{name}/tests.js"));
    assert!(tests.is_file(), "they are not built: run .ci/page test first");
    // The name of the test stands behind a dozen of what was called when it failed.
    let words = ["--stack-trace-limit=60", &tests.to_string_lossy()];
    let _ = program::answer("node", &words, "", "nodejs (Debian)");
}

#[test]
fn the_tests_of_physics_pass() {
    passes("physics");
}

#[test]
fn the_tests_of_safety_pass() {
    passes("safety");
}

#[test]
fn the_tests_of_takes_pass() {
    passes("takes");
}
