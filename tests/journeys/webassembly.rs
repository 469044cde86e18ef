//! The tests of the crates that compute, as WebAssembly in Node: what is computed in a page holds what is computed everywhere.
//!
//! `.ci/page test` builds them. Their seeds are the usual ones, as nothing of the system is seen there.

use std::path::Path;

use solderlast_testkit::program;

/// Runs the tests of a crate. The first that fails stops them all; Node shows what was called then, as far as it still has a name.
fn passes(name: &str) {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../target/page-tests/{name}/tests.js"));
    assert!(tests.is_file(), "they are not built: run .ci/page test first");
    // What failed stands behind a dozen calls of the standard library.
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
