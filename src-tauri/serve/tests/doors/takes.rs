//! Takes through the doors: what is kept, handed out from any byte, and refused.

use std::net::SocketAddr;

use serde_json::{Value, json};
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Samples, Sound};

use crate::raw::{Answer, House, get, let_in, post, request, send, strangers};

const AUDITION: &str = "019a3c5f-7e00-7000-8000-000000000004";

fn entry(number: u32) -> String {
    format!("019a3c5f-7e00-7000-8000-{number:012x}")
}

/// A bench with an audition, as the worked examples write them.
async fn house() -> House {
    let house = House::open().await;
    let scratch = tempfile::tempdir().unwrap();
    for (ask, _) in solderlast_core::ask::examples(scratch.path()).unwrap() {
        if ["write_pickup", "write_guitar", "write_rig", "choose"].iter().any(|name| ask["ask"] == *name) {
            house.workshop.answer(ask.to_string().into_bytes()).await;
        }
    }
    house
}

fn riff() -> Sound {
    Sound::silence(48_000, 1, 1.0).sine(220.0, 0.3).noise(1e-4, &mut Chance(3))
}

/// What is said of how it was made, as it stands in an address.
const RIFF: &str = "%7B%22played%22%3A%22riff%22%2C%22load%22%3A%22125k%22%7D";

async fn send_take(to: SocketAddr, path: &str, kind: &str, file: &[u8]) -> Answer {
    let origin = format!("http://{to}");
    send(to, &request("POST", path, to, &[("Origin", origin.as_str()), ("Content-Type", kind)], file)).await
}

fn path(number: u32) -> String {
    format!("/take/audition/{AUDITION}/{}?recorded={RIFF}", entry(number))
}

fn on_disk(house: &House) -> usize {
    std::fs::read_dir(house.folder.path().join("takes")).map(Iterator::count).unwrap_or_default()
}

#[tokio::test]
async fn a_take_is_kept_and_handed_out_from_any_byte() {
    let house = house().await;
    let to = house.here();
    let file = riff().wav(Samples::Whole(24));
    let kept = send_take(to, &path(700), "audio/wav", &file).await;
    assert_eq!(kept.status, 200, "{}", kept.text());
    let line: Value = kept.json()["ok"]["takes"]["takes"][0].clone();
    assert_eq!(line["words"], "a riff, 125 kΩ across the output");
    let again = send_take(to, &path(700), "application/octet-stream", &file).await;
    assert_eq!(again.json()["ok"]["takes"]["takes"].as_array().map(Vec::len), Some(1), "it is written once");

    let address = format!("/take/{}", line["sound"]["take"].as_str().unwrap());
    let whole = get(to, &address, &[]).await;
    assert_eq!((whole.status, whole.header("content-type")), (200, Some("audio/flac")));
    assert_eq!((whole.header("accept-ranges"), &whole.body[..4]), (Some("bytes"), &b"fLaC"[..]));
    let bytes = whole.body.len();
    let mut chance = Chance(16);
    for _ in 0..20 {
        let (one, other) = (chance.below(bytes), chance.below(bytes));
        let (first, last) = (one.min(other), one.max(other));
        let part = get(to, &address, &[("Range", &format!("bytes={first}-{last}"))]).await;
        let shown = format!("bytes {first}-{last}/{bytes}");
        assert_eq!((part.status, part.header("content-range")), (206, Some(shown.as_str())));
        assert!(part.body == whole.body[first..=last], "{shown}");
    }
    assert_eq!(get(to, &address, &[("Range", &format!("bytes={bytes}-"))]).await.status, 416);
    assert_eq!(get(to, &address, &[("Range", "bytes=9-3")]).await.body.len(), bytes);
    for nothing in ["/take/../solderlast.db", "/take/abc", &format!("/take/{}", "0".repeat(64))] {
        assert_eq!(get(to, nothing, &[]).await.status, 404, "{nothing}");
    }
    // Nobody else may hear it.
    let stranger = send(to, &strangers("GET", &address, to, "", &[], b"")).await;
    assert!(stranger.status == 401 && !stranger.body.starts_with(b"fLaC"), "{}", stranger.status);
    let unasked = [("Origin", "http://elsewhere.example"), ("Content-Type", "audio/wav")];
    assert_eq!(send(to, &strangers("POST", &path(709), to, "", &unasked, &file)).await.json()["ok"], Value::Null);
}

#[tokio::test]
async fn what_is_no_take_is_refused_and_leaves_nothing() {
    let house = house().await;
    let to = house.here();
    let good = riff().wav(Samples::Whole(16));
    let mut chance = Chance(99);
    for (kind, file, status, said) in [
        ("audio/wav", b"\x89PNG\r\n\x1a\n and so on".to_vec(), 200, "This is a picture"),
        ("audio/wav", Vec::new(), 200, "empty"),
        ("video/mp4", b"\0\0\0\x18ftypmp42".to_vec(), 200, "Nothing was kept"),
        ("audio/wav", good[..30].to_vec(), 200, "Nothing was kept"),
        ("audio/mpeg", (0..20_000).map(|_| chance.below(256_usize) as u8).collect(), 200, "Nothing was kept"),
        ("text/plain", good.clone(), 415, "sent as a sound file"),
        ("application/json", good.clone(), 415, "sent as a sound file"),
    ] {
        let answer = send_take(to, &path(701), kind, &file).await;
        assert!(answer.status == status && answer.text().contains(said), "{kind}: {} {}", answer.status, answer.text());
        assert_eq!(on_disk(&house), 0, "{kind}");
    }
    for (place, status) in [
        (format!("/take/audition/nobody/{}?recorded={RIFF}", entry(702)), 400),
        (format!("/take/spoon/{AUDITION}/{}?recorded={RIFF}", entry(702)), 400),
        (format!("/take/audition/{AUDITION}/{}?recorded=%7B", entry(702)), 400),
        (format!("/take/audition/{AUDITION}/{}", entry(702)), 400),
        (format!("/take/audition/{}/{}?recorded={RIFF}", entry(999), entry(702)), 200),
    ] {
        let answer = send_take(to, &place, "audio/wav", &good).await;
        assert!(answer.status == status && answer.text().contains("refused"), "{place}: {}", answer.text());
        assert_eq!(on_disk(&house), 0, "{place}");
    }
    // 4 GB are refused before they come.
    let head = format!(
        "POST {} HTTP/1.1\r\nHost: {to}\r\n{}Origin: http://{to}\r\nContent-Type: audio/wav\r\n\
         Content-Length: 4000000000\r\nExpect: 100-continue\r\nConnection: close\r\n\r\n",
        path(703),
        let_in(to)
    );
    let answer = send(to, head.as_bytes()).await;
    assert!(answer.status == 413 && answer.text().contains("4000 MB"), "{}", answer.text());
    // One that breaks off.
    let cut =
        request("POST", &path(704), to, &[("Origin", &format!("http://{to}")), ("Content-Type", "audio/wav")], &good);
    let _ = send(to, &cut[..cut.len() - 1000]).await;
    assert_eq!(on_disk(&house), 0);
    let takes = post(to, "/ask", &[], &json!({"ask": "takes", "about": null}).to_string()).await;
    assert_eq!(takes.json()["ok"]["takes"]["takes"], json!([]));
}
