//! Where files lie that entries name: a folder beside the log for each sort of them, each file named by what it holds.
//!
//! A log names its files and its copies name the same ones, so a file goes only when what named it is erased. A file
//! comes in two steps around the entry that names it, and goes in two steps around the erasing, so that a stop in between
//! leaves neither an entry without its file nor a file that was to be erased: [`Shelf::tidy`] ends what was begun.

mod under_way;

use crate::files::{self as fs, File};
use std::io::{ErrorKind, Read as _, Seek as _, Write as _};
use std::marker::PhantomData;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, TimeDelta, Utc};

pub use self::under_way::{Arriving, Half, Laid};
use crate::Trouble;
use crate::private;
use crate::record::content::ByContent;

/// A file whose entry is about to be written.
const COMING: &str = "coming";
/// A file whose entries are about to be erased.
const GOING: &str = "going";
/// A file that is being written; whoever writes it holds its lock.
const ARRIVING: &str = "arriving";
/// A file that comes in over as many meetings as it takes; whoever adds to it holds its lock.
const HALF: &str = "half";
/// What was begun longer ago than this was begun by a program that has stopped.
const LONGEST: TimeDelta = TimeDelta::hours(1);
/// What can be told of a file, worked out once; it may be thrown away.
const TOLD: &str = "told";

/// A sort of files that lie on a shelf of their own.
pub trait Sort: ByContent {
    /// The folder.
    const FOLDER: &str;
    /// How the names of files end that are kept.
    const ENDING: &str;
    /// Whether each is written part after part, by [`Shelf::receive`].
    const BY_PARTS: bool;
}

/// The folder of one sort of files beside one log.
#[derive(Debug, Clone)]
pub struct Shelf<N>(PathBuf, PhantomData<N>);

impl<N: Sort> Shelf<N> {
    /// The shelf of the log in this folder.
    #[must_use]
    pub fn beside(log_folder: &Path) -> Self {
        Self(log_folder.join(N::FOLDER), PhantomData)
    }

    fn file(&self, name: &N, ending: &str) -> PathBuf {
        self.0.join(format!("{name}.{ending}"))
    }

    /// Begins a file whose name follows from what will be in it.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn receive(&self) -> Result<Arriving, Trouble> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        private::folder(&self.0)?;
        loop {
            let number = COUNT.fetch_add(1, Ordering::Relaxed);
            let path = self.0.join(format!("{}-{number}.{ARRIVING}", crate::files::program()));
            match private::options().read(true).create_new(true).open(&path) {
                Ok(file) => {
                    file.lock()?;
                    return Ok(Arriving { file, path });
                }
                // Left by a program of the same number that has stopped.
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error.into()),
            }
        }
    }

    /// Goes on with the file of this name, or begins it; nothing when it is there whole, or another program is at it.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn half(&self, name: &N) -> Result<Option<Half>, Trouble> {
        private::folder(&self.0)?;
        let path = self.file(name, HALF);
        let file = private::options().read(true).create(true).truncate(false).open(&path)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(fs::TryLockError::WouldBlock) => return Ok(None),
            Err(fs::TryLockError::Error(error)) => return Err(error.into()),
        }
        // Another program may have brought it to its end before the lock was had.
        let there = self.open(name)?.is_some();
        if there && fs::exists(&path)? {
            fs::remove_file(&path)?;
        }
        Ok((!there).then_some(Half { file, path }))
    }

    /// Takes over, synced, what came in to its end and is what its name says; entries name it already.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn complete(&self, name: &N, half: Half) -> Result<(), Trouble> {
        half.file.sync_all()?;
        self.adopt(name, &half.path)?;
        self.settle()
    }

    /// Lays down what arrived, synced, before the entry that names it is written. One that is there already is left as it is.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn lay_down_arrived(&self, name: &N, arrived: Arriving) -> Result<Laid, Trouble> {
        if self.has(name, N::ENDING)? {
            return Ok(Laid(None));
        }
        arrived.file.sync_all()?;
        fs::rename(&arrived.path, self.file(name, COMING))?;
        Ok(Laid(Some(arrived.file.try_clone()?)))
    }

    /// Lays a file down, synced, before the entry that names it is written. One that is there already is left as it is.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room, or the folder can't be used.
    pub fn lay_down(&self, name: &N, bytes: &[u8]) -> Result<(), Trouble> {
        if self.has(name, N::ENDING)? {
            return Ok(());
        }
        private::folder(&self.0)?;
        let unfinished = self.file(name, &format!("{}.part", crate::files::program()));
        let written = (|| {
            let mut file = private::file(&unfinished)?;
            file.write_all(bytes)?;
            file.sync_all()?;
            fs::rename(&unfinished, self.file(name, COMING))
        })();
        if written.is_err() {
            // What is half there is of no use; that it can't be removed either changes nothing.
            let _ = fs::remove_file(&unfinished);
        }
        Ok(written?)
    }

    /// The entry is written: the file is kept.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used; [`Self::tidy`] will do it then.
    pub fn keep(&self, name: &N) -> Result<(), Trouble> {
        moved(&self.file(name, COMING), &self.file(name, N::ENDING))?;
        if cfg!(unix) {
            File::open(&self.0)?.sync_all()?;
        }
        Ok(())
    }

    /// The entry was not written: the file goes again, unless another entry had it already.
    pub fn let_go(&self, name: &N) {
        // What can't be removed now is removed by the next tidying.
        let _ = fs::remove_file(self.file(name, COMING));
    }

    /// Sets a file aside, before the entries that name it are erased.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn set_aside(&self, name: &N) -> Result<(), Trouble> {
        moved(&self.file(name, N::ENDING), &self.file(name, GOING))
    }

    /// Puts a file that was set aside back: it is named still.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used; it is found all the same.
    pub fn put_back(&self, name: &N) -> Result<(), Trouble> {
        moved(&self.file(name, GOING), &self.file(name, N::ENDING))
    }

    /// Throws a file away that was set aside, for good.
    ///
    /// # Errors
    /// [`Trouble`] when it can't be removed.
    pub fn throw_away(&self, name: &N) -> Result<(), Trouble> {
        // Where it stays behind, it tells of nothing that is there.
        let _ = fs::remove_file(self.file(name, TOLD));
        let _ = fs::remove_file(self.file(name, HALF));
        match fs::remove_file(self.file(name, GOING)) {
            Err(error) if error.kind() != ErrorKind::NotFound => Err(error.into()),
            _ => Ok(()),
        }
    }

    /// Throws a file away that no entry names any more, also one that another program brought in meanwhile.
    ///
    /// # Errors
    /// [`Trouble`] when it can't be removed.
    pub fn clear(&self, name: &N) -> Result<(), Trouble> {
        self.set_aside(name)?;
        self.throw_away(name)
    }

    /// A file, if it is there and is what its name says.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be read.
    pub fn read(&self, name: &N) -> Result<Option<Vec<u8>>, Trouble> {
        let Some(mut file) = self.open(name)? else { return Ok(None) };
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        // It may have been changed since it was opened.
        Ok(name.names(&bytes).then_some(bytes))
    }

    /// A file to be read part after part, if it is there and is what its name says.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be read.
    pub fn open(&self, name: &N) -> Result<Option<File>, Trouble> {
        for ending in [N::ENDING, COMING, GOING] {
            if let Some(file) = self.sound(name, ending)? {
                return Ok(Some(file));
            }
        }
        Ok(None)
    }

    /// A file to be read from its middle, whatever is in it by now.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be read.
    pub fn open_unread(&self, name: &N) -> Result<Option<File>, Trouble> {
        match File::open(self.file(name, N::ENDING)) {
            Ok(file) => Ok(Some(file)),
            Err(error) if error.kind() == ErrorKind::NotFound => self.open(name),
            Err(error) => Err(error.into()),
        }
    }

    /// What was worked out of a file before; nothing where it was not, or was thrown away.
    #[must_use]
    pub fn told(&self, name: &N) -> Option<Vec<u8>> {
        fs::read(self.file(name, TOLD)).ok()
    }

    /// Keeps what was worked out of a file. It can be worked out again, so that it can't be kept is no trouble.
    pub fn keep_told(&self, name: &N, told: &[u8]) {
        let fresh = self.file(name, &format!("{TOLD}.{}.part", crate::files::program()));
        let written = private::file(&fresh).and_then(|mut file| {
            file.write_all(told)?;
            fs::rename(&fresh, self.file(name, TOLD))
        });
        if written.is_err() {
            let _ = fs::remove_file(&fresh);
        }
    }

    /// Whether a file of this name lies there, whatever is in it.
    #[must_use]
    pub fn lies(&self, name: &N) -> bool {
        [N::ENDING, COMING, GOING].iter().any(|ending| fs::exists(self.file(name, ending)).unwrap_or(false))
    }

    /// Takes a file over that lies in another folder of the same disk and that entries name already.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub(crate) fn adopt(&self, name: &N, from: &Path) -> Result<(), Trouble> {
        private::folder(&self.0)?;
        moved(from, &self.file(name, N::ENDING))
    }

    /// Makes sure that files taken over outlast a power cut, where a system lets a program do so.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub(crate) fn settle(&self) -> Result<(), Trouble> {
        if cfg!(unix) && self.0.exists() {
            File::open(&self.0)?.sync_all()?;
        }
        Ok(())
    }

    /// Ends what a program that was stopped had begun; `is_named` answers whether an entry names a file.
    ///
    /// # Errors
    /// [`Trouble`] when the folder or the log can't be used.
    pub fn tidy(&self, now: DateTime<Utc>, is_named: impl Fn(&N) -> Result<bool, Trouble>) -> Result<(), Trouble> {
        let Ok(files) = fs::read_dir(&self.0) else { return Ok(()) };
        for file in files.filter_map(Result::ok) {
            let path = file.path();
            let text = file.file_name().to_string_lossy().into_owned();
            let Some((stem, ending)) = text.split_once('.') else { continue };
            if ending == N::ENDING || ending == TOLD {
                continue;
            }
            // What came by parts is locked for as long as somebody is at it.
            let by_parts = matches!(ending, ARRIVING | HALF) || (ending == COMING && N::BY_PARTS);
            let under_way = if by_parts {
                is_locked(&path)
            } else if ending.starts_with(TOLD) {
                // Nobody misses what can be worked out again.
                false
            } else {
                let begun = file.metadata().and_then(|data| data.modified()).map(DateTime::<Utc>::from);
                !begun.is_ok_and(|begun| (now - begun).abs() > LONGEST)
            };
            if under_way {
                continue;
            }
            if ending == ARRIVING {
                fs::remove_file(&path)?;
                continue;
            }
            let Ok(name) = N::try_from(stem.to_owned()) else { continue };
            match ending {
                COMING | GOING if is_named(&name)? => moved(&path, &self.file(&name, N::ENDING))?,
                COMING | GOING => fs::remove_file(&path)?,
                // What is named still goes on where it was.
                HALF if is_named(&name)? && !self.lies(&name) => {}
                HALF => fs::remove_file(&path)?,
                _ if ending.ends_with(".part") => fs::remove_file(&path)?,
                _ => {}
            }
        }
        Ok(())
    }

    fn has(&self, name: &N, ending: &str) -> Result<bool, Trouble> {
        // One that was changed on disk is written anew.
        Ok(self.sound(name, ending)?.is_some())
    }

    /// The file with this ending, if it is there and is what its name says.
    fn sound(&self, name: &N, ending: &str) -> Result<Option<File>, Trouble> {
        match File::open(self.file(name, ending)) {
            Ok(mut file) => {
                let is = N::of_all(&mut file)? == *name;
                file.rewind()?;
                Ok(is.then_some(file))
            }
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error.into()),
        }
    }
}

/// Lets go of a file's lock. Closing the file is not enough: a program that is just being started has it open too, for a moment.
fn unlock(file: &File) {
    // What isn't let go of now is so when everybody has closed the file.
    let _ = file.unlock();
}

/// Whether somebody holds the lock of this file.
fn is_locked(path: &Path) -> bool {
    File::open(path).is_ok_and(|file| file.try_lock().map(|()| unlock(&file)).is_err())
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
    use std::fs;

    use super::*;
    use crate::photos::{Photo, Shelf};
    use crate::record::photo::PhotoName;
    use crate::record::take::TakeName;
    use crate::takes;

    fn photo(bytes: &[u8]) -> Photo {
        Photo { name: PhotoName::of(bytes), bytes: bytes.to_vec(), width: 1, height: 1 }
    }

    fn files<N>(shelf: &super::Shelf<N>) -> Vec<String> {
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
        shelf.lay_down(&photo.name, &photo.bytes).expect("laid down");
        assert_eq!(files(&shelf), ["coming"]);
        shelf.keep(&photo.name).expect("kept");
        shelf.keep(&photo.name).expect("kept once");
        shelf.lay_down(&photo.name, &photo.bytes).expect("there already");
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
        shelf.lay_down(&photo.name, &photo.bytes).and_then(|()| shelf.keep(&photo.name)).expect("kept");
        fs::write(shelf.file(&photo.name, PhotoName::ENDING), b"after").expect("changed");
        assert_eq!(shelf.read(&photo.name).expect("read"), None);
        shelf.lay_down(&photo.name, &photo.bytes).and_then(|()| shelf.keep(&photo.name)).expect("kept anew");
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
            shelf.lay_down(&photo.name, &photo.bytes).expect("laid down");
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

    /// What came part after part is swept as soon as nobody holds it, however young it is.
    #[test]
    fn what_is_left_half_is_swept_at_once_and_what_is_under_way_is_not() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let shelf = takes::Shelf::beside(folder.path());
        let endings = || {
            let all = fs::read_dir(&shelf.0).expect("it is there").filter_map(Result::ok);
            let mut endings: Vec<String> = all
                .map(|file| file.file_name().to_string_lossy().rsplit('.').next().unwrap_or_default().to_owned())
                .collect();
            endings.sort();
            endings
        };
        let (one, other) = (TakeName::of(b"one"), TakeName::of(b"other"));
        let mut arriving = shelf.receive().expect("begun");
        arriving.write(b"one").expect("written");
        shelf.tidy(Utc::now(), |_| Ok(false)).expect("nothing to do");
        assert_eq!(endings(), ["arriving"], "under way");
        let laid = shelf.lay_down_arrived(&one, arriving).expect("laid down");
        shelf.tidy(Utc::now(), |_| Ok(false)).expect("nothing to do");
        assert_eq!(endings(), ["coming"], "under way");
        drop(laid);
        shelf.tidy(Utc::now(), |_| Ok(true)).expect("it is named");
        assert_eq!(endings(), ["flac"]);
        // Stopped before and after it had its name, and one that is there twice.
        for bytes in [&b"other"[..], b"one"] {
            let mut left = shelf.receive().expect("begun");
            left.write(bytes).expect("written");
            let name = TakeName::of(bytes);
            drop(shelf.lay_down_arrived(&name, left).expect("laid down"));
        }
        fs::write(shelf.0.join("99-0.arriving"), b"half").expect("left");
        fs::write(shelf.file(&one, "told.99.part"), b"half").expect("left");
        shelf.tidy(Utc::now(), |_| Ok(false)).expect("tidied");
        assert_eq!((endings(), shelf.read(&other).expect("read")), (vec!["flac".to_owned()], None));
        // What was worked out goes with its file.
        shelf.keep_told(&one, b"loud");
        assert_eq!(shelf.told(&one).as_deref(), Some(&b"loud"[..]));
        shelf.set_aside(&one).and_then(|()| shelf.throw_away(&one)).expect("thrown away");
        assert_eq!((endings(), shelf.told(&one)), (Vec::new(), None));
    }

    /// A program that is being started has all files of its parent open until it begins; nothing stays locked by that.
    #[test]
    fn what_is_let_go_of_is_not_locked_although_another_has_it_open() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let shelf = takes::Shelf::beside(folder.path());
        let (one, other) = (TakeName::of(b"one"), TakeName::of(b"other"));
        let mut half = shelf.half(&one).expect("begun").expect("nobody is at it");
        half.add(b"o").expect("added");
        let started = half.file.try_clone().expect("open twice");
        assert!(shelf.half(&one).expect("asked").is_none(), "somebody is at it");
        drop(half);
        drop(shelf.half(&one).expect("gone on with").expect("nobody is at it"));
        let mut arriving = shelf.receive().expect("begun");
        arriving.write(b"other").expect("written");
        let started = (started, arriving.file.try_clone().expect("open twice"));
        drop(shelf.lay_down_arrived(&other, arriving).expect("laid down"));
        shelf.tidy(Utc::now(), |_| Ok(false)).expect("tidied");
        assert_eq!(files(&shelf), Vec::<String>::new());
        drop(started);
    }
}
