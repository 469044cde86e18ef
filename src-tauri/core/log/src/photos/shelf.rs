//! Where photos lie: a folder beside the log, each file named by what it holds.
//!
//! A log names its photos and its copies name the same ones, so a photo goes only when what named it is erased. A photo
//! comes in two steps around the entry that names it, and goes in two steps around the erasing, so that a stop in between
//! leaves neither an entry without its photo nor a photo that was to be erased: [`Shelf::tidy`] ends what was begun.

use std::fs::{self, File};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};

use super::Photo;
use crate::Trouble;
use crate::private;
use crate::record::photo::PhotoName;

const FOLDER: &str = "photos";
/// A photo that is named by an entry.
const KEPT: &str = "jpg";
/// A photo whose entry is about to be written.
const COMING: &str = "coming";
/// A photo whose entries are about to be erased.
const GOING: &str = "going";
/// What was begun longer ago than this was begun by a program that has stopped.
const LONGEST: TimeDelta = TimeDelta::hours(1);

/// The folder of photos beside one log.
#[derive(Debug, Clone)]
pub struct Shelf(PathBuf);

impl Shelf {
    /// The shelf of the log in this folder.
    #[must_use]
    pub fn beside(log_folder: &Path) -> Self {
        Self(log_folder.join(FOLDER))
    }

    fn file(&self, name: &PhotoName, ending: &str) -> PathBuf {
        self.0.join(format!("{name}.{ending}"))
    }

    /// Lays a photo down, synced, before the entry that names it is written. One that is there already is left as it is.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room, or the folder can't be used.
    pub fn lay_down(&self, photo: &Photo) -> Result<(), Trouble> {
        if self.has(&photo.name, KEPT)? {
            return Ok(());
        }
        private::folder(&self.0)?;
        let unfinished = self.file(&photo.name, &format!("{}.part", std::process::id()));
        let written = (|| {
            let mut file = private::file(&unfinished)?;
            file.write_all(&photo.bytes)?;
            file.sync_all()?;
            fs::rename(&unfinished, self.file(&photo.name, COMING))
        })();
        if written.is_err() {
            // What is half there is of no use; that it can't be removed either changes nothing.
            let _ = fs::remove_file(&unfinished);
        }
        Ok(written?)
    }

    /// The entry is written: the photo is kept.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used; [`Self::tidy`] will do it then.
    pub fn keep(&self, name: &PhotoName) -> Result<(), Trouble> {
        moved(&self.file(name, COMING), &self.file(name, KEPT))?;
        if cfg!(unix) {
            File::open(&self.0)?.sync_all()?;
        }
        Ok(())
    }

    /// The entry was not written: the photo goes again, unless another entry had it already.
    pub fn let_go(&self, name: &PhotoName) {
        // What can't be removed now is removed by the next tidying.
        let _ = fs::remove_file(self.file(name, COMING));
    }

    /// Sets a photo aside, before the entries that name it are erased.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn set_aside(&self, name: &PhotoName) -> Result<(), Trouble> {
        moved(&self.file(name, KEPT), &self.file(name, GOING))
    }

    /// Puts a photo that was set aside back: it is named still.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used; it is found all the same.
    pub fn put_back(&self, name: &PhotoName) -> Result<(), Trouble> {
        moved(&self.file(name, GOING), &self.file(name, KEPT))
    }

    /// Throws a photo away that was set aside, for good.
    ///
    /// # Errors
    /// [`Trouble`] when it can't be removed.
    pub fn throw_away(&self, name: &PhotoName) -> Result<(), Trouble> {
        match fs::remove_file(self.file(name, GOING)) {
            Err(error) if error.kind() != ErrorKind::NotFound => Err(error.into()),
            _ => Ok(()),
        }
    }

    /// A photo, if it is there and is what its name says.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be read.
    pub fn read(&self, name: &PhotoName) -> Result<Option<Vec<u8>>, Trouble> {
        for ending in [KEPT, COMING, GOING] {
            match fs::read(self.file(name, ending)) {
                Ok(bytes) if name.names(&bytes) => return Ok(Some(bytes)),
                Ok(_) => {}
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => return Err(error.into()),
            }
        }
        Ok(None)
    }

    /// Whether a photo of this name lies there, whatever is in it.
    #[must_use]
    pub fn lies(&self, name: &PhotoName) -> bool {
        [KEPT, COMING, GOING].iter().any(|ending| self.file(name, ending).exists())
    }

    /// Takes a photo over that lies in another folder of the same disk and that entries name already.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub(crate) fn adopt(&self, name: &PhotoName, from: &Path) -> Result<(), Trouble> {
        private::folder(&self.0)?;
        moved(from, &self.file(name, KEPT))
    }

    /// Makes sure that photos taken over outlast a power cut, where a system lets a program do so.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub(crate) fn settle(&self) -> Result<(), Trouble> {
        if cfg!(unix) && self.0.exists() {
            File::open(&self.0)?.sync_all()?;
        }
        Ok(())
    }

    /// Ends what a program that was stopped had begun; `is_named` answers whether an entry names a photo.
    ///
    /// # Errors
    /// [`Trouble`] when the folder or the log can't be used.
    pub fn tidy(
        &self,
        now: DateTime<Utc>,
        is_named: impl Fn(&PhotoName) -> Result<bool, Trouble>,
    ) -> Result<(), Trouble> {
        let Ok(files) = fs::read_dir(&self.0) else { return Ok(()) };
        for file in files.filter_map(Result::ok) {
            let path = file.path();
            let begun = file.metadata().and_then(|data| data.modified()).map(DateTime::<Utc>::from);
            if !begun.is_ok_and(|begun| (now - begun).abs() > LONGEST) {
                continue;
            }
            let text = file.file_name().to_string_lossy().into_owned();
            let Some((stem, ending)) = text.split_once('.') else { continue };
            let Ok(name) = PhotoName::try_from(stem.to_owned()) else { continue };
            match ending {
                COMING | GOING if is_named(&name)? => moved(&path, &self.file(&name, KEPT))?,
                COMING | GOING => fs::remove_file(&path)?,
                _ if ending.ends_with(".part") => fs::remove_file(&path)?,
                _ => {}
            }
        }
        Ok(())
    }

    fn has(&self, name: &PhotoName, ending: &str) -> Result<bool, Trouble> {
        match fs::read(self.file(name, ending)) {
            // One that was changed on disk is written anew.
            Ok(bytes) => Ok(name.names(&bytes)),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(false),
            Err(error) => Err(error.into()),
        }
    }
}

/// Gives a file its other name; that it is not there (any more) is as good.
fn moved(from: &Path, to: &Path) -> Result<(), Trouble> {
    match fs::rename(from, to) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error.into()),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(bytes: &[u8]) -> Photo {
        Photo { name: PhotoName::of(bytes), bytes: bytes.to_vec(), width: 1, height: 1 }
    }

    fn files(shelf: &Shelf) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&shelf.0)
            .map(|files| {
                files
                    .filter_map(|file| file.ok()?.file_name().to_str()?.split_once('.').map(|(_, e)| e.to_owned()))
                    .collect()
            })
            .unwrap_or_default();
        names.sort();
        names
    }

    fn later() -> DateTime<Utc> {
        DateTime::<Utc>::from(std::time::SystemTime::now()) + TimeDelta::hours(3)
    }

    #[test]
    fn a_photo_comes_stays_and_goes() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let shelf = Shelf::beside(folder.path());
        let photo = photo(b"a lacquered top");
        assert_eq!(shelf.read(&photo.name).expect("read"), None);
        shelf.lay_down(&photo).expect("laid down");
        assert_eq!(files(&shelf), ["coming"]);
        shelf.keep(&photo.name).expect("kept");
        shelf.keep(&photo.name).expect("kept once");
        shelf.lay_down(&photo).expect("there already");
        assert_eq!(files(&shelf), ["jpg"]);
        shelf.let_go(&photo.name);
        assert_eq!(shelf.read(&photo.name).expect("read").as_deref(), Some(&photo.bytes[..]));
        shelf.set_aside(&photo.name).expect("set aside");
        assert!(shelf.read(&photo.name).expect("read").is_some());
        shelf.put_back(&photo.name).expect("put back");
        shelf.set_aside(&photo.name).expect("set aside");
        shelf.throw_away(&photo.name).expect("thrown away");
        shelf.throw_away(&photo.name).expect("once");
        assert_eq!((shelf.read(&photo.name).expect("read"), files(&shelf)), (None, vec![]));
    }

    #[test]
    fn a_photo_changed_on_disk_is_not_shown_as_what_it_was() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let shelf = Shelf::beside(folder.path());
        let photo = photo(b"before");
        shelf.lay_down(&photo).and_then(|()| shelf.keep(&photo.name)).expect("kept");
        fs::write(shelf.file(&photo.name, KEPT), b"after").expect("changed");
        assert_eq!(shelf.read(&photo.name).expect("read"), None);
        shelf.lay_down(&photo).and_then(|()| shelf.keep(&photo.name)).expect("kept anew");
        assert!(shelf.read(&photo.name).expect("read").is_some());
    }

    /// A stop at each place: what is named stays, what is not named goes, and what is under way is left alone.
    #[test]
    fn what_was_begun_is_ended() {
        for (aside, named, left) in
            [(false, true, vec!["jpg"]), (false, false, vec![]), (true, true, vec!["jpg"]), (true, false, vec![])]
        {
            let folder = tempfile::tempdir().expect("a scratch folder");
            let shelf = Shelf::beside(folder.path());
            let photo = photo(b"a top");
            shelf.lay_down(&photo).expect("laid down");
            if aside {
                shelf.keep(&photo.name).and_then(|()| shelf.set_aside(&photo.name)).expect("set aside");
            }
            fs::write(shelf.file(&photo.name, "99.part"), b"half").expect("written");
            shelf.tidy(later() - TimeDelta::hours(3), |_| Ok(named)).expect("nothing to do yet");
            assert_eq!(files(&shelf).len(), 2, "under way in another program");
            shelf.tidy(later(), |_| Ok(named)).expect("tidied");
            assert_eq!(files(&shelf), left, "set aside {aside}, named {named}");
        }
    }
}
