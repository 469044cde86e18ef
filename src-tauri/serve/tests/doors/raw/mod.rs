//! A client that sends exactly the bytes it is told to, and a workshop to send them to.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    dead_code,
    reason = "a test that can't go on should stop; each test file uses a part"
)]

use std::collections::HashMap;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use serde_json::Value;
use solderlast_serve::bench_door::BenchDoor;
use solderlast_serve::web::listening::Patience;
use solderlast_serve::{Workshop, bench_door};
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

/// Short enough for a test, long enough for a busy machine.
pub fn patience() -> Patience {
    Patience { head: Duration::from_secs(5), body: Duration::from_secs(5), ..Patience::default() }
}

/// The keys of the bench doors that are open, by address: whoever sends a [`request`] there was let in.
static LET_IN: Mutex<Option<HashMap<SocketAddr, String>>> = Mutex::new(None);

/// The header that lets a program in here; nothing where there is no bench door.
pub fn let_in(to: SocketAddr) -> String {
    let keys = LET_IN.lock().unwrap();
    let key = keys.as_ref().and_then(|keys| keys.get(&to));
    key.map(|key| format!("Authorization: Bearer {key}\r\n")).unwrap_or_default()
}

/// A workshop with an empty log and its bench door open.
pub struct House {
    pub folder: TempDir,
    pub workshop: Arc<Workshop>,
    pub bench: BenchDoor,
}

impl House {
    pub async fn open() -> Self {
        Self::open_with(patience()).await
    }

    pub async fn open_with(patience: Patience) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let workshop = Workshop::open(folder.path()).unwrap().with_phone_port(0).with_patience(patience);
        let workshop = Arc::new(workshop);
        let bench = bench_door::open(Arc::clone(&workshop), 0, patience).await.unwrap();
        LET_IN.lock().unwrap().get_or_insert_default().insert(bench.address(), bench.key().shown().to_owned());
        Self { folder, workshop, bench }
    }

    /// Where the bench door listens.
    pub fn here(&self) -> SocketAddr {
        self.bench.address()
    }

    /// Opens the phone door; the address of it to use from this very computer.
    pub async fn phone_door(&self) -> SocketAddr {
        self.workshop.open_phone_door().await.unwrap();
        SocketAddr::from(([127, 0, 0, 1], self.workshop.phone_port().await.unwrap()))
    }

    pub async fn code(&self) -> String {
        self.workshop.shown().await.code.unwrap()
    }
}

/// An answer, taken apart.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    fn read(bytes: &[u8]) -> Self {
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").expect("a head");
        let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Self { status, head, body: bytes[end + 4..].to_vec() }
    }

    pub fn text(&self) -> String {
        String::from_utf8(self.body.clone()).unwrap()
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("JSON, not {}", self.text()))
    }

    /// The code of the refusal.
    pub fn refused(&self) -> String {
        let json = self.json();
        let refused = &json["refused"];
        assert!(refused["sentence"].as_str().is_some_and(|sentence| sentence.ends_with('.')), "{json}");
        refused["code"].as_str().unwrap_or_else(|| panic!("a refusal, not {json}")).to_owned()
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().skip(1).find_map(|line| {
            let (found, value) = line.split_once(": ")?;
            found.eq_ignore_ascii_case(name).then_some(value)
        })
    }

    /// The cookie to send from now on: `name=token`.
    pub fn cookie(&self) -> String {
        self.header("set-cookie").expect("a cookie").split(';').next().unwrap().to_owned()
    }
}

/// Sends these bytes and reads the answer to its end.
pub async fn send(to: SocketAddr, bytes: &[u8]) -> Answer {
    Answer::read(&send_for_bytes(to, bytes).await)
}

pub async fn send_for_bytes(to: SocketAddr, bytes: &[u8]) -> Vec<u8> {
    let mut stream = TcpStream::connect(to).await.unwrap();
    let mut answer = Vec::new();
    let (mut reading, mut writing) = stream.split();
    // A door may answer and close before it has taken everything.
    let write = async { _ = writing.write_all(bytes).await };
    let read = async { _ = reading.read_to_end(&mut answer).await };
    tokio::time::timeout(Duration::from_secs(20), async { tokio::join!(write, read) }).await.expect("an end in time");
    answer
}

/// All that comes on this connection until it ends, which it must in time.
pub async fn to_the_end(stream: &mut TcpStream) -> String {
    let mut answer = String::new();
    let read = tokio::time::timeout(Duration::from_secs(20), stream.read_to_string(&mut answer)).await;
    read.expect("an end in time").unwrap();
    answer
}

/// A request with these headers beside the host, the wish to close, and the key of a bench door.
pub fn request(method: &str, path: &str, to: SocketAddr, headers: &[(&str, &str)], body: &[u8]) -> Vec<u8> {
    strangers(method, path, to, &let_in(to), headers, body)
}

/// The same from somebody who has no key, or this one.
pub fn strangers(
    method: &str,
    path: &str,
    to: SocketAddr,
    key: &str,
    headers: &[(&str, &str)],
    body: &[u8],
) -> Vec<u8> {
    let mut head = format!("{method} {path} HTTP/1.1\r\nHost: {to}\r\n{key}Connection: close\r\n");
    for (name, value) in headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    if method == "POST" {
        head.push_str(&format!("Content-Length: {}\r\n", body.len()));
    }
    head.push_str("\r\n");
    [head.as_bytes(), body].concat()
}

/// As a page of this address asks.
pub async fn post(to: SocketAddr, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
    let origin = format!("http://{to}");
    let mut all = vec![("Origin", origin.as_str()), ("Content-Type", "application/json")];
    all.extend_from_slice(headers);
    send(to, &request("POST", path, to, &all, body.as_bytes())).await
}

/// As a browser asks for a page.
pub async fn get(to: SocketAddr, path: &str, headers: &[(&str, &str)]) -> Answer {
    send(to, &request("GET", path, to, headers, b"")).await
}

pub async fn pair(to: SocketAddr, code: &str) -> Answer {
    post(to, "/pair", &[], &serde_json::json!({ "code": code }).to_string()).await
}

/// A code that is not the one shown.
pub fn wrong(code: &str) -> String {
    let number: u32 = code.parse().unwrap();
    format!("{:06}", (number + 1) % 1_000_000)
}
