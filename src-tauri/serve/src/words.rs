//! The words of the command line.

use std::path::PathBuf;

use lexopt::{Arg, Error, Parser, ValueExt as _};
use solderlast_core::logbook::Table;
use solderlast_core::record::note::{Note, read_tuning};
use solderlast_core::record::take::Played;

pub const HELP: &str = "\
Solderlast: hear a pickup before you heat the iron.

  solderlast serve            open the pages for a browser on this computer
  solderlast serve --lan      and for phones on the same network, each paired by a code
  solderlast page             serve the page for phones on this computer, for a try; --folder FOLDER is where it
                              was built, else target/page
  solderlast ask              answer questions: one JSON ask a line in, one JSON reply a line out
  solderlast ask --examples   one worked ask and its reply for every question, on a bench made for it
  solderlast export FILE      pack the whole log into a bundle, as a backup or for another bench; --takes packs the
                              sound of takes too
  solderlast import FILE      take a bundle in; --look only says what would be new
  solderlast csv readings     every meter reading as a table for a spreadsheet, to standard output
  solderlast csv notes        what was heard, in the same way
  solderlast csv measured     what coils measured, with the range each value lies in and what it rests on
  solderlast check            look whether the log is sound: status 0 if it is, 1 if not, 2 if it can't be looked at
  solderlast salvage FILE… --into FOLDER
                              make a log of all that can be read in damaged ones, in a folder that has none
  solderlast take FILE…       what recordings of the same tell: level, hum, strings, and what follows
      --played WHAT           what the files after it are: riff (if nothing is said), open-strings, chords, hum-hands-off,
                              hum-hands-on, tap
      --tuning NOTES          notes of the open strings, bass side first; else E2 A2 D3 G3 B3 E4
      --against FILE…         takes of another pickup that they are held against
      --json                  for a program
  solderlast meet ADDRESS     share one log with other benches over a PostgreSQL database, and keep up with it; ADDRESS is
                              postgresql://NAME@COMPUTER/DATABASE, without a password
      --once                  meet once, then end
      --name NAME             what this bench is called from now on
      --join                  make one log of two that have nothing in common; this can't be undone
      --erase                 erase here too what others erased for good, also where it is much; this can't be undone
      --begin                 make the tables of a shared log in that database, or bring them up to date, and end
      --purge                 purge there what benches erased for good, and end; for an account of solderlast_keeper
      --password-file FILE    the password is this file's first line; else it is in PGPASSWORD, or asked for
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
    Page { folder: PathBuf, port: Option<u16> },
    Ask { log: Option<PathBuf> },
    Examples,
    Phones { log: Option<PathBuf> },
    ForgetPhone { log: Option<PathBuf>, name: String },
    ForgetPhones { log: Option<PathBuf> },
    Export { log: Option<PathBuf>, file: PathBuf, takes: bool },
    Import { log: Option<PathBuf>, file: PathBuf, look: bool },
    Csv { log: Option<PathBuf>, table: Table },
    Check { log: Option<PathBuf> },
    Salvage { files: Vec<PathBuf>, into: PathBuf },
    Take(Takes),
    Meet(Meet),
}

/// A shared log to meet.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Meet {
    pub log: Option<PathBuf>,
    pub address: String,
    pub once: bool,
    pub join: bool,
    pub erase: bool,
    pub begin: bool,
    pub purge: bool,
    pub password_file: Option<PathBuf>,
    pub name: Option<String>,
}

/// Recordings to listen to.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Takes {
    pub takes: Vec<(Played, PathBuf)>,
    pub against: Vec<(Played, PathBuf)>,
    pub tuning: Vec<Note>,
    pub json: bool,
}

/// How the strings are tuned if nothing is said: E2 A2 D3 G3 B3 E4, as semitones from A4.
const USUAL: [Note; 6] = [Note(-29), Note(-24), Note(-19), Note(-14), Note(-10), Note(-5)];

/// What was played, as it is typed.
fn played(typed: &str) -> Result<Played, Error> {
    let name = |played: Played| match played {
        Played::OpenStrings => "open-strings",
        Played::Riff => "riff",
        Played::Chords => "chords",
        Played::HumHandsOff => "hum-hands-off",
        Played::HumHandsOn => "hum-hands-on",
        Played::Tap => "tap",
        Played::Sweep => "sweep",
    };
    Played::ALL.into_iter().find(|played| name(*played) == typed).ok_or_else(|| {
        let names = Played::ALL.map(name).join(", ");
        Error::Custom(format!("nothing is played that is named {typed:?}; there is {names}").into())
    })
}

/// The notes of the open strings: a string that is typed without its octave is the one nearest to the usual one.
fn tuning(typed: &str) -> Result<Vec<Note>, Error> {
    let words = typed.split([' ', ',']).filter(|word| !word.is_empty()).count();
    let usual = if words == 6 || words == 1 { USUAL.map(Some).to_vec() } else { vec![None; words] };
    read_tuning(typed, &usual).map_err(|unclear| Error::Custom(unclear.to_string().into()))
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
    let (mut examples, mut look, mut with_takes) = (false, false, false);
    let mut meet = Meet::default();
    let mut what = None;
    let (mut files, mut into) = (Vec::new(), None);
    let mut folder = PathBuf::from("target/page");
    let mut takes = Takes { tuning: USUAL.to_vec(), ..Takes::default() };
    let (mut what_is_played, mut against) = (Played::Riff, false);
    while let Some(word) = words.next()? {
        match word {
            Arg::Short('h') | Arg::Long("help") => return Ok(Command::Help),
            Arg::Short('V') | Arg::Long("version") => return Ok(Command::Version),
            Arg::Long("log") => wish.log = Some(words.value()?.into()),
            Arg::Long("lan") if verb.as_deref() == Some("serve") => wish.lan = true,
            Arg::Long("port") if verb.as_deref() == Some("serve") => wish.port = Some(words.value()?.parse()?),
            Arg::Long("port") if verb.as_deref() == Some("page") => wish.port = Some(words.value()?.parse()?),
            Arg::Long("folder") if verb.as_deref() == Some("page") => folder = words.value()?.into(),
            Arg::Long("examples") if verb.as_deref() == Some("ask") => examples = true,
            Arg::Long("takes") if verb.as_deref() == Some("export") => with_takes = true,
            Arg::Long("look") if verb.as_deref() == Some("import") => look = true,
            Arg::Value(value)
                if what.is_none()
                    && matches!(verb.as_deref(), Some("export" | "import" | "csv" | "forget-phone" | "meet")) =>
            {
                what = Some(value);
            }
            Arg::Long("once") if verb.as_deref() == Some("meet") => meet.once = true,
            Arg::Long("join") if verb.as_deref() == Some("meet") => meet.join = true,
            Arg::Long("erase") if verb.as_deref() == Some("meet") => meet.erase = true,
            Arg::Long("begin") if verb.as_deref() == Some("meet") => meet.begin = true,
            Arg::Long("purge") if verb.as_deref() == Some("meet") => meet.purge = true,
            Arg::Long("name") if verb.as_deref() == Some("meet") => meet.name = Some(words.value()?.string()?),
            Arg::Long("password-file") if verb.as_deref() == Some("meet") => {
                meet.password_file = Some(words.value()?.into());
            }
            Arg::Long("into") if verb.as_deref() == Some("salvage") => into = Some(words.value()?.into()),
            Arg::Value(value) if verb.as_deref() == Some("salvage") => files.push(value.into()),
            Arg::Long("played") if verb.as_deref() == Some("take") => {
                what_is_played = played(&words.value()?.string()?)?
            }
            Arg::Long("tuning") if verb.as_deref() == Some("take") => takes.tuning = tuning(&words.value()?.string()?)?,
            Arg::Long("against") if verb.as_deref() == Some("take") => against = true,
            Arg::Long("json") if verb.as_deref() == Some("take") => takes.json = true,
            Arg::Value(value) if verb.as_deref() == Some("take") => {
                let files = if against { &mut takes.against } else { &mut takes.takes };
                files.push((what_is_played, value.into()));
            }
            Arg::Value(value) if verb.is_none() => verb = Some(value.string()?),
            other => return Err(other.unexpected()),
        }
    }
    match verb.as_deref() {
        None | Some("help") => Ok(Command::Help),
        Some("version") => Ok(Command::Version),
        Some("serve") => Ok(Command::Serve(wish)),
        Some("page") => Ok(Command::Page { folder, port: wish.port }),
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
        Some("take") if takes.takes.is_empty() || (against && takes.against.is_empty()) => {
            Err(Error::Custom("name the recordings: take FILE… [--against FILE…]".into()))
        }
        Some("take") => Ok(Command::Take(takes)),
        Some("export") => Ok(Command::Export { log: wish.log, file: file_in(what, "export")?, takes: with_takes }),
        Some("import") => Ok(Command::Import { log: wish.log, file: file_in(what, "import")?, look }),
        Some("meet") => {
            let address = what.ok_or_else(|| Error::Custom("name the shared log: meet ADDRESS".into()))?.string()?;
            Ok(Command::Meet(Meet { log: wish.log, address, ..meet }))
        }
        Some("csv") => {
            let named = what.and_then(|what| Table::named(what.to_str().unwrap_or_default()));
            let table = named
                .ok_or_else(|| Error::Custom("say which table: csv readings, csv notes, or csv measured".into()))?;
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
        let files = |named: &[(Played, &str)]| named.iter().map(|(what, file)| (*what, PathBuf::from(file))).collect();
        let take = |takes: &[_], against: &[_], json| {
            Ok(Command::Take(Takes { takes: files(takes), against: files(against), tuning: USUAL.to_vec(), json }))
        };
        for (line, meant) in [
            ("", Ok(Command::Help)),
            ("help", Ok(Command::Help)),
            ("page", Ok(Command::Page { folder: "target/page".into(), port: None })),
            ("page --folder x --port 0", Ok(Command::Page { folder: "x".into(), port: Some(0) })),
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
            ("export a.zip", Ok(Command::Export { log: None, file: "a.zip".into(), takes: false })),
            ("export a.zip --takes", Ok(Command::Export { log: None, file: "a.zip".into(), takes: true })),
            (
                "export a.zip --log bench",
                Ok(Command::Export { log: Some("bench".into()), file: "a.zip".into(), takes: false }),
            ),
            ("import a.zip", Ok(Command::Import { log: None, file: "a.zip".into(), look: false })),
            ("import --look a.zip", Ok(Command::Import { log: None, file: "a.zip".into(), look: true })),
            ("check --log bench", Ok(Command::Check { log: Some("bench".into()) })),
            ("salvage a b --into c", Ok(Command::Salvage { files: vec!["a".into(), "b".into()], into: "c".into() })),
            ("take a.wav b.flac", take(&[(Played::Riff, "a.wav"), (Played::Riff, "b.flac")], &[], false)),
            (
                "take --json --played hum-hands-off a --played hum-hands-on b",
                take(&[(Played::HumHandsOff, "a"), (Played::HumHandsOn, "b")], &[], true),
            ),
            ("take a --against b", take(&[(Played::Riff, "a")], &[(Played::Riff, "b")], false)),
            (
                "meet postgresql://ada@shop/bench --once --log bench",
                Ok(Command::Meet(Meet {
                    log: Some("bench".into()),
                    address: "postgresql://ada@shop/bench".to_owned(),
                    once: true,
                    ..Meet::default()
                })),
            ),
            (
                "meet --begin --join --password-file word shop --name Ada",
                Ok(Command::Meet(Meet {
                    address: "shop".to_owned(),
                    join: true,
                    begin: true,
                    password_file: Some("word".into()),
                    name: Some("Ada".to_owned()),
                    ..Meet::default()
                })),
            ),
            (
                "meet shop --purge",
                Ok(Command::Meet(Meet { address: "shop".to_owned(), purge: true, ..Meet::default() })),
            ),
            ("csv readings", Ok(Command::Csv { log: None, table: Table::Readings })),
            ("csv notes", Ok(Command::Csv { log: None, table: Table::Notes })),
            ("csv measured", Ok(Command::Csv { log: None, table: Table::Measured })),
        ] {
            assert_eq!(told(line), meant, "{line:?}");
        }
    }

    #[test]
    fn a_tuning_as_people_write_it() {
        let notes =
            |typed: &str| tuning(typed).map(|notes| notes.iter().map(|note| note.shown()).collect::<Vec<_>>()).ok();
        assert_eq!(USUAL.map(Note::shown), ["E2", "A2", "D3", "G3", "B3", "E4"]);
        for (typed, shown) in [
            ("DADGBE", "D2 A2 D3 G3 B3 E4"),
            ("Eb2,Ab2,Db3,Gb3,Bb3,Eb4", "D#2 G#2 C#3 F#3 A#3 D#4"),
            ("E1 A1 D2 G2", "E1 A1 D2 G2"),
        ] {
            assert_eq!(notes(typed).map(|notes| notes.join(" ")).as_deref(), Some(shown), "{typed}");
        }
        assert_eq!(notes("E A D G"), None, "octaves are missing");
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
            "meet",
            "meet a b",
            "meet --password-file",
            "serve --once",
            "serve --purge",
            "serve --erase",
            "salvage a",
            "salvage --into c",
            "take",
            "take --against a",
            "take a --against",
            "take a --played",
            "take a --played polka",
            "take a --tuning H2",
            "csv --json readings",
            "check a",
            "check --into c",
        ] {
            assert!(told(line).is_err(), "{line:?}");
        }
    }
}
