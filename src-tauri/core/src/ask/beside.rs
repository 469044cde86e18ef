//! Work beside the bench: on a thread of its own, or at once in a page, which has none.

#[cfg(not(target_family = "wasm"))]
use std::thread::JoinHandle;

/// Work that was begun.
#[derive(Debug)]
pub(super) struct Beside {
    #[cfg(not(target_family = "wasm"))]
    thread: JoinHandle<()>,
}

impl Beside {
    /// Begins it. In a page it is done when this comes back.
    pub fn begin(work: impl FnOnce() + Send + 'static) -> Self {
        #[cfg(not(target_family = "wasm"))]
        return Self { thread: std::thread::spawn(work) };
        #[cfg(target_family = "wasm")]
        {
            work();
            Self {}
        }
    }

    /// Whether it is done.
    pub fn is_finished(&self) -> bool {
        #[cfg(not(target_family = "wasm"))]
        return self.thread.is_finished();
        #[cfg(target_family = "wasm")]
        true
    }

    /// Waits until it is done. What panicked in it has nothing left to say here.
    pub fn wait(self) {
        #[cfg(not(target_family = "wasm"))]
        let _ = self.thread.join();
    }
}
