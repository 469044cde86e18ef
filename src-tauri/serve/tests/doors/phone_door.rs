//! The phone door from outside: who gets in, who does not, and what a stranger learns.

use std::net::SocketAddr;

use crate::raw::{Answer, House, get, pair, post, request, send, wrong};
use serde_json::{Value, json};
use solderlast_serve::{Wish, Workshop};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpSocket;

fn wish(action: &str) -> Wish {
    Wish { action: action.to_owned(), ..Wish::default() }
}

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
    let phones = house.workshop.shown().await.phones;
    assert_eq!((phones.len(), phones[0].name.as_str()), (1, "Phone"));
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
    assert_eq!((replayed.status, replayed.refused().as_str()), (403, "code_used"));
    assert!(replayed.header("set-cookie").is_none());
    assert_eq!(pair(to, &second).await.status, 200);
    assert_eq!(house.workshop.shown().await.phones.len(), 2);
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
async fn five_wrong_codes_shut_out_that_device_alone_and_change_the_code() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let first = house.code().await;
    let mut codes = house.workshop.open_phone_door().await.unwrap();
    for _ in 0..5 {
        let answer = pair(to, &wrong(&first)).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong_code"));
    }
    let code = house.code().await;
    assert_ne!(first, code, "it changed after wrong tries");
    assert_eq!(*codes.borrow_and_update().to_string(), code, "and the change was announced");
    let answer = pair(to, &code).await;
    assert_eq!((answer.status, answer.refused().as_str()), (429, "too_many_tries"));
    assert!(answer.header("set-cookie").is_none());
    assert_eq!(answer.json()["refused"]["field"], "code");
    if cfg!(target_os = "linux") {
        // Another device: loopback has sixteen million addresses.
        let socket = TcpSocket::new_v4().unwrap();
        socket.bind(SocketAddr::from(([127, 0, 0, 2], 0))).unwrap();
        let mut other = socket.connect(to).await.unwrap();
        let origin = format!("http://{to}");
        let headers = [("Content-Type", "application/json"), ("Origin", origin.as_str())];
        let body = json!({ "code": code }).to_string();
        other.write_all(&request("POST", "/pair", to, &headers, body.as_bytes())).await.unwrap();
        let mut answer = String::new();
        other.read_to_string(&mut answer).await.unwrap();
        assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    }
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
        assert_eq!((answer.status, answer.refused().as_str()), (400, "not_a_code"), "{body}");
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
        "/shared-log",
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
            let head = |answer: &Answer| {
                answer.head.lines().filter(|line| !line.starts_with("date")).map(str::to_owned).collect::<Vec<_>>()
            };
            assert_eq!(head(&answer), head(&first), "{path}");
        }
    }
    for path in ["/ask", "/phone-door", "/shared-log", "/nothing", "/"] {
        for body in ["{}", "not json"] {
            let answer = post(to, path, &[], body).await;
            assert_eq!((answer.status, answer.refused().as_str()), (401, "not_paired"), "{path}");
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
            assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong_origin"), "{path} {origin}");
        }
        let answer = send(to, &request("POST", path, to, &[as_json, ("Cookie", &cookie)], body.as_bytes())).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "wrong_origin"), "{path} with no origin");
    }
    for host in ["elsewhere.example", "localhost", &format!("localhost:{}", to.port()), "127.0.0.1", "127.0.0.1:1"] {
        let request = format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
        let answer = send(to, request.as_bytes()).await;
        assert_eq!((answer.status, answer.refused().as_str()), (421, "wrong_host"), "{host}");
    }
    assert_eq!(house.workshop.shown().await.phones.len(), 1, "nobody else was let in");
}

#[tokio::test]
async fn a_phone_stays_paired_after_a_restart_until_it_is_forgotten() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let cookie = pair(to, &house.code().await).await.cookie();
    house.workshop.close_phone_door().await;
    // Its port may be another test's by now, whose door knows nothing of this phone.
    if let Ok(mut other) = tokio::net::TcpStream::connect(to).await {
        let asked = request("POST", "/ask", to, &[("Cookie", &cookie)], b"{}");
        let mut answer = Vec::new();
        // Whoever is there may hang up at any moment.
        let _ = other.write_all(&asked).await;
        let _ = other.read_to_end(&mut answer).await;
        assert!(!answer.starts_with(b"HTTP/1.1 200"), "a closed door does not answer");
    }

    let again = Workshop::open(house.folder.path()).unwrap().with_phone_port(0);
    again.open_phone_door().await.unwrap();
    let to = SocketAddr::from(([127, 0, 0, 1], again.phone_port().await.unwrap()));
    assert_eq!(post(to, "/ask", &[("Cookie", &cookie)], "{}").await.status, 200);

    let forgotten: Value = serde_json::from_slice(&again.phone_door(&wish("forget")).await).unwrap();
    assert_eq!(forgotten["ok"]["phones"], json!([]));
    assert_eq!(post(to, "/ask", &[("Cookie", &cookie)], "{}").await.refused(), "not_paired");
}

#[tokio::test]
async fn the_door_is_opened_and_closed_from_this_computer_only() {
    let house = House::open().await;
    let status = |answer: Answer| answer.json()["ok"].clone();
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
    assert_eq!((from_phone.status, from_phone.refused().as_str()), (404, "not_here"));

    for wrong in ["{\"action\": \"dance\"}", "{}", "[", "{\"action\": 1}"] {
        let answer = post(house.here(), "/phone-door", &[], wrong).await;
        assert_eq!(
            (answer.refused().as_str(), answer.json()["refused"]["field"].as_str()),
            ("unclear", Some("action"))
        );
    }
    assert_eq!(status(post(house.here(), "/phone-door", &[], &act("close")).await)["open"], false);
    assert!(tokio::net::TcpStream::connect(to).await.is_err());
}

/// What a person sees of the door, after this was done with it.
async fn done(house: &House, wish: Value) -> Value {
    post(house.here(), "/phone-door", &[], &wish.to_string()).await.json()
}

#[tokio::test]
async fn phones_are_named_by_what_they_are_and_forgotten_one_by_one() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let mut cookies = Vec::new();
    for user_agent in
        ["Mozilla/5.0 (Linux; Android 15; K) Chrome/140.0 Mobile Safari/537.36", "Mozilla/5.0 (iPhone; CPU)"]
    {
        let body = json!({ "code": house.code().await }).to_string();
        cookies.push(post(to, "/pair", &[("User-Agent", user_agent)], &body).await.cookie());
    }
    let door = done(&house, json!({"action": "status"})).await;
    let phones = door["ok"]["phones"].as_array().unwrap().clone();
    let names: Vec<&str> = phones.iter().map(|phone| phone["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["Android phone", "iPhone"]);
    assert!(phones.iter().all(|phone| phone["seen_at"].is_string() && phone["paired_at"].is_string()));
    let id = phones[0]["id"].clone();
    let named = done(&house, json!({"action": "rename", "phone": id, "name": "Ida's phone"})).await;
    assert_eq!(named["ok"]["phones"][0]["name"], "Ida's phone");
    let taken = done(&house, json!({"action": "rename", "phone": id, "name": "iphone"})).await;
    assert_eq!((&taken["refused"]["code"], &taken["refused"]["field"]), (&json!("name_taken"), &json!("name")));
    let left = done(&house, json!({"action": "forget_one", "phone": id})).await;
    assert_eq!(left["ok"]["phones"].as_array().unwrap().len(), 1);
    let asked = |cookie: String| async move { post(to, "/ask", &[("Cookie", &cookie)], "{}").await.status };
    assert_eq!((asked(cookies[0].clone()).await, asked(cookies[1].clone()).await), (401, 200));
    let gone = done(&house, json!({"action": "forget_one", "phone": id})).await;
    assert_eq!(gone["refused"]["code"], "no_such_phone");
    // Only from this computer.
    let from_phone = json!({"action": "forget_one", "phone": phones[1]["id"]}).to_string();
    assert_eq!(post(to, "/phone-door", &[("Cookie", &cookies[1])], &from_phone).await.refused(), "not_here");
}

#[tokio::test]
async fn a_paired_phone_erases_only_with_the_code_of_this_moment() {
    let house = House::open().await;
    let to = house.phone_door().await;
    let paired_with = house.code().await;
    let cookie = pair(to, &paired_with).await.cookie();
    let asked = |ask: Value, code: Option<String>| {
        let cookie = cookie.clone();
        async move {
            let mut headers = vec![("Cookie", cookie.as_str())];
            if let Some(code) = &code {
                headers.push(("Solderlast-Code", code.as_str()));
            }
            post(to, "/ask", &headers, &ask.to_string()).await
        }
    };
    let demo = || async { asked(json!({"ask": "bench"}), None).await.json()["ok"]["bench"]["demo"].clone() };
    assert_eq!(asked(json!({"ask": "load_demo"}), None).await.status, 200);
    let drawer = asked(json!({"ask": "drawer", "retired": false}), None).await.json();
    let pickup = drawer.to_string();
    let at = pickup.find("\"id\":\"").unwrap() + 6;
    let thing = json!({"thing": "pickup", "id": &pickup[at..at + 36]});
    for erasing in [json!({"ask": "remove_demo"}), json!({"ask": "erase", "things": [thing]})] {
        let answer = asked(erasing.clone(), None).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "code_needed"), "{erasing}");
        assert_eq!(answer.json()["refused"]["field"], "code");
        let answer = asked(erasing.clone(), Some(paired_with.clone())).await;
        assert_eq!((answer.status, answer.refused().as_str()), (403, "code_used"), "{erasing}");
        // However the ask is spelled, it is the same ask.
        let odd = erasing.to_string().replace("\"ask\"", "\"\\u0061sk\"");
        assert_eq!(post(to, "/ask", &[("Cookie", &cookie)], &odd).await.refused(), "code_needed");
        assert_eq!(demo().await, true);
    }
    let code = house.code().await;
    assert_eq!(asked(json!({"ask": "what_would_go", "things": []}), None).await.status, 200, "a look needs none");
    let gone = asked(json!({"ask": "erase", "things": [thing]}), Some(code.clone())).await;
    assert_eq!(gone.json()["ok"]["reply"], "done", "{}", gone.text());
    assert_ne!(house.code().await, code, "a code is used once");
    assert_eq!(asked(json!({"ask": "remove_demo"}), Some(code)).await.refused(), "code_used");
    let gone = asked(json!({"ask": "remove_demo"}), Some(house.code().await)).await;
    assert_eq!(gone.json()["ok"]["bench"]["demo"], false, "{}", gone.text());
    // This computer needs none.
    assert_eq!(post(house.here(), "/ask", &[], "{\"ask\": \"remove_demo\"}").await.json()["ok"]["reply"], "bench");
}
