//! What lies in files, whoever wrote them.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// The files under a folder in which these letters stand, small ones, whether they are written small or large there.
#[must_use]
pub fn files_with(folder: &Path, letters: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for file in fs::read_dir(folder).expect("a folder").filter_map(Result::ok) {
        let path = file.path();
        if path.is_dir() {
            found.extend(files_with(&path, letters));
        } else if path.is_file() {
            let bytes = match fs::read(&path) {
                // Who wrote it may take it away meanwhile.
                Err(error) if error.kind() == ErrorKind::NotFound => continue,
                read => read.expect("a file that can be read"),
            };
            if bytes.to_ascii_lowercase().windows(letters.len()).any(|part| part == letters.as_bytes()) {
                found.push(path);
            }
        }
    }
    found
}
