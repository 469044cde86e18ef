//! Files and folders, as the rest of a log knows them: those of the system, or, in a browser's page, those that the page keeps.
//!
//! Both have the names of the standard library, so that what is written for one is written for the other. A page has no
//! folders, no other program and no locks: it puts a [`Keeper`] in the place of the system (see [`kept_by`]).

mod keeper;
#[cfg(target_family = "wasm")]
mod page;

pub use keeper::{Keeper, Way};
#[cfg(target_family = "wasm")]
pub use page::{
    DirBuilder, File, OpenOptions, TryLockError, copy, create_dir_all, exists, hard_link, kept_by, metadata, read,
    read_dir, read_to_string, remove_dir, remove_dir_all, remove_file, rename,
};
#[cfg(not(target_family = "wasm"))]
pub use std::fs::{
    DirBuilder, File, OpenOptions, TryLockError, copy, create_dir_all, exists, hard_link, metadata, read, read_dir,
    read_to_string, remove_dir, remove_dir_all, remove_file, rename,
};

/// What tells this program from others that have the same log open.
#[must_use]
pub fn program() -> u32 {
    // A page is alone with its log.
    if cfg!(target_family = "wasm") { 1 } else { std::process::id() }
}

/// Waits, where somebody else may do meanwhile what is waited for.
pub fn pause(span: std::time::Duration) {
    if cfg!(not(target_family = "wasm")) {
        std::thread::sleep(span);
    }
}
