//! Another account of the same machine: it reads nothing of a log, and learns nothing through this computer's own door.
//!
//! The test becomes such an account for the programs that it starts, which only root may. Where it is not root it says so,
//! and looks at the rights of files alone.

#![cfg(unix)]

use std::fs;
use std::net::SocketAddr;
use std::os::unix::fs::PermissionsExt as _;
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use crate::raw::{patience, post};
use serde_json::json;
use solderlast_serve::phone_door::Phones;
use solderlast_serve::{Workshop, bench_door};
use solderlast_testkit::limits::output;

/// A number that no account of this machine has, so it owns nothing here; to the system it is an account like any other.
const STRANGER: u32 = 54_321;

/// What this shell script prints when the other account runs it.
fn as_stranger(script: &str) -> String {
    let mut shell = Command::new("bash");
    shell.args(["-c", script]).uid(STRANGER).gid(STRANGER).current_dir("/");
    let output = output(&mut shell, b"").expect("a shell");
    String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned()
}

fn i_am_root() -> bool {
    let me = output(Command::new("id").arg("-u"), b"").expect("the system says who runs this").stdout;
    let root = me.trim_ascii() == b"0";
    if !root {
        println!("Not root, so no other account can be made: only the rights of files are looked at.");
    }
    root
}

/// Every file and folder at and in this one.
fn all_in(path: &Path) -> Vec<PathBuf> {
    let inner = fs::read_dir(path).into_iter().flatten().flat_map(|one| all_in(&one.unwrap().path()));
    std::iter::once(path.to_path_buf()).chain(inner).collect()
}

fn open_to_all(path: &Path) {
    for one in all_in(path) {
        let mode = if one.is_dir() { 0o755 } else { 0o644 };
        fs::set_permissions(&one, fs::Permissions::from_mode(mode)).unwrap();
    }
}

/// A folder that every account may look into, as `/home` is.
fn shared() -> tempfile::TempDir {
    let shared = tempfile::tempdir().unwrap();
    fs::set_permissions(shared.path(), fs::Permissions::from_mode(0o755)).unwrap();
    shared
}

async fn stocked(workshop: &Workshop) {
    for ask in ["{\"ask\": \"load_demo\"}", "{\"ask\": \"keep_draft\", \"key\": \"k\", \"text\": \"a crane\"}"] {
        assert!(String::from_utf8(workshop.answer(ask).await).unwrap().starts_with("{\"ok\""));
    }
}

#[tokio::test]
async fn another_account_reads_nothing_of_a_log_also_not_of_one_that_was_open_to_all() {
    let shared = shared();
    let log = shared.path().join("data/log");
    drop(Workshop::open(&log).unwrap());
    let closed = |when: &str| {
        for path in all_in(&log) {
            let mode = fs::metadata(&path).unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "{} {when}", path.display());
        }
    };
    let workshop = Workshop::open(&log).unwrap();
    stocked(&workshop).await;
    Phones::of(&log).let_in("Phone", chrono::Utc::now()).unwrap();
    bench_door::Key::of(&log).unwrap();
    fs::create_dir_all(log.join("photos")).unwrap();
    fs::write(log.join("photos/x.jpg"), "a photo").unwrap();
    fs::write(log.join("damaged-20261103T100000Z.db"), "an old log").unwrap();
    // Its write-ahead file is there too while it is open.
    assert!(log.join("solderlast.db-wal").exists());
    open_to_all(&shared.path().join("data"));
    if i_am_root() {
        let seen = as_stranger(&format!("cd {} && grep -c . solderlast.db* door.key && echo read", log.display()));
        assert!(seen.contains("read"), "so far it is open to all: {seen}");
    }
    // Opening it once more mends that, while the first still has it open.
    let again = Workshop::open(&log).unwrap();
    closed("after it was opened again");
    stocked(&again).await;
    drop((workshop, again));
    drop(Workshop::open(&log).unwrap());
    closed("after it was closed and opened");
    if i_am_root() {
        for file in all_in(&log) {
            let tries = if file.is_dir() { "ls {}; touch {}/x; rm -rf {}" } else { "cat {}; echo x >> {}; rm -f {}" };
            let seen = as_stranger(&tries.replace("{}", &file.display().to_string()));
            let denied = seen.lines().filter(|line| line.contains("denied")).count();
            assert!(seen.lines().count() >= 3 && denied == seen.lines().count(), "{}: {seen}", file.display());
            assert!(file.exists());
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_account_learns_nothing_through_the_door() {
    if !i_am_root() {
        return;
    }
    let shared = shared();
    let log = shared.path().join("log");
    let workshop = Arc::new(Workshop::open(&log).unwrap().with_phone_port(0).with_patience(patience()));
    stocked(&workshop).await;
    let door = bench_door::open(Arc::clone(&workshop), 0, patience()).await.unwrap();
    let to = door.address();
    let label = {
        let drawer = workshop.answer("{\"ask\": \"drawer\", \"retired\": false}").await;
        let drawer = String::from_utf8(drawer).unwrap();
        let at = drawer.find("\"label\":\"").expect("the demo bench has pickups") + 9;
        drawer[at..].split('"').next().unwrap().to_owned()
    };
    let asked = move |method: &str, path: &str, body: &str| as_stranger(&over_the_wire(to, method, path, body));
    let everything = [
        ("GET", "/", ""),
        ("GET", "/index.html", ""),
        ("GET", "/table/readings", ""),
        ("GET", "/table/notes", ""),
        ("POST", "/ask", "{\"ask\": \"drawer\", \"retired\": false}"),
        ("POST", "/ask", "{\"ask\": \"remove_demo\"}"),
        ("POST", "/phone-door", "{\"action\": \"open\"}"),
        ("POST", "/shared-log", "{\"action\": \"status\"}"),
        ("POST", "/enter", "{\"key\": \"0000000000000000000000000000000000000000000000000000000000000000\"}"),
    ];
    let all = move || everything.map(|(method, path, body)| (path, asked(method, path, body)));
    let answers = tokio::task::spawn_blocking(all).await.unwrap();
    let bare = answers[0].1.split("\r\n\r\n").nth(1).unwrap().to_owned();
    for (path, answer) in &answers {
        let status = if *path == "/enter" { "HTTP/1.1 403" } else { "HTTP/1.1 401" };
        assert!(answer.starts_with(status), "{path}: {answer}");
        for secret in [label.as_str(), door.key().shown(), "crane", "\"ok\"", "set-cookie"] {
            assert!(!answer.contains(secret), "{secret} in {path}: {answer}");
        }
        let body = answer.split("\r\n\r\n").nth(1).unwrap();
        assert!(body == bare || body.contains("not_let_in") || body.contains("wrong_key"), "{path}: {body}");
    }
    assert!(!workshop.shown().await.open, "the phone door is closed");
    let bench = String::from_utf8(workshop.answer("{\"ask\": \"bench\"}").await).unwrap();
    assert!(bench.contains("\"demo\":true"), "and the demo is there: {bench}");
    // The owner's own programs find the key in the folder.
    let key = fs::read_to_string(log.join(bench_door::KEY_FILE)).unwrap();
    let bearer = format!("Bearer {}", key.trim());
    let answer = post(to, "/ask", &[("Authorization", &bearer)], &json!({"ask": "bench"}).to_string()).await;
    assert_eq!(answer.status, 200);
}

/// A shell script that sends one request, with the headers that the door's own page would send.
fn over_the_wire(to: SocketAddr, method: &str, path: &str, body: &str) -> String {
    let (ip, port) = (to.ip(), to.port());
    format!(
        "exec 3<>/dev/tcp/{ip}/{port}; printf '%s\\r\\n' '{method} {path} HTTP/1.1' 'Host: {to}' 'Origin: http://{to}' \
         'Content-Type: application/json' 'Content-Length: {}' 'Connection: close' '' >&3; printf '%s' '{body}' >&3; cat <&3",
        body.len()
    )
}
