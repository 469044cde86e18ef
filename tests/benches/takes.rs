//! Opening a log and its first page with a thousand recordings, beside one with as many notes: a small log is read through when it
//! is opened, whatever is in it.

use std::path::Path;

use chrono::Utc;
use serde_json::json;
use solderlast_core::ask::Bench;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::body::{Body, ListeningBody, TakeBody};
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::rig::Mode;
use solderlast_core::record::take::{Coding, KeptSound, Played, Recorded, TakeName};
use solderlast_serve::machine::{SystemClock, SystemDice};

use crate::generated::name;
use crate::timing::{Report, Timings};

const TAKES: u64 = 1000;
/// Recordings of one audition.
const EACH: u64 = 10;
const TIMES: usize = 40;

pub fn measure(folder: &Path, report: &mut Report) {
    report.title(&format!("Opening a log with {TAKES} recordings, beside one with notes, in turn"));
    let logs = ["notes", "recordings"].map(|word| {
        let place = folder.join(format!("takes {word}"));
        let mut log = Log::open(&place, Utc::now(), BenchId(name(7, 1))).unwrap();
        // The demo's auditions, and empty ones that the recordings are of.
        log.write(&solderlast_core::demo::entries()).unwrap();
        for number in 0..TAKES {
            let about = About::Audition(AuditionId(name(11, number / EACH)));
            let entry = |log: &Log, body: Body| Entry {
                id: EntryId(name(13, number)),
                at: Utc::now(),
                bench: log.bench(),
                about,
                body: Written::Known(body),
            };
            if word == "notes" {
                let note =
                    ListeningBody::NoteWritten { mode: Mode("series".to_owned()), words: format!("Word {number}.") };
                log.write(&[entry(&log, Body::Listening(note))]).unwrap();
                continue;
            }
            let take = TakeName::of(&number.to_be_bytes());
            std::fs::create_dir_all(place.join("takes")).unwrap();
            std::fs::write(place.join(format!("takes/{take}.flac")), number.to_be_bytes()).unwrap();
            let sound = KeptSound {
                take,
                seconds: 20.0,
                rate: 48_000,
                channels: 1,
                bytes: 8,
                came_as: Coding::Pcm,
                flaws: Vec::new(),
            };
            let body = Body::Take(TakeBody::TakeKept { sound, recorded: Recorded::of(Played::Riff) });
            log.write(&[entry(&log, body)]).unwrap();
        }
        place
    });
    let mut timings = [Timings::new(), Timings::new()];
    for _ in 0..TIMES {
        for (place, timings) in logs.iter().zip(&mut timings) {
            timings.time(|| {
                let bench = Bench::open(place, Box::new(SystemClock), &SystemDice).unwrap();
                bench.answer(json!({"ask": "bench"}).to_string().as_bytes())
            });
        }
    }
    let [notes, recordings] = timings;
    report.timings("with notes", &notes, f64::INFINITY, f64::INFINITY);
    report.timings("with recordings", &recordings, f64::INFINITY, f64::INFINITY);
    let apart = recordings.median() - notes.median();
    report.number("longer by, in ms, at most 5", &format!("{apart:.2}"), apart <= 5.0);
}
