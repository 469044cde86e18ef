//! How much memory bundles, photos and recordings take at most, measured by the allocator itself. A program of its own, so that no other test
//! allocates beside it; its own tests take turns.

mod bundle_fuzz;
mod photos;
mod takes;

use std::sync::{Mutex, MutexGuard, PoisonError};

use peak_alloc::PeakAlloc;

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

static TURN: Mutex<()> = Mutex::new(());

/// Waits until no other test of this program runs. A test that failed leaves the turn to the next.
fn alone() -> MutexGuard<'static, ()> {
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}
