//! Names of files that are kept beside the log: each is named by what it holds, never by a path.

use std::fmt;
use std::io::{self, Read};

use sha2::{Digest, Sha256};

/// How much of a file is held while it is summed, in bytes.
const PART: usize = 64 * 1024;

/// A name that follows from what a file holds: the SHA-256 of its bytes, as 64 small hexadecimal digits.
pub trait ByContent: Clone + Eq + Ord + fmt::Display + TryFrom<String> {
    /// The name of a file whose SHA-256 is this.
    fn of_sum(sum: &[u8]) -> Self;

    /// The name of these bytes.
    #[must_use]
    fn of(bytes: &[u8]) -> Self {
        Self::of_sum(&Sha256::digest(bytes))
    }

    /// The name of what is read, part after part.
    ///
    /// # Errors
    /// When it can't be read.
    fn of_all(mut source: impl Read) -> io::Result<Self> {
        let (mut sum, mut part) = (Sha256::new(), vec![0; PART]);
        loop {
            match source.read(&mut part) {
                Ok(0) => return Ok(Self::of_sum(&sum.finalize())),
                Ok(length) => sum.update(&part[..length]),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    /// Whether these bytes are what the name says: a file changed on disk, or in a copy, is not.
    #[must_use]
    fn names(&self, bytes: &[u8]) -> bool {
        *self == Self::of(bytes)
    }
}

/// Makes a type of such a name; the word is what such a file is called.
macro_rules! named_by_content {
    ($(#[$doc:meta])* $name:ident, $word:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, ::serde::Serialize, ::serde::Deserialize, ::ts_rs::TS)]
        #[serde(try_from = "String", into = "String")]
        #[ts(export_to = "contract/entry.ts", type = "string")]
        pub struct $name(String);

        impl $name {
            /// The name of these bytes.
            #[must_use]
            pub fn of(bytes: &[u8]) -> Self {
                <Self as $crate::content::ByContent>::of(bytes)
            }

            /// Whether these bytes are what the name says.
            #[must_use]
            pub fn names(&self, bytes: &[u8]) -> bool {
                $crate::content::ByContent::names(self, bytes)
            }

            /// As text; safe as a file's name.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl $crate::content::ByContent for $name {
            fn of_sum(sum: &[u8]) -> Self {
                Self(sum.iter().map(|byte| format!("{byte:02x}")).collect())
            }
        }

        impl TryFrom<String> for $name {
            type Error = $crate::words::Unclear;

            /// # Errors
            /// [`Unclear`](crate::words::Unclear) for anything but 64 small hexadecimal digits.
            fn try_from(text: String) -> Result<Self, Self::Error> {
                let digits = text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
                if text.len() == 64 && digits {
                    Ok(Self(text))
                } else {
                    Err($crate::words::Unclear::new(concat!(
                        "That is not the name of a ",
                        $word,
                        ". A ",
                        $word,
                        " is named by 64 digits from 0 to f."
                    )))
                }
            }
        }

        impl From<$name> for String {
            fn from(name: $name) -> Self {
                name.0
            }
        }

        impl ::std::fmt::Display for $name {
            fn fmt(&self, f: &mut ::std::fmt::Formatter<'_>) -> ::std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}
pub(crate) use named_by_content;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::photo::PhotoName;

    /// FIPS 180-4's own example.
    #[test]
    fn a_file_is_named_by_its_sum_however_it_is_read() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(PhotoName::of(b"abc").as_str(), abc);
        let long = vec![7; 3 * PART + 5];
        for bytes in [&b"abc"[..], b"", &long] {
            let name = PhotoName::of_all(bytes).expect("it is read");
            assert!(name.names(bytes) && !name.names(b"other"), "{name}");
        }
    }
}
