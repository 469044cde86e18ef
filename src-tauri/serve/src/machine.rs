//! What this machine gives: the time, chance, memory, and a place for the log.

use std::env;
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::path::PathBuf;

use chrono::{DateTime, TimeDelta, Utc};
use solderlast_core::clock::{Clock, Dice};

/// Every program with these doors, the window's too: an answer is made of thousands of short strings, and with the C library's
/// allocator a quarter of its time goes into them.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The system's clock.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> DateTime<Utc> {
        Utc::now()
    }

    /// Told by Linux alone: elsewhere no clock that runs on while the computer sleeps can be asked for without more.
    fn running(&self) -> Option<TimeDelta> {
        let told = std::fs::read_to_string("/proc/uptime").ok()?;
        let seconds: f64 = told.split_whitespace().next()?.parse().ok()?;
        Some(TimeDelta::milliseconds((seconds * 1000.0) as i64))
    }
}

/// The system's randomness.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemDice;

impl Dice for SystemDice {
    /// Ten random bytes.
    ///
    /// Identifiers only have to differ, so if the system refuses, differently keyed hashes of the present instant do.
    /// Secrets never come from here; see [`secret`].
    fn roll(&self) -> [u8; 10] {
        let mut bytes = [0; 10];
        if getrandom::fill(&mut bytes).is_err() {
            for part in bytes.chunks_mut(8) {
                let mut hasher = RandomState::new().build_hasher();
                hasher.write_i64(Utc::now().timestamp_micros());
                hasher.write_u32(std::process::id());
                part.copy_from_slice(&hasher.finish().to_le_bytes()[..part.len()]);
            }
        }
        bytes
    }
}

/// `N` bytes nobody can guess.
///
/// # Errors
/// When the system has no randomness to give. There is no fallback: a guessable secret is worse than none.
pub fn secret<const N: usize>() -> Result<[u8; N], getrandom::Error> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes)?;
    Ok(bytes)
}

/// Where the log is kept: the folder named by the environment variable `SOLDERLAST_LOG`, else `solderlast` in the place
/// this system keeps a program's data (on Linux the XDG data folder). None when the system names no such place.
#[must_use]
pub fn log_folder() -> Option<PathBuf> {
    match env::var_os("SOLDERLAST_LOG") {
        Some(named) if !named.is_empty() => Some(named.into()),
        _ => dirs::data_dir().map(|data| data.join("solderlast")),
    }
}
