//! The bench in a browser's page: the same core, as WebAssembly in a dedicated worker.
//!
//! Its files lie on the origin's private file system. A worker can open one of them only after a wait, and the core does not
//! wait; so a [`pool`] of open ones is held, and which name belongs to which is a list of its own ([`names`]).

pub mod names;
pub mod pool;
pub mod slots;

#[cfg(target_family = "wasm")]
mod bench;
#[cfg(target_family = "wasm")]
mod machine;
#[cfg(target_family = "wasm")]
mod origin;
#[cfg(target_family = "wasm")]
mod sqlite;

#[cfg(test)]
mod tests;
