//! What a browser gives: the time and chance.

use chrono::{DateTime, Utc};
use solderlast_core::clock::{Clock, Dice};
use wasm_bindgen::JsCast as _;
use web_sys::DedicatedWorkerGlobalScope;

/// The browser's clock.
#[derive(Debug, Clone, Copy, Default)]
pub struct PageClock;

impl Clock for PageClock {
    fn now(&self) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(js_sys::Date::now() as i64).unwrap_or_default()
    }
}

/// The browser's randomness.
#[derive(Debug, Clone, Copy, Default)]
pub struct PageDice;

impl Dice for PageDice {
    fn roll(&self) -> [u8; 10] {
        let mut bytes = [0; 10];
        let worker: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
        let filled = worker.crypto().and_then(|crypto| crypto.get_random_values_with_u8_array(&mut bytes));
        if filled.is_err() {
            // Names only have to differ.
            bytes.iter_mut().for_each(|byte| *byte = (js_sys::Math::random() * 256.0) as u8);
        }
        bytes
    }
}
