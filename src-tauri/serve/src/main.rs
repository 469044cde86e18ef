//! The `solderlast` program: serves the pages to a browser, and answers questions on the command line.

mod meeting;
mod words;

use std::fs::File;
use std::io::{self, Write as _};
use std::net::{IpAddr, Ipv4Addr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use solderlast_core::clock::{Clock as _, version_7};
use solderlast_core::logbook::bundle::{self, Tray, Watch, Which};
use solderlast_core::logbook::{self, Find, Table};
use solderlast_core::private;
use solderlast_core::record::take::Played;
use solderlast_core::takes::{self, Asked, Named, Report};
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_serve::phone_door::{Phones, Shown, qr};
use solderlast_serve::web::folder;
use solderlast_serve::web::listening::{self, Listening, Patience};
use solderlast_serve::{Workshop, bench_door, lines, machine, phone_door};
use words::{Command, HELP, Serve, Takes};

fn main() -> ExitCode {
    let done = match words::read(lexopt::Parser::from_env()) {
        Ok(Command::Help) => say(HELP),
        Ok(Command::Version) => say(concat!("solderlast ", env!("CARGO_PKG_VERSION"), "\n")),
        Ok(Command::Serve(wish)) => until_it_ends(serve_until_stopped(wish)),
        Ok(Command::Page { folder, port }) => until_it_ends(page_until_stopped(folder, port)),
        Ok(Command::Ask { log }) => ask(log),
        Ok(Command::Examples) => examples(),
        Ok(Command::Phones { log }) => phones(log),
        Ok(Command::ForgetPhone { log, name }) => forget_phone(log, &name),
        Ok(Command::ForgetPhones { log }) => forget_phones(log),
        Ok(Command::Export { log, file, takes }) => export(log, &file, takes),
        Ok(Command::Import { log, file, look }) => import(log, &file, look),
        Ok(Command::Csv { log, table }) => csv(log, table),
        Ok(Command::Take(files)) => take(files),
        Ok(Command::Meet(wish)) => meeting::meet(wish),
        Ok(Command::Check { log }) => return check(log),
        Ok(Command::Salvage { files, into }) => return salvage(&files, &into),
        Err(error) => Err(format!("{error}. Type solderlast help to see what there is.")),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            // If nobody can read the error there is nobody left to tell.
            let _unread = writeln!(io::stderr(), "{sentence}");
            ExitCode::FAILURE
        }
    }
}

/// Prints, and takes a reader that has gone away for one that has read enough.
fn say(text: &str) -> Result<(), String> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(format!("This could not be printed: {error}")),
        _ => Ok(()),
    }
}

fn folder_of(log: Option<PathBuf>) -> Result<PathBuf, String> {
    log.or_else(machine::log_folder)
        .ok_or_else(|| "This system names no place for a program's data. Name a folder with --log FOLDER.".to_owned())
}

fn workshop_of(log: Option<PathBuf>) -> Result<Workshop, String> {
    Workshop::open(&folder_of(log)?).map_err(|refusal| refusal.sentence)
}

/// A log that is there already: who only looks or packs begins none.
fn workshop_there(log: Option<PathBuf>) -> Result<Workshop, String> {
    let folder = folder_of(log)?;
    if !logbook::is_there(&folder) {
        return Err(format!("There is no log in {}. Nothing was made there.", folder.display()));
    }
    workshop_of(Some(folder))
}

/// Prints a sentence and ends with this status.
fn end_with(status: u8, sentence: &str) -> ExitCode {
    let text = format!("{sentence}\n");
    let said =
        if status < 2 { io::stdout().write_all(text.as_bytes()) } else { io::stderr().write_all(text.as_bytes()) };
    // If nobody can read it, the status is all there is.
    let _unread = said;
    ExitCode::from(status)
}

/// Looks whether the log is sound, and changes nothing.
fn check(log: Option<PathBuf>) -> ExitCode {
    let folder = match folder_of(log) {
        Ok(folder) => folder,
        Err(sentence) => return end_with(2, &sentence),
    };
    match logbook::look_over(&folder) {
        Ok(Some(looked)) => match looked.unsound {
            None => end_with(0, &format!("The log is sound. Entries: {}. Copies: {}.", looked.entries, looked.copies)),
            Some(what) => end_with(
                1,
                &format!(
                    "The log is not sound: {what}. Copies: {}. It is made good when it is opened next.",
                    looked.copies
                ),
            ),
        },
        Ok(None) => end_with(2, &format!("There is no log in {}.", folder.display())),
        Err(trouble) => end_with(2, &trouble.to_string()),
    }
}

/// Makes a log of all that can be read in these files, in a folder that has none.
fn salvage(files: &[PathBuf], into: &Path) -> ExitCode {
    match logbook::salvage_files(files, into, SystemClock.now()) {
        Ok(Some(made)) => {
            let mut lines = vec![made.notice.sentence];
            for one in &made.notice.lacking {
                let kind = if one.kind.is_empty() { "an entry" } else { &one.kind };
                lines.push(format!("  {}: {}", one.at.format("%Y-%m-%d %H:%M UTC"), kind.replace('_', " ")));
            }
            end_with(u8::from(lines.len() > 1), &lines.join("\n"))
        }
        Ok(None) => end_with(2, &format!("There is a log in {} already. Nothing was written.", into.display())),
        Err(trouble) => end_with(2, &trouble.to_string()),
    }
}

fn ask(log: Option<PathBuf>) -> Result<(), String> {
    let workshop = workshop_of(log)?;
    match lines::answer_lines(io::stdin().lock(), io::stdout().lock(), |line| workshop.bench().answer(line)) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(format!("Input or output ended early: {error}")),
        _ => Ok(()),
    }
}

/// Prints the worked examples, asked on a bench in a scratch folder that is removed afterwards.
fn examples() -> Result<(), String> {
    let folder = tempfile::tempdir().map_err(|error| format!("No scratch folder could be made: {error}"))?;
    let pairs = solderlast_core::ask::examples(folder.path()).map_err(|refusal| refusal.sentence)?;
    for (ask, reply) in pairs {
        let pair = serde_json::json!({"ask": ask, "reply": reply});
        say(&format!("{pair:#}\n"))?;
    }
    folder.close().map_err(|error| format!("The scratch folder could not be removed: {error}"))
}

/// The paired phones, one a line, for a person or a program: name, when it was paired, when it was last seen.
fn phones(log: Option<PathBuf>) -> Result<(), String> {
    let phones = Phones::of(&folder_of(log)?).all();
    if phones.is_empty() {
        return say("No phone is paired.\n");
    }
    let instant = |at: chrono::DateTime<chrono::Utc>| at.format("%Y-%m-%d %H:%M UTC").to_string();
    for phone in phones {
        let seen =
            phone.seen_at.map_or_else(|| "never seen since".to_owned(), |at| format!("last seen {}", instant(at)));
        say(&format!("{}\tpaired {}\t{seen}\n", phone.name, instant(phone.paired_at)))?;
    }
    Ok(())
}

fn forget_phone(log: Option<PathBuf>, name: &str) -> Result<(), String> {
    let name = Phones::of(&folder_of(log)?).forget(name).map_err(|refusal| refusal.sentence)?;
    say(&format!("{name} is forgotten. It has to pair again.\n"))
}

fn forget_phones(log: Option<PathBuf>) -> Result<(), String> {
    match Phones::of(&folder_of(log)?).forget_all().map_err(|refusal| refusal.sentence)? {
        0 => say("No phone was paired.\n"),
        1 => say("One phone is forgotten. It has to pair again.\n"),
        many => say(&format!("{many} phones are forgotten. Each has to pair again.\n")),
    }
}

/// Packs the whole log into a file that must not be there yet; nothing of it stays when that fails.
fn export(log: Option<PathBuf>, path: &Path, takes: bool) -> Result<(), String> {
    let workshop = workshop_there(log)?;
    let unwritten = |error: io::Error| format!("{} can't be written: {error}. Nothing was packed.", path.display());
    // It holds the whole log, so it is its owner's alone, wherever it lies.
    let file = private::options().create_new(true).open(path).map_err(unwritten)?;
    let packed =
        bundle::pack_with(workshop.bench().folder(), &Which::All, takes, SystemClock.now(), &file, &Watch::default());
    match packed.and_then(|manifest| Ok((manifest, file.sync_all()?))) {
        Ok((manifest, ())) => say(&format!("Packed: {}.\n", manifest.counts.shown())),
        Err(not_packed) => {
            // A part of a bundle is of no use.
            let _removed = std::fs::remove_file(path);
            Err(not_packed.sentence())
        }
    }
}

/// Looks into a bundle and says what is new in it; then takes it in, unless only a look was asked for.
fn import(log: Option<PathBuf>, path: &Path, only_look: bool) -> Result<(), String> {
    let workshop = if only_look { workshop_there(log)? } else { workshop_of(log)? };
    let folder = workshop.bench().folder();
    let now = SystemClock.now();
    let open = || {
        File::open(path).map(io::BufReader::new).map_err(|error| format!("{} can't be read: {error}.", path.display()))
    };
    let tray = Tray::put(folder, version_7(now, &SystemDice)).map_err(|trouble| trouble.to_string())?;
    let watch = Watch::default();
    let found = bundle::look(folder, open()?, &tray, now, &watch).map_err(|flaw| flaw.sentence())?;
    for line in found.in_words(workshop.bench().id()).into_iter().chain(found.warnings()) {
        say(&format!("{line}\n"))?;
    }
    if only_look {
        return say("Nothing was brought in.\n");
    }
    let written = bundle::take_in(folder, open()?, &tray, now, &watch).map_err(|flaw| flaw.sentence())?;
    say(&format!("{}\n", bundle::taken_in(&found.new, written)))
}

/// Tells what recordings tell. Those that can't be read are named at the end; the others are told all the same.
fn take(files: Takes) -> Result<(), String> {
    let Takes { takes, against, tuning, json } = files;
    let mut unread = Vec::new();
    let mut listen = |files: Vec<(Played, PathBuf)>| -> Vec<Named> {
        let each = files.into_iter().map(|(played, path)| {
            let name = path.display().to_string();
            match listen_to(&path, &Asked { played, tuning: tuning.clone() }) {
                Ok(told) => Some(Named::new(name, told)),
                Err(sentence) => {
                    unread.push(format!("{name}: {sentence}"));
                    None
                }
            }
        });
        each.flatten().collect()
    };
    let report = Report::of(listen(takes), listen(against));
    if json {
        let text = serde_json::to_string(&report).map_err(|error| format!("This could not be printed: {error}"))?;
        say(&format!("{text}\n"))?;
    } else {
        say(&report.shown())?;
    }
    if unread.is_empty() { Ok(()) } else { Err(unread.join("\n")) }
}

fn listen_to(path: &Path, asked: &Asked) -> Result<takes::Told, String> {
    let unread = |error: io::Error| format!("The file can't be read: {error}.");
    // Before it is opened: a pipe would wait for somebody to write into it.
    if !std::fs::metadata(path).map_err(unread)?.is_file() {
        return Err("This is no file. Name a recording.".to_owned());
    }
    takes::take(File::open(path).map_err(unread)?, asked).map_err(|unreadable| unreadable.sentence())
}

fn csv(log: Option<PathBuf>, table: Table) -> Result<(), String> {
    let workshop = workshop_there(log)?;
    match workshop.bench().write_table(table, &Find::default(), ForReaders(io::stdout().lock())) {
        Ok(_) => Ok(()),
        Err(refusal) => Err(refusal.sentence),
    }
}

/// Takes a reader that has gone away for one that has read enough.
struct ForReaders<W>(W);

impl<W: io::Write> io::Write for ForReaders<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self.0.write(bytes) {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(bytes.len()),
            other => other,
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self.0.flush() {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
            other => other,
        }
    }
}

fn until_it_ends(work: impl Future<Output = Result<(), String>>) -> Result<(), String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| format!("The server could not be started: {error}"))?;
    runtime.block_on(work)
}

/// Serves the built page for phones on this computer alone: a browser takes 127.0.0.1 for as safe as HTTPS.
async fn page_until_stopped(folder: PathBuf, port: Option<u16>) -> Result<(), String> {
    if !folder.join("index.html").is_file() {
        return Err(format!(
            "There is no page in {}. Build it by make page, or name its folder by --folder.",
            folder.display()
        ));
    }
    let stop = stop_signal().map_err(|error| format!("The server could not be started: {error}"))?;
    let port = port.unwrap_or(bench_door::USUAL_PORT);
    let no_port = |error: io::Error| format!("No port could be opened on this computer: {error}");
    let listener = listening::bind(IpAddr::V4(Ipv4Addr::LOCALHOST), port).await.map_err(no_port)?;
    let door = Listening::start(listener, folder::routes(folder), Patience::default()).map_err(no_port)?;
    say(&format!("open http://{}/\n", door.address()))?;
    stop.await;
    door.close().await;
    Ok(())
}

async fn serve_until_stopped(wish: Serve) -> Result<(), String> {
    let stop = stop_signal().map_err(|error| format!("The server could not be started: {error}"))?;
    let port = wish.port.unwrap_or(bench_door::USUAL_PORT);
    let phone_port = wish.port.map_or(phone_door::USUAL_PORT, |port| if port == 0 { 0 } else { port.wrapping_add(1) });
    let workshop = Arc::new(workshop_of(wish.log)?.with_phone_port(phone_port));
    let door = bench_door::open(Arc::clone(&workshop), port, Patience::default())
        .await
        .map_err(|error| format!("No port could be opened on this computer: {error}"))?;
    workshop.sharing().goes_on();
    say(&format!("open {}\n", door.opening()))?;

    let codes = if wish.lan {
        Some(workshop.open_phone_door().await.map_err(|refusal| refusal.sentence)?)
    } else {
        say(
            "Open that whole address once in a browser on this computer; it lets in nobody else. Keep it to yourself.\n",
        )?;
        say("For a phone: solderlast serve --lan\n")?;
        None
    };
    let show_codes = async {
        let Some(mut codes) = codes else { return std::future::pending().await };
        let mut lines = 0;
        loop {
            let text = in_the_terminal(&workshop.shown().await, workshop.phone_port().await);
            say(&format!("{}{text}", over(lines)))?;
            lines = text.lines().count();
            if codes.changed().await.is_err() {
                // The door was closed from the pages; the computer's own door goes on.
                return std::future::pending().await;
            }
        }
    };
    let ended: Result<(), String> = tokio::select! {
        () = stop => Ok(()),
        ended = show_codes => ended,
    };
    workshop.close_phone_door().await;
    workshop.sharing().close().await;
    door.close().await;
    ended
}

/// Lines a program can read (`phone ADDRESS`, `code DIGITS`), and the picture for a person.
fn in_the_terminal(shown: &Shown, port: Option<u16>) -> String {
    let mut text = String::new();
    for address in &shown.addresses {
        text.push_str(&format!("phone {address}\n"));
    }
    if let (true, Some(port)) = (shown.addresses.is_empty(), port) {
        text.push_str(&format!(
            "phone http://127.0.0.1:{port}\nThis computer is on no network. Join one, then start again.\n"
        ));
    }
    if let Some(code) = &shown.code {
        text.push_str(&format!("code {code}\n"));
    }
    if let Some(picture) = shown.link.as_deref().and_then(qr::in_letters) {
        text.push_str(&on_white(&picture));
        text.push_str("Point the phone's camera at the picture, or type the address and then the code.\n");
    }
    text.push_str("A code lets in one phone and changes every five minutes. Stop this when you are done.\n");
    text
}

/// Goes back over what was shown before, where a terminal lets one: an old code helps nobody.
fn over(lines: usize) -> String {
    if lines > 0 && io::IsTerminal::is_terminal(&io::stdout()) {
        format!("\u{1b}[{lines}A\u{1b}[J")
    } else {
        String::new()
    }
}

/// Black on white whatever the terminal's colours, because many cameras do not read the reverse.
fn on_white(picture: &str) -> String {
    if io::IsTerminal::is_terminal(&io::stdout()) {
        picture.lines().map(|line| format!("\u{1b}[30;107m{line}\u{1b}[0m\n")).collect()
    } else {
        format!("{picture}\n")
    }
}

/// Ends when a person or the system asks the program to stop.
#[cfg(unix)]
fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Ends when a person asks the program to stop.
#[cfg(not(unix))]
fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    Ok(async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending().await
        }
    })
}
