//! The words of the command line.

use std::path::PathBuf;

use lexopt::{Arg, Error, Parser, ValueExt as _};
use solderlast_core::logbook::Table;

pub const HELP: &str = "\
Solderlast: hear a pickup before you heat the iron.

  solderlast serve            open the pages for a browser on this computer
  solderlast serve --lan      and for phones on the same network, each paired by a code
  solderlast ask              answer questions: one JSON ask a line in, one JSON reply a line out
  solderlast ask --examples   one worked ask and its reply for every question, on a bench made for it
  solderlast export FILE      pack the whole log into a bundle, as a backup or for another bench
  solderlast import FILE      take a bundle in; --look only says what would be new
  solderlast csv readings     every meter reading as a table for a spreadsheet, to standard output
  solderlast csv notes        what was heard, in the same way
  solderlast check            look whether the log is sound: status 0 if it is, 1 if not, 2 if it can't be looked at
  solderlast salvage FILE… --into FOLDER
                              make a log of all that can be read in damaged ones, in a folder that has none
  solderlast phones           the paired phones, and when each was last seen
  solderlast forget-phone NAME
                              one of them has to pair again
  solderlast forget-phones    every one of them has to
  solderlast help             this

  --port N       the port tried first (the phone door takes the next one); 0 is any free port
  --log FOLDER   where the log is kept; else the folder named by SOLDERLAST_LOG,
                 else solderlast in this system's place for data
";

/// What a person asked the program to do.
#[derive(Debug, PartialEq, Eq)]
pub enum Command {
    Help,
    Version,
    Serve(Serve),
    Ask { log: Option<PathBuf> },
    Examples,
    Phones { log: Option<PathBuf> },
    ForgetPhone { log: Option<PathBuf>, name: String },
    ForgetPhones { log: Option<PathBuf> },
    Export { log: Option<PathBuf>, file: PathBuf },
    Import { log: Option<PathBuf>, file: PathBuf, look: bool },
    Csv { log: Option<PathBuf>, table: Table },
    Check { log: Option<PathBuf> },
    Salvage { files: Vec<PathBuf>, into: PathBuf },
}

/// How to serve the pages.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Serve {
    pub lan: bool,
    pub port: Option<u16>,
    pub log: Option<PathBuf>,
}

/// Reads the command line.
///
/// # Errors
/// When there is a word that means nothing here, or one is missing.
pub fn read(mut words: Parser) -> Result<Command, Error> {
    let mut verb = None;
    let mut wish = Serve::default();
    let (mut examples, mut look) = (false, false);
    let mut what = None;
    let (mut files, mut into) = (Vec::new(), None);
    while let Some(word) = words.next()? {
        match word {
            Arg::Short('h') | Arg::Long("help") => return Ok(Command::Help),
            Arg::Short('V') | Arg::Long("version") => return Ok(Command::Version),
            Arg::Long("log") => wish.log = Some(words.value()?.into()),
            Arg::Long("lan") if verb.as_deref() == Some("serve") => wish.lan = true,
            Arg::Long("port") if verb.as_deref() == Some("serve") => wish.port = Some(words.value()?.parse()?),
            Arg::Long("examples") if verb.as_deref() == Some("ask") => examples = true,
            Arg::Long("look") if verb.as_deref() == Some("import") => look = true,
            Arg::Value(value)
                if what.is_none() && matches!(verb.as_deref(), Some("export" | "import" | "csv" | "forget-phone")) =>
            {
                what = Some(value);
            }
            Arg::Long("into") if verb.as_deref() == Some("salvage") => into = Some(words.value()?.into()),
            Arg::Value(value) if verb.as_deref() == Some("salvage") => files.push(value.into()),
            Arg::Value(value) if verb.is_none() => verb = Some(value.string()?),
            other => return Err(other.unexpected()),
        }
    }
    match verb.as_deref() {
        None | Some("help") => Ok(Command::Help),
        Some("version") => Ok(Command::Version),
        Some("serve") => Ok(Command::Serve(wish)),
        Some("ask") if examples => Ok(Command::Examples),
        Some("ask") => Ok(Command::Ask { log: wish.log }),
        Some("phones") => Ok(Command::Phones { log: wish.log }),
        Some("forget-phone") => {
            let name = what.ok_or_else(|| Error::Custom("name the phone: forget-phone NAME".into()))?.string()?;
            Ok(Command::ForgetPhone { log: wish.log, name })
        }
        Some("forget-phones") => Ok(Command::ForgetPhones { log: wish.log }),
        Some("check") => Ok(Command::Check { log: wish.log }),
        Some("salvage") => match into {
            Some(into) if !files.is_empty() && wish.log.is_none() => Ok(Command::Salvage { files, into }),
            _ => Err(Error::Custom("name the files and a folder: salvage FILE… --into FOLDER".into())),
        },
        Some("export") => Ok(Command::Export { log: wish.log, file: file_in(what, "export")? }),
        Some("import") => Ok(Command::Import { log: wish.log, file: file_in(what, "import")?, look }),
        Some("csv") => {
            let named = what.and_then(|what| Table::named(what.to_str().unwrap_or_default()));
            let table = named.ok_or_else(|| Error::Custom("say which table: csv readings, or csv notes".into()))?;
            Ok(Command::Csv { log: wish.log, table })
        }
        Some(unknown) => Err(Error::Custom(format!("there is no command named {unknown:?}").into())),
    }
}

fn file_in(what: Option<std::ffi::OsString>, verb: &str) -> Result<PathBuf, Error> {
    what.map(PathBuf::from).ok_or_else(|| Error::Custom(format!("name the file: {verb} FILE").into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(line: &str) -> Result<Command, String> {
        read(Parser::from_iter(std::iter::once("solderlast").chain(line.split_whitespace()))).map_err(|e| e.to_string())
    }

    #[test]
    fn what_is_typed_is_what_is_done() {
        let serve = |lan, port, log: Option<&str>| Ok(Command::Serve(Serve { lan, port, log: log.map(PathBuf::from) }));
        for (line, meant) in [
            ("", Ok(Command::Help)),
            ("help", Ok(Command::Help)),
            ("serve --help", Ok(Command::Help)),
            ("--version", Ok(Command::Version)),
            ("serve", serve(false, None, None)),
            ("serve --lan --port 0", serve(true, Some(0), None)),
            ("serve --log=bench --port=8000", serve(false, Some(8000), Some("bench"))),
            ("ask --log bench", Ok(Command::Ask { log: Some("bench".into()) })),
            ("--log bench ask", Ok(Command::Ask { log: Some("bench".into()) })),
            ("ask --examples", Ok(Command::Examples)),
            ("phones", Ok(Command::Phones { log: None })),
            ("forget-phone iPhone", Ok(Command::ForgetPhone { log: None, name: "iPhone".into() })),
            ("forget-phones", Ok(Command::ForgetPhones { log: None })),
            ("export a.zip", Ok(Command::Export { log: None, file: "a.zip".into() })),
            ("export a.zip --log bench", Ok(Command::Export { log: Some("bench".into()), file: "a.zip".into() })),
            ("import a.zip", Ok(Command::Import { log: None, file: "a.zip".into(), look: false })),
            ("import --look a.zip", Ok(Command::Import { log: None, file: "a.zip".into(), look: true })),
            ("check --log bench", Ok(Command::Check { log: Some("bench".into()) })),
            ("salvage a b --into c", Ok(Command::Salvage { files: vec!["a".into(), "b".into()], into: "c".into() })),
            ("csv readings", Ok(Command::Csv { log: None, table: Table::Readings })),
            ("csv notes", Ok(Command::Csv { log: None, table: Table::Notes })),
        ] {
            assert_eq!(told(line), meant, "{line:?}");
        }
    }

    #[test]
    fn what_means_nothing_is_refused() {
        for line in [
            "dance",
            "serve --port",
            "serve --port 70000",
            "serve --port x",
            "ask --lan",
            "serve twice",
            "serve --wan",
            "ask --log",
            "serve --examples",
            "--examples",
            "export",
            "forget-phone",
            "forget-phone a b",
            "export a b",
            "export --look a",
            "import",
            "csv",
            "csv sums",
            "salvage a",
            "salvage --into c",
            "check a",
            "check --into c",
        ] {
            assert!(told(line).is_err(), "{line:?}");
        }
    }
}
