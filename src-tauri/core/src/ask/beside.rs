//! Work beside the bench: on a thread of its own. A page has none, so there it is done at once, or when there is time.

#[cfg(not(target_family = "wasm"))]
use std::thread::JoinHandle;

/// Work that was begun, or that waits.
pub(super) struct Beside {
    #[cfg(not(target_family = "wasm"))]
    thread: JoinHandle<()>,
    #[cfg(target_family = "wasm")]
    waits: Option<Box<dyn FnOnce() + Send>>,
}

impl std::fmt::Debug for Beside {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Beside").field("finished", &self.is_finished()).finish()
    }
}

impl Beside {
    /// Begins it. In a page it is done when this comes back.
    pub fn begin(work: impl FnOnce() + Send + 'static) -> Self {
        #[cfg(not(target_family = "wasm"))]
        return Self { thread: std::thread::spawn(work) };
        #[cfg(target_family = "wasm")]
        {
            work();
            Self { waits: None }
        }
    }

    /// Begins it. In a page it waits until somebody waits for it, as everybody would have to wait for it otherwise.
    pub fn when_there_is_time(work: impl FnOnce() + Send + 'static) -> Self {
        #[cfg(not(target_family = "wasm"))]
        return Self::begin(work);
        #[cfg(target_family = "wasm")]
        Self { waits: Some(Box::new(work)) }
    }

    /// Whether it is done.
    pub fn is_finished(&self) -> bool {
        #[cfg(not(target_family = "wasm"))]
        return self.thread.is_finished();
        #[cfg(target_family = "wasm")]
        self.waits.is_none()
    }

    /// Waits until it is done. What panicked in it has nothing left to say here.
    pub fn wait(self) {
        #[cfg(not(target_family = "wasm"))]
        let _ = self.thread.join();
        #[cfg(target_family = "wasm")]
        if let Some(work) = self.waits {
            work();
        }
    }
}
