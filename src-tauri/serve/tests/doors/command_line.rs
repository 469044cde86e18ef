//! The program as a script meets it: lines in, lines out, and a server that says where it is and stops when told.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Output, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use solderlast_testkit::limits::{A_PROGRAM, Leash, output};
use solderlast_testkit::sound::{Samples, Sound};

fn solderlast(words: &[&str], log: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_solderlast"));
    command.args(words).env("SOLDERLAST_LOG", log).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn told(words: &[&str], log: &Path, lines: &[u8]) -> Output {
    output(&mut solderlast(words, log), lines).unwrap()
}

/// A program that is ended when it does not end by itself.
fn started(words: &[&str], log: &Path) -> (Child, Leash) {
    let child = solderlast(words, log).spawn().unwrap();
    let leash = Leash::on(&child, A_PROGRAM);
    (child, leash)
}

/// A server that is stopped when the test is over.
struct Server {
    child: Child,
    _leash: Leash,
    said: BufReader<ChildStdout>,
}

impl Server {
    fn start(words: &[&str], log: &Path) -> Self {
        let (mut child, leash) = started(words, log);
        let said = BufReader::new(child.stdout.take().unwrap());
        Self { child, _leash: leash, said }
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.said.read_line(&mut line).unwrap();
        line.trim_end().to_owned()
    }

    fn line_starting(&mut self, word: &str) -> String {
        for _ in 0..100 {
            if let Some(rest) = self.line().strip_prefix(word) {
                return rest.trim().to_owned();
            }
        }
        panic!("no line starting with {word}");
    }

    fn stopped_by(&mut self, signal: &str) -> Option<i32> {
        Command::new("kill").args([signal, &self.child.id().to_string()]).status().unwrap();
        let began = Instant::now();
        while began.elapsed() < Duration::from_secs(15) {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        None
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        _ = self.child.kill();
        _ = self.child.wait();
    }
}

fn got(address: &str, request: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

#[test]
fn one_ask_a_line_one_reply_a_line() {
    let log = tempfile::tempdir().unwrap();
    let mut lines = b"{\"nobody asks this\": 1}\n\nnot json\n".to_vec();
    lines.extend(std::iter::repeat_n(b'x', 10 << 20));
    lines.extend(b"\n\xff\xfe\n[]\n{\"half\": \"no newline at the end\"");
    let output = told(&["ask"], log.path(), &lines);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let replies: Vec<Value> =
        String::from_utf8(output.stdout).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(replies.len(), 6, "the blank line is passed over");
    assert_eq!(replies[2]["refused"]["code"], "too_long", "ten megabytes");
    for (number, reply) in replies.iter().enumerate() {
        assert!(reply.get("ok").is_some() != reply.get("refused").is_some(), "line {number}: {reply}");
    }
    assert!(replies[1].get("refused").is_some() && replies[5].get("refused").is_some());
}

#[test]
fn a_reply_comes_before_the_next_line_is_needed() {
    let log = tempfile::tempdir().unwrap();
    let (mut child, _leash) = started(&["ask"], log.path());
    let mut asks = child.stdin.take().unwrap();
    let mut replies = BufReader::new(child.stdout.take().unwrap());
    for _ in 0..3 {
        asks.write_all(b"{}\n").unwrap();
        let mut reply = String::new();
        replies.read_line(&mut reply).unwrap();
        assert!(serde_json::from_str::<Value>(&reply).unwrap().is_object());
    }
    drop(asks);
    assert!(child.wait().unwrap().success());
}

#[test]
fn a_reader_that_has_read_enough_is_no_error() {
    let log = tempfile::tempdir().unwrap();
    let (mut child, _leash) = started(&["ask"], log.path());
    drop(child.stdout.take());
    let mut asks = child.stdin.take().unwrap();
    _ = asks.write_all(&b"{}\n".repeat(1000));
    drop(asks);
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn wrong_words_are_told_on_the_error_output() {
    let log = tempfile::tempdir().unwrap();
    let output = told(&["dance"], log.path(), b"");
    assert!(!output.status.success());
    assert!(output.stdout.is_empty());
    assert!(String::from_utf8_lossy(&output.stderr).contains("solderlast help"));
    let help = told(&["help"], log.path(), b"");
    assert!(help.status.success() && String::from_utf8_lossy(&help.stdout).contains("serve --lan"));
}

#[test]
fn a_place_where_no_log_can_be_is_told_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a file");
    std::fs::write(&file, "not a folder").unwrap();
    for words in [&["ask"][..], &["serve", "--port", "0"]] {
        let output = told(words, &file, b"{}\n");
        assert!(!output.status.success(), "{words:?}");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(!said.trim().is_empty() && !said.contains("panicked"), "{said}");
    }
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "not a folder");
}

#[test]
fn the_examples_are_worked_out_and_leave_nothing_behind() {
    let scratch = tempfile::tempdir().unwrap();
    let log = tempfile::tempdir().unwrap();
    let output = output(solderlast(&["ask", "--examples"], log.path()).env("TMPDIR", scratch.path()), b"").unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let pairs: Vec<Value> =
        serde_json::Deserializer::from_slice(&output.stdout).into_iter().collect::<Result<_, _>>().unwrap();
    assert!(pairs.len() > 40, "{} examples", pairs.len());
    for pair in &pairs {
        assert!(pair["ask"]["ask"].is_string(), "{pair}");
        assert!(pair["reply"]["ok"].is_object() != pair["reply"]["refused"].is_object(), "{pair}");
    }
    for folder in [&scratch, &log] {
        assert_eq!(
            std::fs::read_dir(folder.path()).unwrap().count(),
            0,
            "the scratch folder is gone, the log untouched"
        );
    }
}

/// The two parts of a printed address, without `http://`: host and port, and the key.
fn apart(opening: &str) -> (&str, String) {
    let (address, key) = opening.split_once("/#key=").unwrap_or_else(|| panic!("an address with a key, not {opening}"));
    (address, key.to_owned())
}

fn page_of(address: &str, key: &str) -> String {
    format!("GET / HTTP/1.1\r\nHost: {address}\r\nAuthorization: Bearer {key}\r\nConnection: close\r\n\r\n")
}

#[test]
fn the_server_says_where_it_is_answers_and_stops_when_told() {
    let log = tempfile::tempdir().unwrap();
    for signal in ["-TERM", "-INT"] {
        let mut server = Server::start(&["serve", "--port", "0"], log.path());
        let first = server.line();
        let opening = first.strip_prefix("open http://").unwrap_or_else(|| panic!("an address, not {first:?}"));
        let (address, key) = apart(opening);
        assert!(address.starts_with("127.0.0.1:"), "{address}");
        assert!(got(address, &page_of(address, &key)).starts_with("HTTP/1.1 200"));
        assert!(got(address, &page_of(address, "none")).starts_with("HTTP/1.1 401"));
        // A program that can read the folder finds the key there.
        let kept = std::fs::read_to_string(log.path().join("door.key")).unwrap();
        assert_eq!(kept.trim(), key);
        assert_eq!(server.stopped_by(signal), Some(0), "{signal}");
        assert!(TcpStream::connect(address).is_err());
    }
}

#[test]
fn two_servers_of_one_log_both_answer() {
    let log = tempfile::tempdir().unwrap();
    let mut first = Server::start(&["serve", "--port", "0"], log.path());
    let one = first.line_starting("open http://");
    let (one, key) = apart(&one);
    let port = one.rsplit(':').next().unwrap().to_owned();
    let mut second = Server::start(&["serve", "--port", &port], log.path());
    let other = second.line_starting("open http://");
    let (other, _) = apart(&other);
    assert_ne!(one, other, "the second takes another port");
    for address in [one, other] {
        let answer = got(address, &page_of(address, &key));
        assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    }
}

#[test]
fn the_phone_door_shows_a_new_code_for_the_next_phone_and_forgets_on_command() {
    let log = tempfile::tempdir().unwrap();
    let mut server = Server::start(&["serve", "--lan", "--port", "0"], log.path());
    server.line_starting("open http://");
    let address = server.line_starting("phone http://");
    let code = server.line_starting("code ");
    assert_eq!(code.len(), 6);
    let body = format!("{{\"code\": \"{code}\"}}");
    let pair = format!(
        "POST /pair HTTP/1.1\r\nHost: {address}\r\nOrigin: http://{address}\r\nContent-Type: application/json\r\n\
         Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    let answer = got(&address, &pair);
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    let next = server.line_starting("code ");
    assert_ne!(next, code);
    assert!(got(&address, &pair).contains("code_used"));

    let cookie = answer.split("solderlast-phone=").nth(1).unwrap().split(';').next().unwrap();
    let page =
        format!("GET / HTTP/1.1\r\nHost: {address}\r\nCookie: solderlast-phone={cookie}\r\nConnection: close\r\n\r\n");
    assert!(got(&address, &page).starts_with("HTTP/1.1 200"));
    let phones = told(&["phones"], log.path(), b"");
    let line = String::from_utf8_lossy(&phones.stdout).into_owned();
    assert!(line.starts_with("Phone\tpaired 20") && line.contains("last seen 20"), "{line}");
    let nobody = told(&["forget-phone", "Nobody's"], log.path(), b"");
    assert!(!nobody.status.success() && String::from_utf8_lossy(&nobody.stderr).contains("No phone of this name"));
    assert!(got(&address, &page).starts_with("HTTP/1.1 200"));
    let one = told(&["forget-phone", "phone"], log.path(), b"");
    assert!(String::from_utf8_lossy(&one.stdout).contains("Phone is forgotten"));
    assert!(got(&address, &page).starts_with("HTTP/1.1 401"));
    let again = pair.replace(&code, &next);
    let answer = got(&address, &again);
    let cookie = answer.split("solderlast-phone=").nth(1).unwrap().split(';').next().unwrap();
    let page =
        format!("GET / HTTP/1.1\r\nHost: {address}\r\nCookie: solderlast-phone={cookie}\r\nConnection: close\r\n\r\n");
    let forgotten = told(&["forget-phones"], log.path(), b"");
    assert!(String::from_utf8_lossy(&forgotten.stdout).contains("One phone is forgotten"));
    assert!(got(&address, &page).starts_with("HTTP/1.1 401"), "at once, without a restart");
}

#[test]
fn a_log_is_exported_looked_into_and_imported() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let loaded = told(&["ask"], here.path(), b"{\"ask\": \"load_demo\"}\n");
    assert!(loaded.status.success());
    let file = here.path().join("out.zip").to_string_lossy().into_owned();
    let said = |output: &Output| String::from_utf8_lossy(&output.stdout).into_owned();
    let packed = told(&["export", &file], here.path(), b"");
    assert!(packed.status.success() && said(&packed).starts_with("Packed: 4 auditions"), "{}", said(&packed));
    let again = told(&["export", &file], here.path(), b"");
    assert!(!again.status.success(), "nothing is overwritten");

    assert!(told(&["ask"], there.path(), b"{\"ask\": \"bench\"}\n").status.success(), "an empty log is begun");
    let nowhere = there.path().join("nowhere");
    assert!(!told(&["import", "--look", &file], &nowhere, b"").status.success() && !nowhere.exists(), "begins no log");
    assert!(told(&["ask"], there.path(), b"{\"ask\": \"drafts\"}\n").status.success());
    let looked = told(&["import", "--look", &file], there.path(), b"");
    assert!(looked.status.success() && said(&looked).contains("New here: 4 auditions"), "{}", said(&looked));
    assert!(said(&looked).ends_with("Nothing was brought in.\n"));
    let taken = told(&["import", &file], there.path(), b"");
    assert!(said(&taken).contains("Brought in: 4 auditions"), "{}", said(&taken));
    let twice = told(&["import", &file], there.path(), b"");
    assert!(said(&twice).contains("Nothing in it is new here."), "{}", said(&twice));

    for (table, words) in [("readings", "reading (ohm)"), ("notes", "value (1 to 5)")] {
        let [one, other] = [&here, &there].map(|log| told(&["csv", table], log.path(), b""));
        assert!(said(&one).contains(words) && said(&one).lines().count() > 3, "{}", said(&one));
        assert_eq!(said(&one), said(&other));
    }
    let bad = told(&["import", &here.path().join("solderlast.db").to_string_lossy()], there.path(), b"");
    assert!(!bad.status.success());
    assert!(String::from_utf8_lossy(&bad.stderr).contains("not a bundle"), "{:?}", bad.stderr);
}

/// The files of a log, by name and content, without what SQLite keeps beside one that is looked at.
fn files_of(log: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = std::fs::read_dir(log)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap()))
        .collect();
    files.retain(|(name, content)| !(name.ends_with("-shm") || (name.ends_with("-wal") && content.is_empty())));
    files.sort();
    files
}

#[test]
fn a_folder_without_a_log_stays_without_one() {
    let scratch = tempfile::tempdir().unwrap();
    let mistyped = scratch.path().join("solderlats");
    let bundle = scratch.path().join("out.zip").to_string_lossy().into_owned();
    for words in [&["export", bundle.as_str()][..], &["csv", "readings"], &["import", "--look", "x.zip"], &["check"]] {
        let output = told(words, &mistyped, b"");
        assert!(!output.status.success(), "{words:?}");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(said.contains("There is no log in") && said.contains("solderlats"), "{words:?}: {said}");
        assert!(!mistyped.exists(), "{words:?} made nothing");
        assert!(!Path::new(&bundle).exists());
    }
    assert_eq!(told(&["check"], &mistyped, b"").status.code(), Some(2));
}

#[test]
fn a_check_says_what_it_found_and_changes_nothing() {
    let log = tempfile::tempdir().unwrap();
    assert!(told(&["ask"], log.path(), b"{\"ask\": \"load_demo\"}\n").status.success());
    let before = files_of(log.path());
    let sound = told(&["check"], log.path(), b"");
    let said = String::from_utf8_lossy(&sound.stdout);
    assert_eq!(sound.status.code(), Some(0), "{said}");
    assert!(said.starts_with("The log is sound. Entries: "), "{said}");
    assert!(files_of(log.path()) == before, "nothing was changed");

    let path = log.path().join("solderlast.db");
    let whole = std::fs::read(&path).unwrap();
    let at = whole.windows(4).position(|four| four == b"neck").expect("the demo has a neck pickup");
    let mut altered = whole.clone();
    altered[at] = b'p';
    for damaged in [altered, whole[..whole.len() / 2].to_vec(), b"Somebody else's file".to_vec(), Vec::new()] {
        std::fs::write(&path, &damaged).unwrap();
        let before = files_of(log.path());
        let found = told(&["check"], log.path(), b"");
        let said = String::from_utf8_lossy(&found.stdout);
        assert_eq!(found.status.code(), Some(1), "{} bytes: {said}", damaged.len());
        assert!(said.starts_with("The log is not sound: "), "{said}");
        assert!(files_of(log.path()) == before, "nothing was changed");
    }
}

#[test]
fn a_log_is_salvaged_out_of_damaged_files() {
    let (log, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    assert!(told(&["ask"], log.path(), b"{\"ask\": \"load_demo\"}\n").status.success());
    let whole = std::fs::read(log.path().join("solderlast.db")).unwrap();
    let (one, two) = (other.path().join("one.db"), other.path().join("two.db"));
    // What one half lacks the other has.
    let middle = whole.len() / 4096 / 2 * 4096;
    let mut first = whole.clone();
    first[middle..].fill(0);
    let mut second = whole.clone();
    second[4096..middle].fill(0);
    std::fs::write(&one, &first).unwrap();
    std::fs::write(&two, &second).unwrap();
    let into = other.path().join("new");
    let [one, two, to] = [&one, &two, &into].map(|path| path.to_string_lossy().into_owned());
    let made = told(&["salvage", &one, &two, "--into", &to], log.path(), b"");
    let said = String::from_utf8_lossy(&made.stdout).into_owned();
    assert_eq!(made.status.code(), Some(0), "{said}{}", String::from_utf8_lossy(&made.stderr));
    assert!(said.starts_with("This log was salvaged from files."), "{said}");
    assert_eq!(told(&["check"], &into, b"").status.code(), Some(0));
    for table in ["readings", "notes", "measured"] {
        assert_eq!(told(&["csv", table], &into, b"").stdout, told(&["csv", table], log.path(), b"").stdout, "{table}");
    }
    assert!(std::fs::read(&one).unwrap() == first && std::fs::read(&two).unwrap() == second, "as they were");
    // A folder that has a log is left alone, and so is one for which a file can't be read.
    let again = told(&["salvage", &one, "--into", &to], log.path(), b"");
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("There is a log in"));
    let nowhere = other.path().join("nowhere");
    let missing = told(&["salvage", "no such file", "--into", &nowhere.to_string_lossy()], log.path(), b"");
    assert_eq!(missing.status.code(), Some(2));
    assert!(!nowhere.exists());
    // One half alone: what is missing makes another status.
    let part = other.path().join("part");
    let made = told(&["salvage", &two, "--into", &part.to_string_lossy()], log.path(), b"");
    let said = String::from_utf8_lossy(&made.stdout).into_owned();
    assert!(matches!(made.status.code(), Some(0 | 1)), "{said}");
    assert_eq!(made.status.code() == Some(1), said.lines().count() > 1, "{said}");
}

#[test]
fn recordings_are_told_on_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.to_string_lossy().into_owned()
    };
    let hum = |height: f64| Sound::silence(48_000, 1, 4.0).sine(50.0, height).sine(150.0, height / 2.0);
    let off = file("off.wav", &hum(1e-2).wav(Samples::Whole(24)));
    let on = file("on.wav", &hum(2e-3).wav(Samples::Whole(24)));
    let picture = file("picture.wav", b"\x89PNG\r\n\x1a\n");
    let log = folder.path().join("no log");

    let words = ["take", "--played", "hum-hands-off", &off, "--played", "hum-hands-on", &on];
    let output = told(&words, &log, b"");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(said.contains("Hum falls 14 dB with hands on the strings"), "{said}");
    assert!(!log.exists(), "a take makes no log");

    // What can't be read is said, and what can be is told all the same.
    let output = told(&["take", "--json", &off, &picture, &folder.path().to_string_lossy()], &log, b"");
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["takes"].as_array().unwrap().len(), 1, "{report}");
    assert_eq!(report["takes"][0]["told"]["shape"]["rate"], 48_000);
    let unread = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(unread.contains("picture.wav: This is a picture") && unread.contains("This is no file."), "{unread}");
}
