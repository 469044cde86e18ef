//! What can go wrong with the log, and whose fault it is.

use rusqlite::ErrorCode;

/// What went wrong with the log: the disk, the file, or this program.
#[derive(Debug)]
pub enum Trouble {
    /// No room is left on the disk; nothing was written.
    Full,
    /// Another program holds the log.
    Busy,
    /// The file can't be read or written.
    Disk(String),
    /// The file is not a sound log.
    Damaged(String),
    /// The log that was open is not the file at its path any more; where its entries lie, in sentences.
    Gone(String),
    /// The log was written by a newer version.
    Newer,
    /// This program made a mistake.
    Program(String),
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Full => f.write_str(
                "The disk is full, so this was not written. Everything written before is safe. Make room and try again.",
            ),
            Self::Busy => f.write_str("The log is in use by another program. What you typed is kept; try again."),
            Self::Disk(what) => write!(f, "The log can't be reached on the disk ({what}). What you typed is kept; try again."),
            Self::Damaged(what) => write!(f, "The log is damaged ({what})."),
            Self::Gone(what) => write!(
                f,
                "The log was moved, replaced or deleted while the program ran, so this is not taken for written. {what} What you typed is kept."
            ),
            Self::Newer => f.write_str("This log was written by a newer version of Solderlast. Use that version to open it; nothing was changed."),
            Self::Program(what) => write!(f, "The program made a mistake ({what}). Nothing was written; please report it."),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<rusqlite::Error> for Trouble {
    fn from(error: rusqlite::Error) -> Self {
        let code = match &error {
            rusqlite::Error::SqlInputError { error, .. } => Some(error.code),
            other => other.sqlite_error_code(),
        };
        match code {
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged(error.to_string()),
            Some(
                ErrorCode::SystemIoFailure | ErrorCode::CannotOpen | ErrorCode::ReadOnly | ErrorCode::PermissionDenied,
            ) => Self::Disk(error.to_string()),
            // The questions are right: what a table or an index can't answer, or gives as something else, is not as it was
            // written.
            Some(ErrorCode::Unknown | ErrorCode::ConstraintViolation | ErrorCode::TypeMismatch | ErrorCode::TooBig) => {
                Self::Damaged(error.to_string())
            }
            None if matches!(
                error,
                rusqlite::Error::FromSqlConversionFailure(..)
                    | rusqlite::Error::IntegralValueOutOfRange(..)
                    | rusqlite::Error::Utf8Error(..)
                    | rusqlite::Error::InvalidColumnType(..)
                    | rusqlite::Error::InvalidColumnName(..)
                    | rusqlite::Error::InvalidColumnIndex(..)
                    | rusqlite::Error::QueryReturnedNoRows
            ) =>
            {
                Self::Damaged(error.to_string())
            }
            _ => Self::Program(error.to_string()),
        }
    }
}

impl From<std::io::Error> for Trouble {
    fn from(error: std::io::Error) -> Self {
        match error.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => Self::Full,
            _ => Self::Disk(error.to_string()),
        }
    }
}
