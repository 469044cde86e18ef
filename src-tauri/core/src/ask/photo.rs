//! Photos of a finish or of a guitar's wiring: they come as files, not as JSON, so they have an entrance of their own beside [`Bench::ask`].

use chrono::{DateTime, Utc};

use super::{Code, Refusal};
use crate::ask::acts::{Asked, Does, MOST_ANEW, is_version_7};
use crate::ask::audition::view::audition_reply;
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::stroke::{is_written, write_bodies};
use crate::ask::things::pages::show;
use crate::logbook::photos::{Photo, PhotoRefusal, Shelf, clean};
use crate::logbook::{Log, Trouble, is_shared};
use crate::record::audition::{AuditionId, PhotoKind};
use crate::record::body::{BenchBody, Body};
use crate::record::entry::About;
use crate::record::install::InstallId;
use crate::record::names::EntryId;
use crate::record::photo::PhotoName;

/// The most photos one audition or install may have.
const MOST: usize = 40;

/// A photo to be kept, and what it is of.
#[derive(Clone, Copy)]
struct PhotoCleaned<'a> {
    entry: EntryId,
    about: About,
    look: PhotoKind,
    photo: &'a Photo,
}

impl Asked for PhotoCleaned<'_> {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        bench.write_photo(log, self, now)
    }
}

impl Bench {
    /// Cleans a photo, keeps it beside the log, and writes down that it was taken. Asked again with the same `entry`, it
    /// writes nothing more and answers the same. `of` names the audition, or for a photo of the wiring the install.
    ///
    /// # Errors
    /// A [`Refusal`] with [`Code::Photo`] when the file is no photo that can be kept, or as for any other ask that
    /// writes; then nothing was written and nothing of the file is kept.
    pub fn take_photo(&self, entry: EntryId, of: AuditionId, look: PhotoKind, file: &[u8]) -> Result<Reply, Refusal> {
        if !is_version_7(entry.0) || !is_version_7(of.0) {
            return Err(Refusal::unclear(
                "entry",
                "The names of an entry and of what it is about are version-7 UUIDs.",
            ));
        }
        let about = match look {
            PhotoKind::Before | PhotoKind::After => About::Audition(of),
            PhotoKind::Wiring => About::Fit(InstallId(of.0)),
        };
        // Decoding takes its time; nobody else has to wait for it.
        let photo = clean(file)?;
        self.answer_at_log(PhotoCleaned { entry, about, look, photo: &photo })
    }

    fn write_photo(&self, log: &mut Log, cleaned: PhotoCleaned<'_>, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let PhotoCleaned { entry, about, look, photo } = cleaned;
        for _ in 0..MOST_ANEW {
            let decided = log.stamp()?;
            if is_written(log, entry, about)? {
                return show(log, about, now);
            }
            let before = log.about(about)?;
            if before.is_empty() {
                return Err(Refusal::not_found(if look == PhotoKind::Wiring { "fit sheet" } else { "audition" }));
            }
            let photos = before
                .iter()
                .filter(|(entry, _)| matches!(entry.body.known(), Some(Body::Bench(BenchBody::PhotoTaken { .. }))));
            if photos.count() >= MOST {
                let sentence = format!("There are {MOST} photos here already. Nothing was kept.");
                return Err(Refusal::new(Code::NotNow, sentence));
            }
            let shelf = self.shelf();
            shelf.lay_down(&photo.name, &photo.bytes)?;
            let body = Body::Bench(BenchBody::PhotoTaken { look, photo: photo.name.clone() });
            let written = write_bodies(log, entry, about, vec![body], &before, now, decided);
            if !matches!(written, Ok(true)) {
                shelf.let_go(&photo.name);
            }
            if written? {
                shelf.keep(&photo.name)?;
                let About::Audition(audition) = about else { return show(log, about, now) };
                return audition_reply(log, audition, now);
            }
        }
        Err(Trouble::Busy.into())
    }

    /// A photo as it is kept, a JPEG.
    ///
    /// # Errors
    /// A [`Refusal`] when there is none of this name, or what lies there is not what was kept.
    pub fn photo(&self, name: &str) -> Result<Vec<u8>, Refusal> {
        let name =
            PhotoName::try_from(name.to_owned()).map_err(|unclear| Refusal::unclear("photo", unclear.sentence))?;
        self.shelf().read(&name)?.ok_or_else(|| {
            let sentence = "This photo is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        })
    }

    pub(super) fn shelf(&self) -> Shelf {
        Shelf::beside(self.folder())
    }

    /// Erases things for good, and the photos and takes that nothing else names; answers whether other benches do so too.
    pub(super) fn erase(&self, log: &mut Log, things: &[About], now: DateTime<Utc>) -> Result<bool, Refusal> {
        self.end_carry()?;
        self.wait_for_copy();
        let is_shared = is_shared(log.folder())?;
        log.erase_everywhere(things, is_shared, now)?;
        Ok(is_shared)
    }

    /// Erases what is invented. The copies of the log stay: they are somebody's own.
    pub(super) fn erase_demo(&self, log: &mut Log, things: &[About]) -> Result<(), Refusal> {
        self.end_carry()?;
        self.wait_for_copy();
        Ok(log.erase_with_files(things, |log| log.take_out(things))?)
    }
}

impl From<PhotoRefusal> for Refusal {
    fn from(refusal: PhotoRefusal) -> Self {
        Self { code: Code::Photo, sentence: refusal.sentence(), field: Some(refusal.code().to_owned()) }
    }
}
