//! A whole audition by hand, in Chromium by touch and in the app's own window.

use std::time::Duration;

use solderlast_tests::audition::{Pages, whole_audition};
use solderlast_tests::bench::{demo, name, put, seeded};
use solderlast_tests::browser::{Browser, Server};

/// Reads the audition over and holds what it says against what was done.
async fn read_over(pages: &mut Pages) {
    pages.browser.tap_named("Read it over").await;
    for words in
        ["Lantern stack", "13.34 kΩ", "The readings agree with each other", "6.66 kΩ", "6.68 kΩ", "very strong"]
    {
        pages.browser.reads(words).await;
    }
    pages.unfold("How it was set up").await;
    pages.browser.reads("4.6 mm").await;
    // What it was heard through was forgotten, and is written down where it is said to be missing.
    pages.browser.type_labelled("Amplifier and its settings", "small amp, volume 3").await;
    pages.browser.tap_named("Write the amplifier down").await;
    pages.browser.until("return document.querySelector('[data-forgotten]') === null").await;
    pages.unfold("Near and far").await;
    pages.browser.reads("small amp, volume 3").await;
}

#[tokio::test]
async fn by_touch_on_a_phone_in_at_most_sixty_taps() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let pages = Pages::on_a_phone(log.path()).await;
    let mut pages = whole_audition(log.path(), pages, false).await;
    let taps = pages.browser.taps;
    println!("taps for a whole audition: {taps}");
    assert!(taps <= 60, "{taps} taps");
    read_over(&mut pages).await;
    pages.browser.close().await;
}

#[tokio::test]
async fn on_a_phone_killed_in_the_middle_of_every_step() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let pages = Pages::on_a_phone(log.path()).await;
    let mut pages = whole_audition(log.path(), pages, true).await;
    read_over(&mut pages).await;
    pages.browser.close().await;
}

#[tokio::test]
async fn in_the_window_killed_in_the_middle_of_every_step() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let pages = Pages::in_the_window(log.path()).await;
    let mut pages = whole_audition(log.path(), pages, true).await;
    read_over(&mut pages).await;
    pages.browser.close().await;
}

#[tokio::test]
async fn a_series_reading_of_one_coil_is_caught_and_written_again() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages.which_way().await;
    pages.leads(0).await;
    pages.measure("parallel", "3.334k", "3.334 kΩ").await;
    pages.measure("single", "6.66k", "6.66 kΩ").await;
    pages.measure("series", "6.66k", "6.66 kΩ").await;
    pages.browser.reads("Don't agree").await;
    pages.browser.reads("Series reads like one coil alone").await;
    assert!(pages.browser.has("[data-step=meter]").await, "a wrong reading must not go on by itself");
    pages.browser.tap_named("Strike out").await;
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    pages.browser.find("[data-step=seat]").await;
    // The struck reading stays readable.
    let route = pages.browser.run("return location.hash.split('/')[2]").await;
    pages.browser.route(&format!("#/past/{}", route.as_str().unwrap_or_default())).await;
    pages.browser.reads("13.34 kΩ").await;
    pages.unfold("Everything written").await;
    pages.browser.reads("Struck out").await;
    pages.browser.close().await;
}

#[tokio::test]
async fn what_was_typed_is_kept_and_bad_input_gets_a_sentence() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages.which_way().await;
    pages.leads(0).await;
    for (typed, sentence) in [
        ("six", "is not a reading"),
        ("-6.66k", "below zero"),
        ("1e99", "exponent"),
        ("NaN", "is not a reading"),
        ("6,660", "could be"),
        ("6.66mΩ", "M for megohm"),
        ("\u{202e}66.6", "can't be seen"),
    ] {
        pages.browser.type_into("input.display", typed).await;
        pages.browser.reads(sentence).await;
        pages.browser.tap_named("Write down parallel").await;
        pages.browser.reads(sentence).await;
        assert!(pages.browser.has("[data-mode=parallel]").await, "{typed} must not be taken");
    }
    for (typed, shown) in
        [("6,66k", "6.66 kΩ"), ("6k66", "6.66 kΩ"), ("6660", "6.66 kΩ"), ("OL", "over the meter's limit"), ("0", "0 Ω")]
    {
        pages.browser.type_into("input.display", typed).await;
        pages.browser.reads(shown).await;
    }
    // Half a number is typed, and the server is killed; another browser would find it in the log.
    pages.browser.type_into("input.display", "3.33").await;
    tokio::time::sleep(Duration::from_millis(1500)).await;
    pages.killed_and_opened_anew(log.path()).await;
    pages.go_on("meter").await;
    pages.browser.until("return document.querySelector('input.display')?.value === '3.33'").await;
    pages.browser.close().await;
}

#[tokio::test]
async fn words_that_were_typed_and_not_written_open_the_way_on_and_are_written_by_it() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    let listen = format!("#/audition/{}/listen", name("audition"));
    for (at, mode) in ["parallel", "single", "series"].into_iter().enumerate() {
        pages.browser.route(&listen).await;
        pages.browser.tap(&format!("button[data-hear={mode}]")).await;
        pages.browser.find(&format!("[data-listening={mode}]")).await;
        pages.browser.type_into("textarea", &format!("Words {at}")).await;
        // The page goes while the box still has the keys: it never loses them, and nothing is written.
        tokio::time::sleep(Duration::from_millis(1500)).await;
        pages.killed_and_opened_anew(log.path()).await;
    }
    pages.browser.route(&listen).await;
    pages.browser.tap_named("Take down").await;
    pages.browser.until("return !location.hash.endsWith('/listen')").await;
    pages.browser.route(&format!("#/past/{}", name("audition"))).await;
    pages.browser.find("[data-result]").await;
    for at in 0..3 {
        pages.browser.reads(&format!("Words {at}")).await;
    }
    pages.browser.close().await;
}

#[tokio::test]
async fn a_dropped_connection_keeps_what_was_tapped_and_sends_it_once() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    put(log.path(), []);
    let server = Server::start(log.path());
    let port: u16 =
        server.origin().rsplit_once(':').and_then(|(_, port)| port.parse().ok()).expect("an address with a port");
    let browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    let mut pages = Pages::beside(browser);
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages.which_way().await;
    pages.read_cautions().await;
    server.kill();
    pages.browser.tap("[data-hook='0']").await;
    pages.browser.reads("Not connected. One act waits").await;
    // It is said wherever one has scrolled to, and what is tapped meanwhile waits as well.
    pages.browser.tap("[data-hook='1']").await;
    pages.browser.reads("Not connected. 2 acts wait").await;
    let seen = pages
        .browser
        .run("scrollTo(0, 1e6); return document.querySelector('.lines').getBoundingClientRect().top >= 0")
        .await;
    assert_eq!(seen, true, "the notice has scrolled away");
    let _server = Server::start_at(log.path(), port);
    pages.browser.find("[data-terminal='0'] .held").await;
    let route = pages.browser.run("return location.hash.split('/')[2]").await;
    pages.browser.route(&format!("#/past/{}", route.as_str().unwrap_or_default())).await;
    pages.browser.find("[data-result]").await;
    pages.unfold("Everything written").await;
    pages.browser.reads("Terminal 1: moss and shield").await;
    let text = pages.browser.text().await;
    let lines = text.lines().filter(|line| line.trim() == "Terminal 1: moss and shield, held when tugged");
    assert_eq!(lines.count(), 1, "{text}");
    pages.browser.close().await;
}

#[tokio::test]
async fn the_logbook_finds_an_audition_and_the_demo_goes_in_one_act() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.tap_named("Load the demo bench").await;
    browser.reads("Copper kettle").await;
    browser.route("#/logbook").await;
    browser.reads("Is it too dark for the neck?").await;
    browser.type_into("main input", "rattle chords").await;
    for _ in 0..100 {
        if !browser.text().await.contains("Is it too dark") {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let text = browser.text().await;
    assert!(text.contains("Copper kettle") && !text.contains("Is it too dark"), "{text}");
    browser.route("#/settings").await;
    browser.tap_named("Remove the demo bench").await;
    browser.reads("invented").await;
    browser.tap("dialog[open] .button.grave, dialog[open] .button.first").await;
    tokio::time::sleep(Duration::from_millis(500)).await;
    browser.route("#/bench").await;
    browser.reads("Load the demo bench").await;
    browser.close().await;
}
