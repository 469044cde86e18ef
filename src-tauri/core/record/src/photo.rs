//! The name of a photo.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use ts_rs::TS;

use crate::words::Unclear;

/// A photo's name: the SHA-256 of its kept bytes, as 64 small hexadecimal digits. Never a path.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(try_from = "String", into = "String")]
#[ts(export_to = "contract/entry.ts", type = "string")]
pub struct PhotoName(String);

impl PhotoName {
    /// The name of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect())
    }

    /// Whether these bytes are what the name says: a file changed on disk, or in a copy, is not.
    #[must_use]
    pub fn names(&self, bytes: &[u8]) -> bool {
        *self == Self::of(bytes)
    }

    /// As text; safe as a file's name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for PhotoName {
    type Error = Unclear;

    /// # Errors
    /// [`Unclear`] for anything but 64 small hexadecimal digits.
    fn try_from(text: String) -> Result<Self, Unclear> {
        let digits = text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
        if text.len() == 64 && digits {
            Ok(Self(text))
        } else {
            Err(Unclear::new("That is not the name of a photo. A photo is named by 64 digits from 0 to f."))
        }
    }
}

impl From<PhotoName> for String {
    fn from(name: PhotoName) -> Self {
        name.0
    }
}

impl fmt::Display for PhotoName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
