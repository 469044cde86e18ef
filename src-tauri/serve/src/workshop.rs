//! One open log and its doors.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Deserialize;
use solderlast_core::ask::Bench;
use solderlast_core::ask::{self};
use tokio::sync::{Mutex, watch};

use crate::disk::off_the_loop;
use crate::machine::{SystemClock, SystemDice};
use crate::phone_door::{self, PairingCode, PhoneDoor, Phones, Shown};
use crate::refusal::{Code, Refusal, granted};
use crate::sharing::Sharing;
use crate::web::listening::Patience;

/// One thing to do with the phone door.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wish {
    /// What to do; see [`Workshop::phone_door`].
    pub action: String,
    /// The phone it is about, by the name it goes by in questions.
    #[serde(default)]
    pub phone: Option<String>,
    /// What to call it.
    #[serde(default)]
    pub name: Option<String>,
}

/// An open log, with a phone door that can be opened and closed. The window and the bench door each hold one.
pub struct Workshop {
    bench: Arc<Bench>,
    folder: PathBuf,
    phone_port: u16,
    patience: Patience,
    phone_door: Mutex<Option<PhoneDoor>>,
    sharing: Arc<Sharing>,
}

impl Workshop {
    /// Opens, or begins, the log in this folder, with the system's clock and randomness.
    ///
    /// # Errors
    /// The core's refusal, when the log can't be opened or begun there.
    pub fn open(log_folder: &Path) -> Result<Self, ask::Refusal> {
        let bench = Bench::open(log_folder, Box::new(SystemClock), &SystemDice)?;
        Ok(Self {
            bench: Arc::new(bench),
            folder: log_folder.to_path_buf(),
            phone_port: phone_door::USUAL_PORT,
            patience: Patience::default(),
            phone_door: Mutex::new(None),
            sharing: Arc::new(Sharing::of(log_folder)),
        })
    }

    /// The same, with the phone door tried first at this port; 0 is any free one.
    #[must_use]
    pub fn with_phone_port(self, phone_port: u16) -> Self {
        Self { phone_port, ..self }
    }

    /// The same, with other limits for phones.
    #[must_use]
    pub fn with_patience(self, patience: Patience) -> Self {
        Self { patience, ..self }
    }

    /// Answers one question, both as JSON: `{"ok": …}` or `{"refused": {"code", "sentence", "field"}}`.
    pub async fn answer(&self, ask: impl AsRef<[u8]> + Send + 'static) -> Vec<u8> {
        self.answer_since(ask, None).await
    }

    /// The same for who may have an earlier answer about the audition, as [`Bench::answer_since`] says.
    pub async fn answer_since(&self, ask: impl AsRef<[u8]> + Send + 'static, has: Option<String>) -> Vec<u8> {
        let bench = self.shared_bench();
        off_the_loop(move || bench.answer_since(ask.as_ref(), has.as_deref()))
            .await
            .unwrap_or_else(|refusal| refusal.answer())
    }

    /// The bench, for who may wait for its disk.
    #[must_use]
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// The bench, for a door or a window that hands it on to another thread.
    #[must_use]
    pub fn shared_bench(&self) -> Arc<Bench> {
        Arc::clone(&self.bench)
    }

    /// The shared log, if this one is shared with other benches.
    #[must_use]
    pub fn sharing(&self) -> &Arc<Sharing> {
        &self.sharing
    }

    /// Does one thing with the phone door and answers, as JSON, what to show: `{"ok": Shown}` or `{"refused": …}`.
    ///
    /// The things are `status`, `open`, `close` (phones stay paired), `rename` (`phone` gets the name `name`), `forget_one`
    /// (`phone` has to pair again) and `forget` (every phone has to).
    pub async fn phone_door(&self, wish: &Wish) -> Vec<u8> {
        let phones = Phones::of(&self.folder);
        let (phone, name) = (wish.phone.clone().unwrap_or_default(), wish.name.clone().unwrap_or_default());
        let done = match wish.action.as_str() {
            "status" => Ok(()),
            "open" => self.open_phone_door().await.map(drop),
            "close" => {
                self.close_phone_door().await;
                Ok(())
            }
            "rename" => off_the_loop(move || phones.rename(&phone, &name)).await.and_then(|renamed| renamed),
            "forget_one" => off_the_loop(move || phones.forget(&phone)).await.and_then(|forgotten| forgotten.map(drop)),
            "forget" => off_the_loop(move || phones.forget_all()).await.and_then(|forgotten| forgotten.map(drop)),
            _ => Err(Refusal::new(Code::Unclear, "The phone door can be opened, closed, or its phones forgotten.")
                .about("action")),
        };
        match done {
            Ok(()) => granted(&self.shown().await),
            Err(refusal) => refusal.answer(),
        }
    }

    /// Opens the phone door if it is closed, and gives the codes it will show.
    ///
    /// # Errors
    /// A refusal when no port can be had, or when the system has no randomness for a code.
    pub async fn open_phone_door(&self) -> Result<watch::Receiver<PairingCode>, Refusal> {
        let mut door = self.phone_door.lock().await;
        if door.is_none() {
            let bench = Arc::clone(&self.bench);
            let opened = PhoneDoor::open(bench, &self.folder, self.phone_port, self.patience).await;
            *door = Some(opened.map_err(|error| {
                let sentence = format!("The phone door could not be opened: {error}. Nothing else is affected.");
                Refusal::new(Code::DoorStuck, sentence)
            })?);
        }
        door.as_ref().map(PhoneDoor::codes).ok_or_else(|| Refusal::new(Code::DoorStuck, "The phone door is closed."))
    }

    /// Closes the phone door if it is open, once the answers under way are given.
    pub async fn close_phone_door(&self) {
        let door = self.phone_door.lock().await.take();
        if let Some(door) = door {
            door.close().await;
        }
    }

    /// The port of the phone door while it is open.
    pub async fn phone_port(&self) -> Option<u16> {
        self.phone_door.lock().await.as_ref().map(PhoneDoor::port)
    }

    /// What to show a person about the phone door.
    pub async fn shown(&self) -> Shown {
        match self.phone_door.lock().await.as_ref() {
            Some(door) => door.shown(),
            None => Shown { phones: Phones::of(&self.folder).all(), ..Shown::default() },
        }
    }
}
