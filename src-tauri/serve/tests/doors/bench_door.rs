//! The bench door from outside: careful with what a browser, or anything else, sends to it.

use std::time::{Duration, Instant};

use crate::raw::{Answer, House, get, let_in, patience, post, request, send, send_for_bytes, strangers, to_the_end};
use solderlast_serve::bench_door;
use solderlast_serve::web::listening::Patience;
use solderlast_serve::web::pages::PAGES;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

const JSON: (&str, &str) = ("Content-Type", "application/json");

#[tokio::test]
async fn whoever_has_the_key_is_let_in() {
    let house = House::open().await;
    let page = get(house.here(), "/", &[]).await;
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type"), Some("text/html; charset=utf-8"));
    let index = PAGES.iter().find(|page| page.path == "index.html").unwrap();
    assert!(index.path.ends_with(".html") && page.text().contains("<html"));
    let asked = post(house.here(), "/ask", &[], "{\"unknown\": 1}").await;
    assert_eq!((asked.status, asked.header("content-type")), (200, Some("application/json")));
}

#[tokio::test]
async fn a_stranger_here_learns_nothing_but_what_to_open() {
    let house = House::open().await;
    let to = house.here();
    post(to, "/ask", &[], "{\"ask\": \"load_demo\"}").await;
    house.phone_door().await;
    let (key, cookie) = (house.bench.key().shown().to_owned(), house.bench.key().cookie().to_owned());
    let other = "0".repeat(64);
    let first = send(to, &strangers("GET", "/", to, "", &[], b"")).await;
    assert_eq!(first.status, 401);
    assert!(first.text().contains("Open the printed address") && !first.text().contains(&key));
    let head = |answer: &Answer| {
        answer.head.lines().filter(|line| !line.starts_with("date")).map(str::to_owned).collect::<Vec<_>>()
    };
    let wrong_keys = [
        String::new(),
        format!("Authorization: Bearer {other}\r\n"),
        format!("Authorization: Bearer {}\r\n", &key[..63]),
        format!("Authorization: Basic {key}\r\n"),
        format!("Cookie: {cookie}={other}\r\n"),
        format!("Cookie: {cookie}=\r\n"),
        format!("Cookie: other={key}\r\n"),
        "Cookie: ;;=;%%\"\r\n".to_owned(),
    ];
    let index = format!("/{}", PAGES.iter().find(|page| page.path != "index.html").map_or("x", |page| page.path));
    for wrong in &wrong_keys {
        for path in [
            "/",
            "/index.html",
            &index,
            "/ask",
            "/enter",
            "/phone-door",
            "/shared-log",
            "/meet.json",
            "/table/notes",
            "/photo/x",
            "/blind/a/1/1",
            "/stretch/a/0/1",
            "/sweep",
            "/blind.key",
            "/door.key",
        ] {
            let answer = send(to, &strangers("GET", path, to, wrong, &[], b"")).await;
            assert_eq!(
                (answer.status, head(&answer) == head(&first), answer.body == first.body),
                (401, true, true),
                "{path}"
            );
        }
        for (path, body) in [
            ("/ask", "{\"ask\": \"remove_demo\"}"),
            ("/phone-door", "{\"action\": \"status\"}"),
            ("/shared-log", "{\"action\": \"status\"}"),
            ("/photo/a/b/before", "x"),
            ("/bundle/019a3c5f-7e00-7000-8000-000000000001", "x"),
            ("/nothing", ""),
        ] {
            let answer = send(to, &strangers("POST", path, to, wrong, &[JSON], body.as_bytes())).await;
            assert_eq!((answer.status, answer.refused().as_str()), (401, "not_let_in"), "{path}");
            assert!(answer.header("set-cookie").is_none());
        }
    }
    let bench = post(to, "/ask", &[], "{\"ask\": \"bench\"}").await.json();
    assert_eq!(bench["ok"]["bench"]["demo"], true, "nothing was done");
    for file in ["/opening/opening.css", "/opening/opening.js"] {
        assert_eq!(send(to, &strangers("GET", file, to, "", &[], b"")).await.status, 200, "the page's own {file}");
    }
}

#[tokio::test]
async fn the_key_is_handed_over_once_for_a_cookie() {
    let house = House::open().await;
    let to = house.here();
    let opening = house.bench.opening();
    let (page, key) = opening.split_once("#key=").unwrap();
    assert_eq!(page, format!("http://{to}/"));
    let origin = format!("http://{to}");
    let headers = [JSON, ("Origin", origin.as_str())];
    let enter =
        |body: String| async move { send(to, &strangers("POST", "/enter", to, "", &headers, body.as_bytes())).await };
    for body in
        [String::new(), "{}".to_owned(), "{\"key\": 1}".to_owned(), format!("{{\"key\": \"{}\"}}", "0".repeat(64))]
    {
        let answer = enter(body.clone()).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong_key"), "{body}");
        assert!(answer.header("set-cookie").is_none());
    }
    let answer = enter(format!("{{\"key\": \"{key}\"}}")).await;
    assert_eq!(answer.status, 200, "{}", answer.text());
    let cookie = answer.header("set-cookie").unwrap();
    for flag in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age="] {
        assert!(cookie.contains(flag), "{flag} in {cookie}");
    }
    let cookie = format!("Cookie: {}\r\n", answer.cookie());
    assert_eq!(send(to, &strangers("GET", "/index.html", to, &cookie, &[], b"")).await.status, 200);
    assert_eq!(send(to, &strangers("POST", "/ask", to, &cookie, &headers, b"{}")).await.status, 200);
    // Another page has no use for it.
    let elsewhere = [JSON, ("Origin", "http://elsewhere.example")];
    assert_eq!(send(to, &strangers("POST", "/ask", to, &cookie, &elsewhere, b"{}")).await.refused(), "wrong_origin");
    // The same log opened again has the same key, so the browser stays let in.
    let again = bench_door::open(std::sync::Arc::clone(&house.workshop), 0, patience()).await.unwrap();
    let here = again.address();
    assert_eq!(send(here, &strangers("GET", "/index.html", here, &cookie, &[], b"")).await.status, 200);
}

#[tokio::test]
async fn a_program_here_needs_no_origin_but_another_page_is_refused() {
    let house = House::open().await;
    let to = house.here();
    assert_eq!(send(to, &request("POST", "/ask", to, &[JSON], b"{}")).await.status, 200);
    for headers in [
        &[JSON, ("Origin", "http://elsewhere.example")][..],
        &[JSON, ("Origin", "null")],
        &[JSON, ("Sec-Fetch-Site", "cross-site")],
        &[JSON, ("Sec-Fetch-Site", "same-site")],
    ] {
        for path in ["/ask", "/phone-door", "/shared-log"] {
            let answer = send(to, &request("POST", path, to, headers, b"{}")).await;
            assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong_origin"), "{headers:?}");
        }
    }
    let preflight = [("Origin", "http://elsewhere.example"), ("Access-Control-Request-Method", "POST")];
    let answer = send(to, &request("OPTIONS", "/ask", to, &preflight, b"")).await;
    assert_eq!(answer.status, 405);
    assert!(!answer.head.to_lowercase().contains("access-control"), "{}", answer.head);
}

#[tokio::test]
async fn another_host_is_refused() {
    let house = House::open().await;
    let port = house.here().port();
    for host in ["elsewhere.example", &format!("elsewhere.example:{port}"), "127.0.0.1", "127.0.0.1:1", "192.0.2.1"] {
        for head in [
            format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"),
            format!(
                "POST /ask HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{{}}"
            ),
        ] {
            let answer = send(house.here(), head.as_bytes()).await;
            assert_eq!((answer.status, answer.refused().as_str()), (421, "wrong_host"), "{head}");
        }
    }
}

#[tokio::test]
async fn a_question_has_to_be_sent_as_json() {
    let house = House::open().await;
    let to = house.here();
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/jsonx", ""] {
        let answer = send(to, &request("POST", "/ask", to, &[("Content-Type", kind)], b"{}")).await;
        assert_eq!((answer.status, answer.refused().as_str()), (415, "not_json"), "{kind:?}");
    }
    assert_eq!(send(to, &request("POST", "/ask", to, &[], b"{}")).await.refused(), "not_json");
    let twice = [JSON, ("Content-Type", "text/plain")];
    assert_eq!(send(to, &request("POST", "/ask", to, &twice, b"{}")).await.refused(), "not_json");
    let with_letters = [("Content-Type", "Application/JSON; charset=utf-8")];
    assert_eq!(send(to, &request("POST", "/ask", to, &with_letters, b"{}")).await.status, 200);
}

#[tokio::test]
async fn a_question_over_a_mebibyte_is_refused_whole() {
    let house = House::open().await;
    let to = house.here();
    let key = let_in(to);
    let head = |length: &str| {
        format!(
            "POST /ask HTTP/1.1\r\nHost: {to}\r\n{key}Content-Type: application/json\r\nConnection: close\r\n{length}\r\n\r\n"
        )
    };
    // Said beforehand: refused before any of it is sent.
    let started = Instant::now();
    let answer = send(to, head("Content-Length: 10485760").as_bytes()).await;
    assert_eq!((answer.status, answer.refused().as_str()), (413, "too_long"));
    assert!(started.elapsed() < Duration::from_secs(2), "without waiting for the body");
    // Not said beforehand: counted as it comes.
    let mut chunked = head("Transfer-Encoding: chunked").into_bytes();
    let chunk = [format!("{:x}\r\n", 65536).as_bytes(), &[b' '; 65536], b"\r\n"].concat();
    for _ in 0..17 {
        chunked.extend_from_slice(&chunk);
    }
    chunked.extend_from_slice(b"0\r\n\r\n");
    let answer = send(to, &chunked).await;
    assert_eq!((answer.status, answer.refused().as_str()), (413, "too_long"));
    // Just within: it reaches the log's own judgement.
    let mut within = vec![b' '; (1 << 20) - 2];
    within.extend_from_slice(b"{}");
    let answer = send(to, &request("POST", "/ask", to, &[JSON], &within)).await;
    assert_eq!(answer.status, 200);
}

#[tokio::test]
async fn a_cut_off_question_is_not_answered_as_whole() {
    let house = House::open().await;
    let to = house.here();
    let key = let_in(to);
    let mut stream = TcpStream::connect(to).await.unwrap();
    let head = format!(
        "POST /ask HTTP/1.1\r\nHost: {to}\r\n{key}Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{{\"half\":"
    );
    stream.write_all(head.as_bytes()).await.unwrap();
    stream.shutdown().await.unwrap();
    let answer = to_the_end(&mut stream).await;
    assert!(answer.is_empty() || answer.contains("\"cut_off\""), "{answer}");
    assert!(!answer.contains("\"ok\""), "{answer}");
    // JSON that ends early inside a body that is whole is for the log to refuse.
    assert!(post(to, "/ask", &[], "{\"half\":").await.refused().len() > 3);
}

#[tokio::test]
async fn a_slow_client_is_let_go() {
    let patience = Patience { head: Duration::from_millis(400), body: Duration::from_millis(400), ..patience() };
    let house = House::open_with(patience).await;
    let to = house.here();
    let key = let_in(to);

    for start in ["", "GET / HT", "GET / HTTP/1.1\r\nHost: x\r\n"] {
        let mut stream = TcpStream::connect(to).await.unwrap();
        let mut rest = Vec::new();
        let dribble = async {
            stream.write_all(start.as_bytes()).await.unwrap();
            let (mut reading, mut writing) = stream.split();
            let drops = async {
                // Each byte comes in time; the head as a whole does not.
                while !start.is_empty() && writing.write_all(b"a").await.is_ok() {
                    tokio::time::sleep(Duration::from_millis(100)).await;
                }
                std::future::pending::<()>().await;
            };
            tokio::select! {
                () = drops => {}
                _ = reading.read_to_end(&mut rest) => {}
            }
        };
        tokio::time::timeout(Duration::from_secs(5), dribble).await.unwrap_or_else(|_| panic!("{start:?} held on"));
    }

    let head = format!(
        "POST /ask HTTP/1.1\r\nHost: {to}\r\n{key}Content-Type: application/json\r\nContent-Length: 50\r\n\r\n{{"
    );
    let started = Instant::now();
    let answer = send(to, head.as_bytes()).await;
    assert_eq!((answer.status, answer.refused().as_str()), (408, "too_slow"));
    assert!(started.elapsed() < Duration::from_secs(5));
}

#[tokio::test]
async fn an_old_connection_is_ended_even_if_its_client_never_reads() {
    let patience = Patience { connection: Duration::from_millis(300), body: Duration::from_millis(300), ..patience() };
    let house = House::open_with(patience).await;
    let to = house.here();
    let key = let_in(to);
    let mut stream = TcpStream::connect(to).await.unwrap();
    let request = format!("GET / HTTP/1.1\r\nHost: {to}\r\n{key}\r\n");
    // Far more answers than the buffers on the way can hold.
    let fill = async { while stream.write_all(request.as_bytes()).await.is_ok() {} };
    tokio::time::timeout(Duration::from_secs(20), fill).await.expect("the connection ends");
}

#[tokio::test]
async fn one_address_cannot_take_every_connection() {
    let patience = Patience { each: 3, ..patience() };
    let house = House::open_with(patience).await;
    let mut held = Vec::new();
    for _ in 0..3 {
        held.push(TcpStream::connect(house.here()).await.unwrap());
    }
    // Which of the four is the one too many is for the system to say, so wait until the three are in.
    tokio::time::sleep(Duration::from_millis(200)).await;
    let fourth = send_for_bytes(house.here(), &request("GET", "/", house.here(), &[], b"")).await;
    assert!(fourth.is_empty(), "closed without a word");
    drop(held);
    tokio::time::sleep(Duration::from_millis(200)).await;
    assert_eq!(get(house.here(), "/", &[]).await.status, 200);
}

#[tokio::test]
async fn every_answer_carries_the_safe_headers() {
    let house = House::open().await;
    let to = house.here();
    let phone = house.phone_door().await;
    let answers = [
        get(to, "/", &[]).await,
        get(to, "/nothing", &[]).await,
        post(to, "/ask", &[], "{}").await,
        post(to, "/ask", &[("Origin", "null")], "{}").await,
        send(to, &strangers("GET", "/", to, "", &[], b"")).await,
        send(to, &strangers("POST", "/ask", to, "", &[JSON], b"{}")).await,
        send(to, &request("DELETE", "/", to, &[], b"")).await,
        get(phone, "/", &[]).await,
        get(phone, "/pairing/pairing.js", &[]).await,
        post(phone, "/ask", &[], "{}").await,
    ];
    for answer in &answers {
        let is = |name: &str, value: &str| assert_eq!(answer.header(name), Some(value), "{name} in {}", answer.head);
        is("x-content-type-options", "nosniff");
        is("referrer-policy", "no-referrer");
        is("x-frame-options", "DENY");
        is("cross-origin-opener-policy", "same-origin");
        is("cross-origin-resource-policy", "same-origin");
        is("cache-control", "no-store");
        let policy = answer.header("content-security-policy").unwrap();
        for rule in [
            "default-src 'none'",
            "script-src 'self';",
            "style-src 'self';",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ] {
            assert!(policy.contains(rule), "{rule} in {policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert!(!answer.head.to_lowercase().contains("access-control"), "{}", answer.head);
        assert!(answer.header("server").is_none());
    }
}

#[tokio::test]
async fn pages_come_packed_and_only_from_the_table() {
    let house = House::open().await;
    let to = house.here();
    for page in PAGES {
        let path = format!("/{}", page.path);
        let plain = get(to, &path, &[]).await;
        let packed = get(to, &path, &[("Accept-Encoding", "gzip, deflate, br")]).await;
        assert_eq!((plain.status, packed.status), (200, 200), "{path}");
        assert_eq!((plain.header("content-encoding"), packed.header("content-encoding")), (None, Some("br")));
        assert_eq!(packed.header("vary"), Some("accept-encoding"));
        assert!(plain.header("content-type").is_some());
        let kept = plain.header("cache-control").unwrap();
        assert_eq!(kept.contains("immutable"), page.path.starts_with("assets/"), "{path}: {kept}");
    }
    for path in [
        "/../Cargo.toml",
        "/%2e%2e/%2e%2e/etc/passwd",
        "//etc/passwd",
        "/..\\..\\etc\\passwd",
        "/assets/../../phones.json",
        "/index.html%00",
    ] {
        let answer = send_for_bytes(to, &request("GET", path, to, &[], b"")).await;
        let head = String::from_utf8_lossy(&answer);
        assert!(head.starts_with("HTTP/1.1 404") || head.starts_with("HTTP/1.1 400"), "{path}: {head}");
    }
}

#[tokio::test]
async fn nonsense_is_answered_or_dropped_and_the_door_stays_open() {
    let house = House::open().await;
    let to = house.here();
    let long = format!("GET /{} HTTP/1.1\r\n\r\n", "a".repeat(200_000));
    let many = format!("GET / HTTP/1.1\r\n{}\r\n", "X: y\r\n".repeat(20_000));
    for bytes in [
        &b"\0\0\0\0\r\n\r\n"[..],
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00",
        long.as_bytes(),
        many.as_bytes(),
        b"GET http://[::1 HTTP/1.1\r\n\r\n",
    ] {
        let answer = send_for_bytes(to, bytes).await;
        assert!(answer.is_empty() || answer.starts_with(b"HTTP/1.1 4"), "{:?}", String::from_utf8_lossy(&answer));
    }
    assert_eq!(get(to, "/", &[]).await.status, 200);
}

#[tokio::test]
async fn closing_lets_an_answer_under_way_finish() {
    let house = House::open().await;
    let to = house.here();
    let key = let_in(to);
    let mut stream = TcpStream::connect(to).await.unwrap();
    let head = format!(
        "POST /ask HTTP/1.1\r\nHost: {to}\r\n{key}Content-Type: application/json\r\nContent-Length: 2\r\n\r\n{{"
    );
    stream.write_all(head.as_bytes()).await.unwrap();
    tokio::time::sleep(Duration::from_millis(200)).await;
    let closing = tokio::spawn(house.bench.close());
    tokio::time::sleep(Duration::from_millis(200)).await;
    stream.write_all(b"}").await.unwrap();
    let answer = to_the_end(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    tokio::time::timeout(Duration::from_secs(20), closing).await.expect("it closes in time").unwrap();
    assert!(TcpStream::connect(to).await.is_err());
}
