//! The `solderlast` program, for tests that start it.

use std::path::{Path, PathBuf};

/// The program, as `make test` built it.
///
/// # Panics
/// Where it is not built.
#[must_use]
pub fn built() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("../target"), PathBuf::from);
    let path = target.join("debug/solderlast");
    assert!(
        path.is_file(),
        "{} is not built: run `make test`, or `cargo build --workspace --bins` first",
        path.display()
    );
    path
}
