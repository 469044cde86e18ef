//! Every button of every page: a tap changes something that is seen, where the eye is. And no tap is swallowed.

use std::time::Duration;

use serde_json::{Value, json};

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{demo, name, recorded, seeded};
use solderlast_tests::browser::{Browser, Server};

use super::access::pages;

/// More taps than any page has controls.
const MOST_TAPS: usize = 120;

/// Taps everything on every page of which `mine` holds, first with fields as they are, then with values in the empty ones,
/// then with words that no field takes. Each page begins with a bench of its own.
async fn tap_everything(mine: impl Fn(usize) -> bool) {
    let seed = tempfile::tempdir().expect("a scratch folder");
    seeded(seed.path());
    recorded(seed.path());
    demo(seed.path());
    let (mut troubles, mut taps) = (Vec::new(), 0);
    let browser = Browser::phone(false).await;
    for (number, (route, words)) in pages().into_iter().enumerate() {
        if !mine(number) {
            continue;
        }
        let log = tempfile::tempdir().expect("a scratch folder");
        std::fs::create_dir(log.path().join("takes")).expect("a folder");
        for folder in ["", "takes"] {
            for file in std::fs::read_dir(seed.path().join(folder)).expect("the seeded folder").flatten() {
                if file.path().is_file() {
                    std::fs::copy(file.path(), log.path().join(folder).join(file.file_name())).expect("a copy");
                }
            }
        }
        let server = Server::start(log.path());
        browser.goto(&server.address).await;
        browser.route(&route).await;
        browser.reads(words).await;
        browser.run(include_str!("eye.js")).await;
        for typed in ["", "values", "nonsense"] {
            for _ in 0..MOST_TAPS {
                let tapped = browser.wait_for(&format!("eye.next({}, {})", json!(route), json!(typed))).await;
                if tapped.is_null() {
                    break;
                }
                taps += 1;
                if tapped["nothing"] != Value::Bool(false) {
                    troubles.push(format!("{route}, {}: {tapped}", if typed.is_empty() { "as it is" } else { typed }));
                }
            }
        }
        server.kill();
    }
    browser.close().await;
    println!("{taps} taps");
    let some_pages = std::env::var_os("SOLDERLAST_PAGES").is_some();
    assert!(taps > if some_pages { 0 } else { 100 }, "only {taps} taps: the pages were not there");
    assert!(troubles.is_empty(), "taps that nothing was seen of:\n{}", troubles.join("\n"));
}

#[tokio::test]
async fn a_tap_on_anything_is_answered_in_view_on_one_half_of_the_pages() {
    tap_everything(|number| number % 2 == 0).await;
}

#[tokio::test]
async fn a_tap_on_anything_is_answered_in_view_on_the_other_half() {
    tap_everything(|number| number % 2 == 1).await;
}

#[tokio::test]
async fn the_first_tap_after_typed_words_is_taken() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    for round in 0..3 {
        pages.browser.route(&format!("#/audition/{}/listen", name("audition"))).await;
        pages.browser.find("textarea").await;
        pages.browser.type_into("textarea", &format!("Clear, and a little thin {round}")).await;
        // Leaving the field writes its words; the tap must not be lost by that.
        let taps = pages.browser.taps;
        pages.browser.tap("[data-listening] [data-quality=treble] label:nth-child(4)").await;
        pages.browser.tap("button[data-hear=single]").await;
        assert_eq!(pages.browser.taps, taps + 2, "a tap was swallowed");
        pages.settle().await;
        tokio::time::sleep(Duration::from_millis(100)).await;
        pages.browser.tap("button[data-hear=parallel]").await;
    }
    pages.browser.close().await;
}
