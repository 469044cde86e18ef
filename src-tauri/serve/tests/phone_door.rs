//! The phone door from outside: who gets in, who does not, and what a stranger learns.

#![allow(clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod raw;

use std::net::SocketAddr;

use raw::{House, get, pair, post, request, send, wrong};
use serde_json::Value;
use solderlast_serve::Workshop;

#[tokio::test]
async fn a_phone_pairs_once_and_then_asks() {
    let house = House::open().await;
    house.phone_door().await;
    let shown = house.workshop.shown().await;
    let code = shown.code.clone().unwrap();
    // By the address a phone would use, where this computer is on a network.
    let to: SocketAddr = match shown.addresses.first() {
        Some(address) => address.strip_prefix("http://").unwrap().parse().unwrap(),
        None => house.phone_door().await,
    };

    let answer = pair(to, &code).await;
    assert_eq!(answer.status, 200, "{}", answer.text());
    let cookie = answer.header("set-cookie").unwrap();
    let parts: Vec<&str> = cookie.split("; ").collect();
    for flag in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(parts.contains(&flag), "{flag} in {cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    let (_, token) = parts[0].split_once('=').unwrap();
    assert_eq!(token.len(), 64, "256 bits in hexadecimal");

    let cookie = answer.cookie();
    let asked = post(to, "/ask", &[("Cookie", &cookie)], "{}").await;
    assert_eq!(asked.status, 200);
    assert_ne!(asked.json(), Value::Null);
    let page = get(to, "/", &[("Cookie", &format!("other=1; {cookie}"))]).await;
    assert_eq!(page.status, 200);
    assert!(!page.text().contains("Pair this phone"));
    assert_eq!(house.workshop.shown().await.phones, 1);
}

#[tokio::test]
async fn a_used_code_is_refused_and_the_next_phone_gets_another() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let first = house.code().await;
    let mut codes = house.workshop.open_phone_door().await.unwrap();
    codes.mark_unchanged();
    assert_eq!(pair(to, &first).await.status, 200);

    codes.changed().await.unwrap();
    let second = codes.borrow().to_string();
    assert_eq!(second, house.code().await, "what is announced is what is shown");
    assert_ne!(first, second);

    let replayed = pair(to, &first).await;
    assert_eq!((replayed.status, replayed.refused().as_str()), (403, "code-used"));
    assert!(replayed.header("set-cookie").is_none());
    assert_eq!(pair(to, &second).await.status, 200);
    assert_eq!(house.workshop.shown().await.phones, 2);
}

#[tokio::test]
async fn two_phones_with_the_same_code_at_once_are_not_both_let_in() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let code = house.code().await;
    let (one, other) = tokio::join!(pair(to, &code), pair(to, &code));
    let mut statuses = [one.status, other.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 403]);
}

#[tokio::test]
async fn five_wrong_codes_shut_out_even_the_right_one_for_the_minute() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let code = house.code().await;
    for _ in 0..5 {
        let answer = pair(to, &wrong(&code)).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong-code"));
    }
    let answer = pair(to, &code).await;
    assert_eq!((answer.status, answer.refused().as_str()), (429, "too-many-tries"));
    assert!(answer.header("set-cookie").is_none());
    assert_eq!(answer.json()["refused"]["field"], "code");
    assert_eq!(house.code().await, code, "being tried does not use a code up");
}

#[tokio::test]
async fn what_is_no_code_is_refused_by_name() {
    let house = House::open().await;
    let to = house.phone_door().await;
    for body in [
        "",
        "{}",
        "[]",
        "null",
        "{\"code\": 123456}",
        "{\"code\": \"12345\"}",
        "{\"code\": \"123456\", \"x\": 1}",
        "{\"code\"",
    ] {
        let answer = post(to, "/pair", &[], body).await;
        assert_eq!((answer.status, answer.refused().as_str()), (400, "not-a-code"), "{body}");
        assert_eq!(answer.json()["refused"]["field"], "code");
    }
}

#[tokio::test]
async fn a_stranger_learns_nothing_but_the_pairing_page() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let first = get(to, "/", &[]).await;
    assert_eq!(first.status, 401);
    assert!(first.text().contains("Pair this phone"));

    let token = format!("solderlast-phone={}", "0".repeat(64));
    for path in [
        "/",
        "/index.html",
        "/ask",
        "/pair",
        "/phone-door",
        "/assets/",
        "/favicon.ico",
        "/nothing",
        "/../phones.json",
        "/%2e%2e/phones.json",
    ] {
        for headers in
            [&[][..], &[("Cookie", token.as_str())], &[("Cookie", "solderlast-phone=")], &[("Cookie", ";;=;%%\"")]]
        {
            let answer = get(to, path, headers).await;
            assert_eq!((answer.status, answer.body == first.body), (401, true), "{path} {headers:?}");
            let head = |answer: &raw::Answer| {
                answer.head.lines().filter(|line| !line.starts_with("date")).map(str::to_owned).collect::<Vec<_>>()
            };
            assert_eq!(head(&answer), head(&first), "{path}");
        }
    }
    for path in ["/ask", "/phone-door", "/nothing", "/"] {
        for body in ["{}", "not json"] {
            let answer = post(to, path, &[], body).await;
            assert_eq!((answer.status, answer.refused().as_str()), (401, "not-paired"), "{path}");
        }
    }
    for file in ["/pairing/pairing.css", "/pairing/pairing.js"] {
        assert_eq!(get(to, file, &[]).await.status, 200, "the pairing page's own {file}");
    }
    let head = send(to, &request("HEAD", "/", to, &[], b"")).await;
    assert_eq!((head.status, head.body.len()), (401, 0));
}

#[tokio::test]
async fn another_host_or_origin_is_refused_even_with_a_cookie_or_the_code() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let cookie = pair(to, &house.code().await).await.cookie();
    let code = format!("{{\"code\": \"{}\"}}", house.code().await);
    let as_json = ("Content-Type", "application/json");

    for (path, body) in [("/ask", "{}"), ("/pair", code.as_str())] {
        for origin in ["http://elsewhere.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"] {
            let headers = [as_json, ("Cookie", cookie.as_str()), ("Origin", origin)];
            let answer = send(to, &request("POST", path, to, &headers, body.as_bytes())).await;
            assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong-origin"), "{path} {origin}");
        }
        let answer = send(to, &request("POST", path, to, &[as_json, ("Cookie", &cookie)], body.as_bytes())).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong-origin"), "{path} with no origin");
    }
    for host in ["elsewhere.example", "localhost", &format!("localhost:{}", to.port()), "127.0.0.1", "127.0.0.1:1"] {
        let request = format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
        let answer = send(to, request.as_bytes()).await;
        assert_eq!((answer.status, answer.refused().as_str()), (421, "wrong-host"), "{host}");
    }
    assert_eq!(house.workshop.shown().await.phones, 1, "nobody else was let in");
}

#[tokio::test]
async fn a_phone_stays_paired_after_a_restart_until_it_is_forgotten() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let cookie = pair(to, &house.code().await).await.cookie();
    house.workshop.close_phone_door().await;
    assert!(tokio::net::TcpStream::connect(to).await.is_err(), "a closed door does not answer");

    let again = Workshop::open(house.folder.path()).unwrap().with_phone_port(0);
    again.open_phone_door().await.unwrap();
    let to = SocketAddr::from(([127, 0, 0, 1], again.phone_port().await.unwrap()));
    assert_eq!(post(to, "/ask", &[("Cookie", &cookie)], "{}").await.status, 200);

    let forgotten: Value = serde_json::from_slice(&again.phone_door("forget").await).unwrap();
    assert_eq!(forgotten["ok"]["phones"], 0);
    assert_eq!(post(to, "/ask", &[("Cookie", &cookie)], "{}").await.refused(), "not-paired");
}

#[tokio::test]
async fn the_door_is_opened_and_closed_from_this_computer_only() {
    let house = House::open().await;
    let status = |answer: raw::Answer| answer.json()["ok"].clone();
    let act = |action: &str| format!("{{\"action\": \"{action}\"}}");

    let closed = status(post(house.here(), "/phone-door", &[], &act("status")).await);
    assert_eq!(
        (&closed["open"], &closed["code"], &closed["picture"]),
        (&Value::Bool(false), &Value::Null, &Value::Null)
    );
    let open = status(post(house.here(), "/phone-door", &[], &act("open")).await);
    assert_eq!(open["open"], true);
    let code = open["code"].as_str().unwrap();
    assert_eq!(code.len(), 6);
    if let Some(link) = open["link"].as_str() {
        assert!(link.ends_with(&format!("/#pair={code}")), "{link}");
        assert!(open["picture"].as_str().unwrap().contains("<svg"));
    }
    assert_eq!(
        status(post(house.here(), "/phone-door", &[], &act("open")).await)["code"],
        code,
        "opening twice is once"
    );

    let to = house.phone_door().await;
    let cookie = pair(to, code).await.cookie();
    let from_phone = post(to, "/phone-door", &[("Cookie", &cookie)], &act("open")).await;
    assert_eq!((from_phone.status, from_phone.refused().as_str()), (404, "not-here"));

    for wrong in ["{\"action\": \"dance\"}", "{}", "[", "{\"action\": 1}"] {
        let answer = post(house.here(), "/phone-door", &[], wrong).await;
        assert_eq!(
            (answer.refused().as_str(), answer.json()["refused"]["field"].as_str()),
            ("not-understood", Some("action"))
        );
    }
    assert_eq!(status(post(house.here(), "/phone-door", &[], &act("close")).await)["open"], false);
    assert!(tokio::net::TcpStream::connect(to).await.is_err());
}
