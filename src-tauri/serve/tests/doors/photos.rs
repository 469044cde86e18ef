//! Photos through the doors: what is kept, cleaned and refused, and who may see them.

use std::io::Cursor;
use std::net::SocketAddr;

use crate::raw::{Answer, House, get, let_in, pair, patience, post, request, send};
use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};

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
            let answer = house.workshop.answer(ask.to_string().into_bytes()).await;
            assert!(answer.starts_with(b"{\"ok\""));
        }
    }
    house
}

/// A picture that is light on its left half, so that one can tell how it stands.
fn picture(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let picture = RgbImage::from_fn(width, height, |x, _| if x < width / 2 { [220; 3] } else { [20; 3] }.into());
    let mut bytes = Vec::new();
    picture.write_to(&mut Cursor::new(&mut bytes), format).unwrap();
    bytes
}

/// A JPEG with a note, as phones write it: turned by a quarter, and where it was taken.
fn with_location(jpeg: &[u8]) -> Vec<u8> {
    // TIFF, little-endian: orientation 6, then a GPS directory with a latitude reference and the maker's words.
    let mut tiff = b"II*\0\x08\0\0\0\x02\0".to_vec();
    tiff.extend_from_slice(&[0x12, 0x01, 3, 0, 1, 0, 0, 0, 6, 0, 0, 0]);
    tiff.extend_from_slice(&[0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend_from_slice(&[0; 4]);
    tiff.extend_from_slice(&[1, 0, 1, 0, 2, 0, 2, 0, 0, 0, b'N', 0, 0, 0, 0, 0, 0, 0]);
    tiff.extend_from_slice(b"LATITUDE 52.0000 NORTH");
    let mut note = b"Exif\0\0".to_vec();
    note.extend_from_slice(&tiff);
    let length = u16::try_from(note.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &note, &jpeg[2..]].concat()
}

async fn send_photo(to: SocketAddr, number: u32, look: &str, headers: &[(&str, &str)], file: &[u8]) -> Answer {
    let origin = format!("http://{to}");
    let mut all = vec![("Origin", origin.as_str()), ("Content-Type", "image/jpeg")];
    all.extend_from_slice(headers);
    send(to, &request("POST", &format!("/photo/{AUDITION}/{}/{look}", entry(number)), to, &all, file)).await
}

fn photos(answer: &Answer) -> Vec<Value> {
    answer.json()["ok"]["audition"]["photos"].as_array().unwrap().clone()
}

fn on_disk(house: &House) -> Vec<String> {
    let files = std::fs::read_dir(house.folder.path().join("photos"));
    files.map(|files| files.map(|file| file.unwrap().file_name().into_string().unwrap()).collect()).unwrap_or_default()
}

#[tokio::test]
async fn a_photo_is_kept_shown_and_erased_with_its_audition() {
    let house = house().await;
    let to = house.here();
    let file = picture(640, 480, ImageFormat::Jpeg);
    let before = send_photo(to, 500, "before", &[], &file).await;
    assert_eq!((before.status, photos(&before)[0]["look"].as_str()), (200, Some("before")));
    let again = send_photo(to, 500, "before", &[], &file).await;
    assert_eq!(photos(&again).len(), 1, "asked again after a dropped connection, it is written once");
    let after = send_photo(to, 501, "after", &[], &picture(320, 200, ImageFormat::Png)).await;
    let shown = photos(&after);
    assert_eq!((shown.len(), on_disk(&house).len()), (2, 2));

    let name = shown[0]["photo"].as_str().unwrap().to_owned();
    let kept = get(to, &format!("/photo/{name}"), &[]).await;
    assert_eq!((kept.status, kept.header("content-type")), (200, Some("image/jpeg")));
    assert_eq!(kept.header("cache-control"), Some("no-store"), "what is erased must not live on in a browser");
    assert_eq!(image::load_from_memory(&kept.body).unwrap().width(), 640);
    for path in
        ["/photo/../solderlast.db", "/photo/..%2fsolderlast.db", "/photo/abc", &format!("/photo/{}", "0".repeat(64))]
    {
        let answer = get(to, path, &[]).await;
        assert!(matches!(answer.status, 404) && answer.body.len() < 400, "{path}: {}", answer.status);
    }

    // The same picture belongs to another audition too: it stays when only one of them goes.
    let other = "019a3c5f-7e00-7000-8000-0000000000aa";
    let choose = json!({"ask": "choose", "entry": entry(600), "audition": other, "choice": {
        "pickup": entry(1), "guitar": entry(2), "rig": entry(3), "place": "neck", "from_saddle": "162", "unit": "millimetre",
        "modes": ["single"], "question": ""}});
    assert_eq!(post(to, "/ask", &[], &choose.to_string()).await.json()["ok"]["reply"], "audition");
    let origin = format!("http://{to}");
    let headers = [("Origin", origin.as_str()), ("Content-Type", "image/jpeg")];
    let path = format!("/photo/{other}/{}/before", entry(601));
    assert_eq!(send(to, &request("POST", &path, to, &headers, &file)).await.status, 200);
    assert_eq!(on_disk(&house).len(), 2, "one file for one picture");

    let things = json!([{"thing": "audition", "id": AUDITION}]);
    let would_go = post(to, "/ask", &[], &json!({"ask": "what_would_go", "things": things}).to_string()).await;
    assert!(would_go.text().contains("2 photos go with them"), "{}", would_go.text());
    post(to, "/ask", &[], &json!({"ask": "erase", "things": things}).to_string()).await;
    assert_eq!(on_disk(&house), [format!("{name}.jpg")], "named by the other audition still");
    assert_eq!(get(to, &format!("/photo/{name}"), &[]).await.status, 200);
    let things = json!([{"thing": "audition", "id": other}]);
    post(to, "/ask", &[], &json!({"ask": "erase", "things": things}).to_string()).await;
    assert_eq!(on_disk(&house), Vec::<String>::new());
    assert_eq!(get(to, &format!("/photo/{name}"), &[]).await.status, 404);
}

#[tokio::test]
async fn where_it_was_taken_is_gone_and_it_stands_upright() {
    let house = house().await;
    let file = with_location(&picture(400, 200, ImageFormat::Jpeg));
    assert!(file.windows(8).any(|part| part == b"LATITUDE"));
    let answer = send_photo(house.here(), 500, "before", &[], &file).await;
    let name = photos(&answer)[0]["photo"].as_str().unwrap().to_owned();
    let kept = get(house.here(), &format!("/photo/{name}"), &[]).await.body;
    for trace in [&b"LATITUDE"[..], b"Exif", b"NORTH"] {
        assert!(!kept.windows(trace.len()).any(|part| part == trace), "{}", String::from_utf8_lossy(trace));
    }
    let picture = image::load_from_memory(&kept).unwrap().into_luma8();
    assert_eq!((picture.width(), picture.height()), (200, 400), "turned as the note said");
    assert!(picture.get_pixel(100, 20)[0] > 180 && picture.get_pixel(100, 380)[0] < 60);
}

#[tokio::test]
async fn what_is_no_photo_is_refused_in_clear_words() {
    let house = house().await;
    let to = house.here();
    let jpeg = picture(640, 480, ImageFormat::Jpeg);
    let script = b"<script>alert(1)</script>\n".repeat(50);
    let cases: [(&str, &[u8], u16, &str, &str); 7] = [
        ("a script with a picture's name", &script, 200, "photo_no_picture", "not a picture, whatever its name says"),
        ("a picture cut in half", &jpeg[..jpeg.len() / 2], 200, "photo_broken", "damaged"),
        ("nothing at all", b"", 200, "photo_no_picture", "not a picture"),
        ("another kind", b"GIF89a\x01\0\x01\0\0\0\0;", 200, "photo_other_kind", "Save it as JPEG"),
        ("a picture of 30 MB", &vec![0xFF; 30_000_000], 413, "photo_too_heavy", "This photo has 30 MB, and 25 MB fit"),
        ("a picture of 70 MB", &vec![0xFF; 70_000_000], 413, "photo_too_heavy", "This photo has 70 MB, and 25 MB fit"),
        ("just over the limit", &vec![0xFF; 25_165_825], 413, "photo_too_heavy", "25 MB fit"),
    ];
    for (number, (what, file, status, field, words)) in (500..).zip(cases) {
        let answer = send_photo(to, number, "before", &[], file).await;
        let json = answer.json();
        let refused = &json["refused"];
        assert_eq!(
            (answer.status, &refused["code"], &refused["field"]),
            (status, &json!("photo"), &json!(field)),
            "{what}"
        );
        assert!(refused["sentence"].as_str().unwrap().contains(words), "{what}: {}", refused["sentence"]);
        assert!(refused["sentence"].as_str().unwrap().contains("Nothing was kept"), "{what}");
    }
    let far_too_heavy = format!(
        "POST /photo/{AUDITION}/{}/before HTTP/1.1\r\nHost: {to}\r\n{}Content-Type: image/png\r\nContent-Length: 999999999\r\n\r\n",
        entry(550),
        let_in(to)
    );
    assert_eq!(send(to, far_too_heavy.as_bytes()).await.status, 413, "said beforehand, and never sent");
    let waiting = far_too_heavy.replace("Content-Type", "Expect: 100-continue\r\nContent-Type");
    let began = std::time::Instant::now();
    assert_eq!(send(to, waiting.as_bytes()).await.status, 413);
    assert!(began.elapsed() < patience().body, "who asks first is told at once");
    assert_eq!(on_disk(&house), Vec::<String>::new());

    for (path, kind, status) in [
        (format!("/photo/{AUDITION}/{}/sideways", entry(560)), "image/jpeg", 400),
        (format!("/photo/elsewhere/{}/before", entry(560)), "image/jpeg", 400),
        (format!("/photo/{AUDITION}/12/before"), "image/jpeg", 400),
        (format!("/photo/{AUDITION}/{}/before", entry(560)), "text/html", 415),
        (format!("/photo/{AUDITION}/{}/before", entry(560)), "multipart/form-data", 415),
    ] {
        let answer = send(to, &request("POST", &path, to, &[("Content-Type", kind)], &jpeg)).await;
        assert_eq!(answer.status, status, "{path} {kind}");
    }
    let nobody = format!("/photo/{}/{}/before", entry(77), entry(561));
    let answer = send(to, &request("POST", &nobody, to, &[("Content-Type", "image/jpeg")], &jpeg)).await;
    assert_eq!(answer.refused(), "not_found");
    assert_eq!(on_disk(&house), Vec::<String>::new(), "no audition, no photo");
}

#[tokio::test]
async fn only_our_page_and_a_paired_phone_may() {
    let house = house().await;
    let jpeg = picture(64, 64, ImageFormat::Jpeg);
    let to = house.here();
    let path = format!("/photo/{AUDITION}/{}/before", entry(500));
    let elsewhere = [("Content-Type", "image/jpeg"), ("Origin", "http://elsewhere.example")];
    assert_eq!(send(to, &request("POST", &path, to, &elsewhere, &jpeg)).await.refused(), "wrong_origin");

    let door = house.phone_door().await;
    assert_eq!(send_photo(door, 500, "before", &[], &jpeg).await.refused(), "not_paired");
    assert_eq!(on_disk(&house), Vec::<String>::new());
    let cookie = pair(door, &house.code().await).await.cookie();
    let taken = send_photo(door, 500, "before", &[("Cookie", &cookie)], &jpeg).await;
    let name = photos(&taken)[0]["photo"].as_str().unwrap().to_owned();
    let stranger = get(door, &format!("/photo/{name}"), &[]).await;
    assert_eq!(stranger.status, 401);
    assert!(stranger.text().contains("<html"), "a stranger learns nothing but the pairing page");
    let shown = get(door, &format!("/photo/{name}"), &[("Cookie", &cookie)]).await;
    assert_eq!((shown.status, shown.header("content-type")), (200, Some("image/jpeg")));
}
