//! What a take tells, worked out once and kept beside its file. It may be thrown away: it is worked out again.

use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::ask::{Code, Refusal};
use crate::logbook::Trouble;
use crate::logbook::takes::Shelf;
use crate::record::note::Note;
use crate::record::take::{KeptSound, Played};
use crate::takes::file::Unreadable;
use crate::takes::{Asked, Told};

/// What is told by this program. Raise it when any of it is worked out otherwise.
const VERSION: u32 = 2;

/// One take at a time is heard: each takes a processor for itself.
static ONE: Mutex<()> = Mutex::new(());

#[derive(Serialize, Deserialize)]
struct Noted {
    version: u32,
    played: Played,
    tuning: Vec<Note>,
    told: Told,
    /// Why nothing could be measured from it, where that was tried.
    #[serde(default)]
    refused: Option<String>,
}

fn lies_noted(shelf: &Shelf, sound: &KeptSound) -> Option<Noted> {
    serde_json::from_slice(&shelf.told(&sound.take)?).ok()
}

/// Why nothing could be measured from a take; nothing where something was, or nobody tried.
pub(super) fn refused(shelf: &Shelf, sound: &KeptSound) -> Option<String> {
    lies_noted(shelf, sound)?.refused
}

/// What was measured from a take goes on to who asked; that nothing could be is noted beside it, so that its line says so.
pub(in crate::ask) fn measured<T>(
    shelf: &Shelf,
    sound: &KeptSound,
    measured: Result<T, Refusal>,
) -> Result<T, Refusal> {
    let refused = match &measured {
        Ok(_) => None,
        Err(refusal) if refusal.code == Code::Take => {
            Some(refusal.sentence.trim_end_matches(super::TELLS_NOTHING).trim_end().to_owned())
        }
        Err(_) => return measured,
    };
    if let Some(noted) = lies_noted(shelf, sound).filter(|noted| noted.refused != refused)
        && let Ok(text) = serde_json::to_vec(&Noted { refused, ..noted })
    {
        shelf.keep_told(&sound.take, &text);
    }
    measured
}

/// What was worked out of a take before, if it was by this version and of the same.
pub(super) fn noted(shelf: &Shelf, sound: &KeptSound, asked: &Asked) -> Option<Told> {
    let noted = lies_noted(shelf, sound)?;
    let same = noted.version == VERSION && noted.played == asked.played && noted.tuning == asked.tuning;
    same.then(|| as_it_came(noted.told, sound))
}

/// Notes what was worked out.
pub(super) fn note(shelf: &Shelf, sound: &KeptSound, asked: &Asked, told: &Told) {
    let noted = Noted {
        version: VERSION,
        played: asked.played,
        tuning: asked.tuning.clone(),
        told: told.clone(),
        refused: None,
    };
    if let Ok(text) = serde_json::to_vec(&noted) {
        shelf.keep_told(&sound.take, &text);
    }
}

/// Works out what a take tells; nothing where its file is not here, or not what it was.
pub(super) fn tell(shelf: &Shelf, sound: &KeptSound, asked: &Asked) -> Result<Option<Told>, Trouble> {
    let _one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(told) = noted(shelf, sound, asked) {
        return Ok(Some(told));
    }
    let Some(file) = shelf.open(&sound.take)? else { return Ok(None) };
    match crate::takes::take(file, asked) {
        Ok(told) => {
            note(shelf, sound, asked, &told);
            Ok(Some(as_it_came(told, sound)))
        }
        Err(Unreadable::Unread { why }) => Err(Trouble::Disk(why)),
        // It was heard when it was kept: a bundle brought another.
        Err(_) => Ok(None),
    }
}

/// What was wrong with the file that a take came from is wrong with the take.
pub(super) fn as_it_came(told: Told, sound: &KeptSound) -> Told {
    Told { flaws: sound.flaws.clone(), ..told }
}
