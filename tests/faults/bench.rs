//! Asks of a bench, each under a name of its own.

use std::sync::atomic::{AtomicU32, Ordering};

use serde_json::{Value, json};
use solderlast_core::ask::examples;

static NAMES: AtomicU32 = AtomicU32::new(1);

/// A name that nothing has yet, in this run and, by the process number, in the next.
pub fn name() -> String {
    let number = NAMES.fetch_add(1, Ordering::SeqCst);
    format!("019a3c5f-7e00-7000-8000-{:04x}{number:08x}", std::process::id() & 0xffff)
}

/// What a bench starts with: a pickup, a guitar, a rig and an audition, as the worked examples have them.
pub struct Stock {
    /// The asks that write it down.
    pub asks: Vec<Value>,
    pub rig: String,
    pub audition: String,
}

impl Stock {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let worked = examples(folder.path()).expect("the examples can be worked");
        let wanted = ["write_pickup", "write_guitar", "write_rig", "choose", "mount"];
        let mut asks: Vec<Value> = worked
            .into_iter()
            .map(|(ask, _)| ask)
            .filter(|ask| ask["ask"].as_str().is_some_and(|name| wanted.contains(&name)))
            .collect();
        for ask in &mut asks {
            ask["entry"] = json!(name());
        }
        let of = |kind: &str, field: &str| {
            let ask = asks.iter().find(|ask| ask["ask"] == kind).expect("an example of it");
            ask[field].as_str().expect("a name").to_owned()
        };
        Self { rig: of("write_rig", "id"), audition: of("choose", "audition"), asks }
    }

    /// Another audition of the same things.
    pub fn choose(&self, audition: &str) -> Value {
        let mut ask = self.asks.iter().find(|ask| ask["ask"] == "choose").expect("an example of it").clone();
        (ask["entry"], ask["audition"]) = (json!(name()), json!(audition));
        ask
    }

    /// One of the things that are written at a bench, by number: short and long, with short and long replies.
    pub fn some_write(&self, audition: &str, number: u64) -> Value {
        let entry = name();
        let rig = json!({"thing": "rig", "id": self.rig});
        match number % 6 {
            0 => {
                json!({"ask": "describe_amp", "entry": entry, "audition": audition, "words": "w".repeat(1 + number as usize % 3000)})
            }
            1 => {
                json!({"ask": "take_reading", "entry": entry, "audition": audition, "mode": "single", "reading": "6.66k", "room": ""})
            }
            2 | 3 => json!({"ask": "retire", "entry": entry, "thing": rig, "why": "lent out"}),
            _ => json!({"ask": "bring_back", "entry": entry, "thing": rig}),
        }
    }
}
