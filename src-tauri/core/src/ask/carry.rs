//! One bundle on its way out or in, and the thread that works on it.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use crate::ask::Refusal;
use crate::ask::beside::Beside;
use crate::ask::carry_view::{CarryId, CarryView, Carrying, Standing};
use crate::logbook::Trouble;
use crate::logbook::bundle::{BundleNews, NotCarried, Tray, Watch};
use crate::record::names::BenchId;

/// One carrying, and who works on it.
pub(crate) struct Carry {
    pub(super) id: CarryId,
    pub(super) carrying: Carrying,
    pub(super) tray: Arc<Tray>,
    pub(super) watch: Arc<Watch>,
    pub(super) stands: Arc<Mutex<Stands>>,
    pub(super) work: Option<Beside>,
}

/// How far it came.
#[derive(Debug, Clone)]
pub(crate) enum Stands {
    Working,
    Packed { file: String, bytes: u64, sentence: String },
    Looked(Box<BundleNews>),
    TakenIn(String),
    Failed(Refusal),
    CalledOff,
}

impl Carry {
    pub(crate) fn begin(folder: &Path, id: CarryId, carrying: Carrying) -> Result<Self, Refusal> {
        Ok(Self {
            id,
            carrying,
            tray: Arc::new(Tray::put(folder, id.0)?),
            watch: Arc::default(),
            stands: Arc::new(Mutex::new(Stands::Working)),
            work: None,
        })
    }

    pub(crate) fn stands(&self) -> Stands {
        self.stands.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    pub(crate) fn is_working(&self) -> bool {
        matches!(self.stands(), Stands::Working)
    }

    /// Does the work beside the bench.
    pub(crate) fn set_to_work(
        &mut self,
        found_damaged: &Arc<AtomicBool>,
        work: impl FnOnce(&Tray, &Watch) -> Result<Stands, NotCarried> + Send + 'static,
    ) {
        let (tray, watch, stands) = (Arc::clone(&self.tray), Arc::clone(&self.watch), Arc::clone(&self.stands));
        let found_damaged = Arc::clone(found_damaged);
        *stands.lock().unwrap_or_else(PoisonError::into_inner) = Stands::Working;
        self.work = Some(Beside::begin(move || {
            // Were there a mistake in it, nobody may wait for ever.
            let done = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| work(&tray, &watch)));
            let now = match done {
                Ok(Ok(now)) => now,
                Ok(Err(NotCarried::CalledOff)) => Stands::CalledOff,
                Ok(Err(not_carried)) => {
                    if matches!(not_carried, NotCarried::Trouble(Trouble::Damaged(_))) {
                        found_damaged.store(true, Ordering::SeqCst);
                    }
                    Stands::Failed(not_carried.into())
                }
                Err(_) => Stands::Failed(Trouble::Program("while a bundle was carried".to_owned()).into()),
            };
            *stands.lock().unwrap_or_else(PoisonError::into_inner) = now;
        }));
    }

    /// Calls it off and waits until nobody works on it.
    pub(crate) fn end(mut self) {
        self.watch.call_off();
        if let Some(work) = self.work.take() {
            // What went wrong in it is in its standing.
            work.wait();
        }
    }

    pub(crate) fn view(&self, this_bench: BenchId) -> CarryView {
        let (phase, hundredths) = self.watch.now();
        let mut view = CarryView {
            id: self.id,
            carrying: self.carrying,
            standing: Standing::Done,
            hundredths: 100,
            sentence: String::new(),
            lines: Vec::new(),
            warnings: Vec::new(),
            anything_new: false,
            file: None,
            bytes: None,
        };
        match self.stands() {
            Stands::Working => {
                view.standing = Standing::Working;
                view.hundredths = hundredths;
                view.sentence = format!("{}.", phase.words());
            }
            Stands::Packed { file, bytes, sentence } => {
                view.sentence = sentence;
                view.file = Some(file);
                view.bytes = Some(bytes);
            }
            Stands::Looked(found) => {
                view.anything_new = found.is_anything_new();
                view.sentence = if view.anything_new {
                    "The bundle is whole. This is what it would bring.".to_owned()
                } else {
                    "The bundle is whole. Everything in it is here already.".to_owned()
                };
                view.lines = found.in_words(this_bench);
                view.warnings = found.warnings();
            }
            Stands::TakenIn(sentence) => view.sentence = sentence,
            Stands::Failed(refusal) => {
                view.standing = Standing::Refused;
                view.sentence = refusal.sentence;
            }
            Stands::CalledOff => {
                view.standing = Standing::CalledOff;
                view.sentence = NotCarried::CalledOff.sentence();
            }
        }
        view
    }
}
