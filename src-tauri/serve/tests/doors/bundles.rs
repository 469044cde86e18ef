//! Bundles and tables through the doors: what goes out, what comes in, and who may.

use std::net::SocketAddr;
use std::time::Duration;

use crate::raw::{Answer, House, get, pair, post, request, send};
use serde_json::{Value, json};

fn name(number: u32) -> String {
    format!("019a3c5f-7e00-7000-8000-{number:012x}")
}

async fn ask(to: SocketAddr, headers: &[(&str, &str)], ask: Value) -> Value {
    post(to, "/ask", headers, &ask.to_string()).await.json()
}

async fn house_with_demo() -> House {
    let house = House::open().await;
    assert_eq!(ask(house.here(), &[], json!({"ask": "load_demo"})).await["ok"]["reply"], "bench");
    house
}

/// Waits until nobody works on it any more; answers how it stands then.
async fn settled(to: SocketAddr, headers: &[(&str, &str)]) -> Value {
    for _ in 0..500 {
        let carry = ask(to, headers, json!({"ask": "carry"})).await["ok"]["carry"].clone();
        if carry["standing"] != "working" {
            return carry;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    unreachable!("it never came to an end");
}

async fn send_bundle(to: SocketAddr, number: u32, headers: &[(&str, &str)], file: &[u8]) -> Answer {
    let origin = format!("http://{to}");
    let mut all = vec![("Origin", origin.as_str()), ("Content-Type", "application/zip")];
    all.extend_from_slice(headers);
    send(to, &request("POST", &format!("/bundle/{}", name(number)), to, &all, file)).await
}

/// Packs the log of this house and fetches the bundle.
async fn packed(to: SocketAddr, number: u32, headers: &[(&str, &str)]) -> Answer {
    let begun = ask(to, headers, json!({"ask": "pack_bundle", "carry": name(number), "auditions": []})).await;
    assert_eq!(begun["ok"]["carry"]["carrying"], "pack", "{begun}");
    assert_eq!(settled(to, headers).await["standing"], "done");
    get(to, &format!("/bundle/{}", name(number)), headers).await
}

#[tokio::test]
async fn a_bundle_goes_out_of_one_house_and_into_another() {
    let (here, there) = (house_with_demo().await, House::open().await);
    let answer = packed(here.here(), 1, &[]).await;
    assert_eq!((answer.status, answer.header("content-type")), (200, Some("application/zip")));
    let kept = answer.header("content-disposition").unwrap();
    assert!(kept.starts_with("attachment; filename=\"solderlast-") && kept.ends_with(".zip\""), "{kept}");
    assert_eq!(answer.header("content-length"), Some(answer.body.len().to_string().as_str()));
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    assert!(answer.body.starts_with(b"PK"));

    let to = there.here();
    let looked = send_bundle(to, 2, &[], &answer.body).await;
    assert_eq!((looked.status, looked.json()["ok"]["carry"]["carrying"].as_str()), (200, Some("look")));
    let found = settled(to, &[]).await;
    assert_eq!((found["standing"].as_str(), found["anything_new"].as_bool()), (Some("done"), Some(true)), "{found}");
    assert_eq!(ask(to, &[], json!({"ask": "drawer", "retired": false})).await["ok"]["pickups"], json!([]));
    let other = ask(to, &[], json!({"ask": "take_in", "carry": name(9)})).await;
    assert_eq!(other["refused"]["code"], "not_found");
    ask(to, &[], json!({"ask": "take_in", "carry": name(2)})).await;
    let taken = settled(to, &[]).await;
    assert!(taken["sentence"].as_str().unwrap().starts_with("Brought in: 4 auditions"), "{taken}");
    // Asked again after a dropped connection, it answers the same.
    let again = ask(to, &[], json!({"ask": "take_in", "carry": name(2)})).await;
    assert_eq!(again["ok"]["carry"], taken);
    assert_eq!(
        ask(to, &[], json!({"ask": "drawer", "retired": false})).await["ok"]["pickups"].as_array().unwrap().len(),
        6
    );
    assert_eq!(ask(to, &[], json!({"ask": "call_off", "carry": name(2)})).await["ok"]["carry"]["standing"], "done");

    // What was packed is gone with the next carrying, and with an erasing.
    packed(here.here(), 3, &[]).await;
    assert_eq!(get(here.here(), &format!("/bundle/{}", name(1)), &[]).await.status, 404);
    ask(here.here(), &[], json!({"ask": "remove_demo"})).await;
    assert_eq!(get(here.here(), &format!("/bundle/{}", name(3)), &[]).await.status, 404);
    assert_eq!(std::fs::read_dir(here.folder.path().join("carry")).unwrap().count(), 0);
}

#[tokio::test]
async fn what_is_no_bundle_is_refused_and_nothing_is_kept() {
    let house = House::open().await;
    let to = house.here();
    let looked = send_bundle(to, 1, &[], b"Dear diary").await;
    assert_eq!(looked.status, 200);
    let found = settled(to, &[]).await;
    assert_eq!(found["standing"], "refused");
    assert!(found["sentence"].as_str().unwrap().contains("not a bundle"), "{found}");
    let taken = ask(to, &[], json!({"ask": "take_in", "carry": name(1)})).await;
    assert_eq!(taken["refused"]["code"], "not_now");
    ask(to, &[], json!({"ask": "call_off", "carry": name(1)})).await;
    assert_eq!(ask(to, &[], json!({"ask": "carry"})).await["ok"]["carry"], Value::Null);

    // A name that is none, a page that is no file, and one that comes from elsewhere.
    let origin = format!("http://{to}");
    let zip = [("Origin", origin.as_str()), ("Content-Type", "application/zip")];
    let no_name = send(to, &request("POST", "/bundle/..%2Flog", to, &zip, b"x")).await;
    assert_eq!((no_name.status, no_name.refused().as_str()), (400, "unclear"));
    let form = [("Origin", origin.as_str()), ("Content-Type", "text/plain")];
    let no_file = send(to, &request("POST", &format!("/bundle/{}", name(1)), to, &form, b"x")).await;
    assert_eq!((no_file.status, no_file.refused().as_str()), (415, "not_a_file"));
    let elsewhere = [("Origin", "http://elsewhere.example"), ("Content-Type", "application/zip")];
    let foreign = send(to, &request("POST", &format!("/bundle/{}", name(1)), to, &elsewhere, b"x")).await;
    assert_eq!(foreign.status, 403);

    // One that ends before it is whole is let go of, and the next begins anew.
    let mut cut = request("POST", &format!("/bundle/{}", name(4)), to, &zip, &[b'x'; 1000]);
    cut.truncate(cut.len() - 500);
    let cut = send(to, &cut).await;
    assert_eq!((cut.status, cut.refused().as_str()), (408, "too_slow"));
    assert_eq!(ask(to, &[], json!({"ask": "carry"})).await["ok"]["carry"], Value::Null);
    assert_eq!(send_bundle(to, 4, &[], b"again").await.status, 200);
    settled(to, &[]).await;
    // So is one of a phone that is gone.
    let gone = request("POST", &format!("/bundle/{}", name(5)), to, &zip, &[b'x'; 1000]);
    let mut stream = tokio::net::TcpStream::connect(to).await.unwrap();
    tokio::io::AsyncWriteExt::write_all(&mut stream, &gone[..gone.len() - 500]).await.unwrap();
    drop(stream);
    for _ in 0..100 {
        if send_bundle(to, 6, &[], b"again").await.json()["ok"]["carry"]["carrying"] == "look" {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    unreachable!("nobody let go of it");
}

#[tokio::test]
async fn a_stranger_gets_nothing_and_a_paired_phone_gets_the_same() {
    let house = house_with_demo().await;
    let phone = house.phone_door().await;
    for path in [
        format!("/bundle/{}", name(1)),
        "/table/readings".to_owned(),
        "/table/notes?find=%7B%7D".to_owned(),
        "/blind/a/1/1".to_owned(),
        "/stretch/a/0/1".to_owned(),
    ] {
        let answer = get(phone, &path, &[]).await;
        assert_eq!(answer.status, 401, "{path}");
        assert!(!answer.text().contains("Lantern"), "{path}");
    }
    let unpaired = send_bundle(phone, 1, &[], b"x").await;
    assert_eq!((unpaired.status, unpaired.refused().as_str()), (401, "not_paired"));

    let cookie = pair(phone, &house.code().await).await.cookie();
    let paired = [("Cookie", cookie.as_str())];
    let bundle = packed(phone, 1, &paired).await;
    assert_eq!(bundle.status, 200);
    send_bundle(phone, 2, &paired, &bundle.body).await;
    let found = settled(phone, &paired).await;
    assert_eq!((found["standing"].as_str(), found["anything_new"].as_bool()), (Some("done"), Some(false)), "{found}");
}

#[tokio::test]
async fn tables_are_given_out_for_what_is_looked_for() {
    let house = house_with_demo().await;
    let to = house.here();
    let all = get(to, "/table/readings", &[]).await;
    assert_eq!((all.status, all.header("content-type")), (200, Some("text/csv; charset=utf-8; header=present")));
    assert_eq!(all.header("content-disposition"), Some("attachment; filename=\"solderlast-readings.csv\""));
    assert!(all.text().contains("reading (ohm)") && all.text().lines().count() > 6, "{}", all.text());
    let find = "%7B%22words%22%3A%22no%20such%20word%22%7D";
    let none = get(to, &format!("/table/notes?find={find}"), &[]).await;
    // The heads alone, in one part.
    assert!(none.text().contains("value (1 to 5)") && !none.text().contains(",note,"), "{}", none.text());
    assert!(get(to, "/table/notes", &[]).await.text().contains(",note,"));
    assert_eq!(get(to, "/table/sums", &[]).await.status, 404);
    assert_eq!(get(to, "/table/notes?find=%7B%22word%22%3A1%7D", &[]).await.status, 400);
}
