//! Files and folders for their owner alone: whatever lies beside a log is made here, so that no other account of the same
//! machine can read or change it.
//!
//! Rights are those of Unix. Elsewhere, and on a disk that keeps none (a memory stick in FAT), files are made as the
//! system makes them.

use std::io;
use std::path::Path;

use crate::files::{DirBuilder, File, OpenOptions};

/// Folders beside a log, with all that lies in them.
#[cfg(unix)]
const FOLDERS: [&str; 4] = ["copies", "photos", "takes", "carry"];
/// What the names of files beside a log begin with.
#[cfg(unix)]
const FILES: [&str; 6] = ["solderlast", "damaged-", "phones.", "door.", "blind.", "meet."];

/// Makes a folder, and those it lies in where they are missing, for their owner alone. One that is there is left as it is.
///
/// # Errors
/// When it can't be made.
pub fn folder(path: &Path) -> io::Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}

/// How a file is opened for writing: if it is made, then for its owner alone. Say also whether it may be there already.
#[must_use]
pub fn options() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}

/// Makes a file, or empties the one that is there.
///
/// # Errors
/// When it can't be written.
pub fn file(path: &Path) -> io::Result<File> {
    options().create(true).truncate(true).open(path)
}

/// Makes an empty file if there is none. SQLite takes it for its own, and gives what it lays beside it the same rights.
///
/// # Errors
/// When it can't be made.
pub fn begin(path: &Path) -> io::Result<()> {
    options().create(true).truncate(false).open(path).map(drop)
}

/// Takes the rights of others from a log's folder and all that belongs to the log, as older versions and copying
/// programs left them. The owner's own rights stay. What is not the owner's to change is left as it is, and so are other
/// files in the folder, and a folder that many use (one with the sticky bit, such as `/tmp`).
pub fn mend(log_folder: &Path) {
    #[cfg(not(unix))]
    let _ = log_folder;
    #[cfg(unix)]
    {
        rights::close(log_folder);
        let Ok(inside) = std::fs::read_dir(log_folder) else { return };
        for one in inside.filter_map(Result::ok) {
            let name = one.file_name();
            let Some(name) = name.to_str() else { continue };
            if FOLDERS.contains(&name) {
                rights::close_all_in(&one.path());
            } else if FILES.iter().any(|begins| name.starts_with(begins)) {
                rights::close(&one.path());
            }
        }
    }
}

#[cfg(unix)]
mod rights {
    use std::fs::{self, Permissions};
    use std::os::unix::fs::PermissionsExt as _;
    use std::path::Path;

    /// What the owner may do.
    const OWN: u32 = 0o700;
    /// All that can be said of a file's rights.
    const ALL: u32 = 0o7777;
    const STICKY: u32 = 0o1000;

    /// Takes the rights of others from one file or folder. A link is left alone: what it leads to is not ours.
    pub fn close(path: &Path) {
        let Ok(data) = fs::symlink_metadata(path) else { return };
        let mode = data.permissions().mode() & ALL;
        let ours = (data.is_dir() && mode & STICKY == 0) || data.is_file();
        if ours && mode & !OWN != 0 {
            // That it can't be done here must not keep anybody from their log.
            let _ = fs::set_permissions(path, Permissions::from_mode(mode & OWN));
        }
    }

    /// The same with all that lies in a folder. One that is closed already is not looked through: nobody else can reach
    /// what lies in it, and there may be thousands of photos. So it is closed last.
    pub fn close_all_in(folder: &Path) {
        let is_open =
            fs::symlink_metadata(folder).is_ok_and(|data| data.is_dir() && data.permissions().mode() & 0o077 != 0);
        if !is_open {
            return;
        }
        for path in fs::read_dir(folder).into_iter().flatten().filter_map(|one| one.ok().map(|one| one.path())) {
            if path.symlink_metadata().is_ok_and(|data| data.is_dir()) {
                close_all_in(&path);
            }
            close(&path);
        }
        close(folder);
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::fs;
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    use super::*;

    fn mode(path: &Path) -> u32 {
        fs::symlink_metadata(path).expect("it is there").permissions().mode() & 0o7777
    }

    fn with_mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("ours");
    }

    #[test]
    fn what_is_made_is_made_for_its_owner() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let inner = scratch.path().join("a/b");
        folder(&inner).and_then(|()| folder(&inner)).expect("made, and there already");
        assert_eq!((mode(&inner), mode(&scratch.path().join("a"))), (0o700, 0o700));
        let (made, begun) = (inner.join("made"), inner.join("begun"));
        file(&made).and_then(|_| begin(&begun)).expect("made");
        assert_eq!((mode(&made), mode(&begun)), (0o600, 0o600));
        fs::write(&begun, "kept").and_then(|()| begin(&begun)).expect("there already");
        assert_eq!(fs::read_to_string(&begun).expect("read"), "kept");
    }

    #[test]
    fn the_rights_of_others_are_taken_and_nothing_else_is_touched() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let log = scratch.path().join("log");
        let elsewhere = scratch.path().join("elsewhere");
        fs::create_dir_all(log.join("carry/x/photos")).expect("made");
        fs::create_dir_all(log.join("copies")).expect("made");
        fs::create_dir_all(log.join("other")).expect("made");
        let ours =
            ["solderlast.db", "solderlast.db-wal", "damaged-1.db", "phones.json", "copies/c.db", "carry/x/photos/p"];
        let not_ours = ["notes.txt", "other/script"];
        for name in ours.iter().chain(&not_ours) {
            fs::write(log.join(name), "x").expect("written");
            with_mode(&log.join(name), 0o755);
        }
        fs::write(&elsewhere, "x").expect("written");
        with_mode(&elsewhere, 0o644);
        symlink(&elsewhere, log.join("solderlast.link")).expect("linked");
        with_mode(&log.join("phones.json"), 0o444);
        for name in ["", "copies", "carry", "carry/x", "carry/x/photos", "other"] {
            with_mode(&log.join(name), 0o775);
        }
        mend(&log);
        for name in ours.iter().chain(&["", "copies", "carry", "carry/x", "carry/x/photos"]) {
            assert_eq!(mode(&log.join(name)) & 0o077, 0, "{name}");
        }
        assert_eq!(
            (mode(&log.join("solderlast.db")), mode(&log.join("phones.json"))),
            (0o700, 0o400),
            "the owner's stay"
        );
        assert_eq!((mode(&log.join("notes.txt")), mode(&log.join("other/script"))), (0o755, 0o755));
        assert_eq!(mode(&elsewhere), 0o644, "a link is not followed");
        // A folder that many use stays theirs.
        with_mode(&log, 0o1777);
        with_mode(&log.join("solderlast.db"), 0o644);
        mend(&log);
        assert_eq!((mode(&log), mode(&log.join("solderlast.db"))), (0o1777, 0o600));
        mend(&scratch.path().join("nothing here"));
    }
}
