//! The one open log behind the window.

use std::io::Read as _;
use std::path::PathBuf;
use std::sync::Arc;

use solderlast_core::ask::Bench;
use solderlast_core::ask::TakePlace;
use solderlast_serve::refusal::{Code, LONGEST_ASK, Refusal, too_long};
use solderlast_serve::web::heard;
use solderlast_serve::web::photo::{self, PhotoPlace};
use solderlast_serve::{Wish, Workshop, machine, sharing};
use tauri::async_runtime::{Mutex, spawn_blocking};
use tauri::{AppHandle, Manager as _};

use crate::carry::{self, Coming, ComingTakes};

/// The log of this device, opened at the first question. If it can't be opened the question is refused with the reason,
/// and the next question tries again, so the window itself always comes up.
#[derive(Default)]
pub struct OpenBench(Mutex<Option<Arc<Workshop>>>, Coming, ComingTakes);

impl OpenBench {
    /// Answers one question off the main thread, for who may have an earlier answer still.
    pub async fn answer(&self, app: &AppHandle, ask: String, has: Option<String>) -> String {
        if ask.len() > LONGEST_ASK {
            return text(too_long().answer());
        }
        match self.workshop(app).await {
            Ok(workshop) => text(workshop.answer_since(ask, has).await),
            Err(reason) => reason,
        }
    }

    /// Keeps a photo, off the main thread.
    pub async fn take_photo(&self, app: &AppHandle, taken: Result<PhotoPlace, Refusal>, file: Vec<u8>) -> String {
        match (taken, self.workshop(app).await) {
            (Ok(taken), Ok(workshop)) => text(photo::kept(workshop.shared_bench(), taken, file).await),
            (Err(refusal), _) => text(refusal.answer()),
            (_, Err(reason)) => reason,
        }
    }

    /// The bytes of a kept photo; none when it is not there.
    pub async fn photo(&self, app: &AppHandle, name: String) -> Vec<u8> {
        let Ok(workshop) = self.workshop(app).await else { return Vec::new() };
        let bench = workshop.shared_bench();
        spawn_blocking(move || bench.photo(&name).unwrap_or_default()).await.unwrap_or_default()
    }

    /// Takes a part of the file of a take.
    pub async fn send_take(
        &self,
        app: &AppHandle,
        place: Result<TakePlace, Refusal>,
        which: &str,
        part: Vec<u8>,
    ) -> String {
        match (place, self.workshop(app).await) {
            (Ok(place), Ok(workshop)) => text(self.2.take(workshop.shared_bench(), place, which, part).await),
            (Err(refusal), _) => text(refusal.answer()),
            (_, Err(reason)) => reason,
        }
    }

    /// The bytes of a kept take; none when it is not there.
    pub async fn take(&self, app: &AppHandle, name: String) -> Vec<u8> {
        let Ok(workshop) = self.workshop(app).await else { return Vec::new() };
        let bench = workshop.shared_bench();
        let read = move || {
            let mut bytes = Vec::new();
            let whole = bench.take_file(&name, false).is_ok_and(|(mut file, _)| file.read_to_end(&mut bytes).is_ok());
            if whole { bytes } else { Vec::new() }
        };
        spawn_blocking(read).await.unwrap_or_default()
    }

    /// The bytes of a sound to be heard beside others, or why there is none, in JSON.
    pub async fn heard_sound(&self, app: &AppHandle, path: String) -> Vec<u8> {
        let workshop = match self.workshop(app).await {
            Ok(workshop) => workshop,
            Err(reason) => return reason.into_bytes(),
        };
        let bench = workshop.shared_bench();
        let cut = move || heard::sound(&bench, &path).unwrap_or_else(|refusal| refusal.answer());
        spawn_blocking(cut).await.unwrap_or_else(|_| fault().answer())
    }

    /// Takes a part of a bundle.
    pub async fn send_bundle(&self, app: &AppHandle, carry: &str, which: &str, part: Vec<u8>) -> String {
        match self.workshop(app).await {
            Ok(workshop) => text(self.1.take(workshop.shared_bench(), carry, which, part).await),
            Err(reason) => reason,
        }
    }

    /// Copies the packed bundle into the folder for downloads.
    pub async fn keep_bundle(&self, app: &AppHandle, carry: String) -> String {
        self.keep(app, move |bench, folder| carry::keep_bundle(bench, &carry, folder)).await
    }

    /// Writes a table into the folder for downloads.
    pub async fn keep_table(&self, app: &AppHandle, table: String, find: String) -> String {
        self.keep(app, move |bench, folder| carry::keep_table(bench, &table, &find, folder)).await
    }

    async fn keep(
        &self,
        app: &AppHandle,
        work: impl FnOnce(&Bench, &std::path::Path) -> Vec<u8> + Send + 'static,
    ) -> String {
        let workshop = match self.workshop(app).await {
            Ok(workshop) => workshop,
            Err(reason) => return reason,
        };
        let path = app.path();
        let Ok(folder) = path.download_dir().or_else(|_| path.document_dir()) else {
            let refusal = Refusal::new(Code::NoPlace, "This system names no folder for downloads. Nothing was kept.");
            return text(refusal.answer());
        };
        let bench = workshop.shared_bench();
        text(spawn_blocking(move || work(&bench, &folder)).await.unwrap_or_else(|_| fault().answer()))
    }

    /// Works the phone door, and says what to show.
    #[cfg(desktop)]
    pub async fn phone_door(&self, app: &AppHandle, wish: &Wish) -> String {
        match self.workshop(app).await {
            Ok(workshop) => text(workshop.phone_door(wish).await),
            Err(reason) => reason,
        }
    }

    /// A phone has no door for other phones.
    #[cfg(mobile)]
    pub async fn phone_door(&self, _app: &AppHandle, _wish: &Wish) -> String {
        text(Refusal::new(Code::NotHere, "Only the program on a computer lets phones in.").answer())
    }

    /// Works the shared log, and says how it stands.
    #[cfg(desktop)]
    pub async fn shared_log(&self, app: &AppHandle, wish: sharing::Wish) -> String {
        match self.workshop(app).await {
            Ok(workshop) => text(workshop.sharing().does(wish).await),
            Err(reason) => reason,
        }
    }

    /// A phone takes its log along in bundles.
    #[cfg(mobile)]
    pub async fn shared_log(&self, _app: &AppHandle, _wish: sharing::Wish) -> String {
        text(Refusal::new(Code::NotHere, "Only the program on a computer meets a shared log.").answer())
    }

    /// Closes the phone door and leaves the shared log; answers under way are given first.
    pub async fn close(&self) {
        if let Some(workshop) = self.0.lock().await.as_ref() {
            workshop.close_phone_door().await;
            workshop.sharing().close().await;
        }
    }

    async fn workshop(&self, app: &AppHandle) -> Result<Arc<Workshop>, String> {
        let mut open = self.0.lock().await;
        if let Some(workshop) = open.as_ref() {
            return Ok(Arc::clone(workshop));
        }
        let Some(folder) = log_folder(app) else {
            let refusal =
                Refusal::new(Code::NoPlace, "This system names no place for the log. Set SOLDERLAST_LOG to a folder.");
            return Err(text(refusal.answer()));
        };
        let opened = spawn_blocking(move || Workshop::open(&folder).map_err(|refusal| text(refusal.answer()))).await;
        let workshop = Arc::new(opened.unwrap_or_else(|_| Err(text(fault().answer())))?);
        #[cfg(desktop)]
        workshop.sharing().goes_on();
        *open = Some(Arc::clone(&workshop));
        Ok(workshop)
    }
}

/// On a computer, where `solderlast serve` keeps its log too; on a phone, the place the system gives the app.
fn log_folder(app: &AppHandle) -> Option<PathBuf> {
    machine::log_folder().or_else(|| app.path().app_data_dir().ok())
}

fn fault() -> Refusal {
    Refusal::new(Code::Program, "The log could not be opened: something went wrong inside the program. Try again.")
}

/// Answers are JSON, so they are text.
fn text(answer: Vec<u8>) -> String {
    String::from_utf8(answer).unwrap_or_else(|_| String::from_utf8_lossy(&fault().answer()).into_owned())
}
