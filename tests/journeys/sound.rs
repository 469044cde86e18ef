//! The sound of an install's circuit by touch: a knob is dragged and the curve follows, parts are chosen, and the sheet on paper
//! has their curve.

use std::time::{Duration, Instant};

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::SeededDice;
use solderlast_serve::machine::SystemClock;
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{name, seeded};

use super::install::is_one_page;

/// The line of what is planned, as it is drawn now.
const LINE: &str = "return document.querySelector('.curves svg path.act:not([d*=\"Z\"])[d*=\"L\"][style*=\"2.5\"]:last-of-type')?.getAttribute('d') ?? ''";

async fn line(pages: &Pages) -> String {
    pages.browser.run(LINE).await.as_str().unwrap_or_default().to_owned()
}

/// Waits until the line is another one.
async fn changes(pages: &Pages, before: &str) -> String {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(10) {
        let now = line(pages).await;
        if now != before && !now.is_empty() {
            return now;
        }
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
    panic!("the curve stays as it was: {}", pages.browser.text().await);
}

#[tokio::test]
async fn a_knob_is_dragged_parts_are_chosen_and_the_sheet_has_their_curve() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.route(&format!("#/fit/{}/plan", name("fit"))).await;
    pages.browser.reads("Sound: pots, capacitor, cable").await;
    pages.browser.route(&format!("#/fit/{}/sound", name("fit"))).await;
    pages.browser.reads("Not measured").await;
    let full = line(&pages).await;
    assert!(full.len() > 200, "{full}");

    // A finger takes the volume from full to about a third, and the knob stays under it.
    let stands =
        "const knob = document.querySelector('.knob'); return Math.round(knob.getBoundingClientRect().top + scrollY)";
    let before = pages.browser.run(stands).await;
    let parts: Vec<f64> = (0..=12).map(|step| 1.0 - 0.65 * f64::from(step) / 12.0).collect();
    pages.browser.drag(".knob input", &parts, Duration::from_millis(16)).await;
    changes(&pages, &full).await;
    pages.browser.reads("quieter").await;
    assert_eq!(pages.browser.run(stands).await, before, "the knob moved under the thumb");
    let shown = pages.browser.run("return document.querySelector('.knob output').textContent").await;
    let shown: f64 = shown.as_str().and_then(|text| text.parse().ok()).expect("a figure");
    assert!((2.0..5.0).contains(&shown), "{shown}");
    // The last place of the knob is what is drawn in the end.
    let drawn = format!("return document.querySelector('[data-circuit]').dataset.drawn === '{shown}'");
    let begun = Instant::now();
    while pages.browser.run(&drawn).await != Value::Bool(true) {
        assert!(begun.elapsed() < Duration::from_secs(10), "the curve stays behind the knob");
        tokio::time::sleep(Duration::from_millis(40)).await;
    }

    // What a turn comes to was fetched while the knob stood still: it is drawn in the same frame, though the bench says nothing.
    let at_once = "(async () => {
        const knob = document.querySelector('.knob input'), real = window.fetch;
        for (let time = 0; time < 40; time += 1) {
          await new Promise((done) => setTimeout(done, 500));
          let answer; const held = new Promise((done) => (answer = done));
          window.fetch = async (...asked) => { await held; return real(...asked); };
          knob.value = String(4 + time % 2); knob.dispatchEvent(new Event('input', {bubbles: true}));
          await new Promise(requestAnimationFrame);
          const drawn = document.querySelector('[data-circuit]').dataset.drawn === knob.value;
          window.fetch = real; answer();
          if (drawn) return document.querySelector('[data-changes]').textContent;
        }
        return ''; })()";
    let told = pages.browser.wait_for(at_once).await;
    assert!(told.as_str().is_some_and(|told| told.contains("quieter")), "a turn waits for the bench: {told}");

    // What is printed at once is what is on the screen.
    let printed = "(async () => {
        const knob = document.querySelector('.knob input'); knob.value = '7'; knob.dispatchEvent(new Event('input', {bubbles: true}));
        while (document.querySelector('[data-circuit]').dataset.drawn !== '7') await new Promise((done) => setTimeout(done, 2));
        dispatchEvent(new Event('beforeprint'));
        const lines = (of) => [...document.querySelectorAll(`${of} svg path`)].map((path) => path.getAttribute('d')).join();
        return lines('.paper') === lines('.curves'); })()";
    assert_eq!(pages.browser.wait_for(printed).await, Value::Bool(true), "paper stays behind the screen");
    let low = line(&pages).await;

    // Another pot is another curve.
    let pick = "const select = [...document.querySelectorAll('[data-parts] select')][0]; select.value = '1000000';
                select.dispatchEvent(new Event('change', {bubbles: true}));";
    pages.browser.run(pick).await;
    let pot = changes(&pages, &low).await;
    // So is a cable that somebody measured; what is no number is not taken.
    pages.browser.choose_option("Cable", "measured").await;
    pages.browser.type_labelled("Cable, in pF", "1250").await;
    changes(&pages, &pot).await;
    pages.browser.type_labelled("Cable, in pF", "long").await;
    pages.browser.reads("Type picofarads").await;
    pages.browser.tap_named("Take these parts").await;
    pages.browser.type_labelled("Cable, in pF", "820").await;
    pages.browser.tap_named("Take these parts").await;
    pages.browser.reads("Written: Parts: volume 1 MΩ").await;
    pages.browser.reads("Chosen").await;

    // The sheet on paper tells them, with their curve, on one page.
    pages.browser.route(&format!("#/fit/{}/parts", name("fit"))).await;
    pages.browser.reads("volume 1 MΩ").await;
    pages.browser.reads("cable 820 pF").await;
    pages.browser.find(".paper .drawn svg path.wash").await;
    is_one_page(&pages.browser).await;
    pages.browser.close().await;
}

/// A take of the seeded audition that went straight in.
fn recorded(log: &std::path::Path) {
    let bench = Bench::open(log, Box::new(SystemClock), &SeededDice::new(6)).expect("a log that opens");
    let place = json!({
        "about": {"thing": "audition", "id": name("audition")}, "entry": "019a3c5f-7e00-7000-8000-000000004101",
        "recorded": {"played": "riff", "through": "instrument"},
    });
    let place = serde_json::from_value(place).expect("a place for a take");
    let sound = Sound::silence(44_100, 1, 6.0).sine(220.0, 0.3).sine(3000.0, 0.1);
    let mut receiving = bench.receive_take().expect("room");
    receiving.take(&sound.wav(Samples::Whole(24))).expect("room");
    bench.keep_take(&place, receiving).expect("it is kept");
}

#[tokio::test]
async fn a_take_is_heard_as_installed_beside_the_real_one() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    recorded(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.route(&format!("#/fit/{}/sound", name("fit"))).await;
    pages.browser.tap_named("Take these parts").await;
    pages.browser.reads("Chosen").await;
    pages.unfold("Hear it as installed").await;
    pages.browser.tap("[data-dry] button").await;
    pages.browser.reads("computed, not recorded").await;
    pages.browser.tap_named("Hear both side by side").await;
    pages.browser.reads("What differs").await;
    pages.browser.reads("as installed (computed)").await;
    // It can stand in a blind test as well, marked as unlike.
    let takes = pages.browser.run("return location.hash").await;
    let takes = takes.as_str().unwrap_or_default().replace("#/hear/", "#/plan-blind/");
    pages.browser.route(&takes).await;
    pages.browser.reads("What is asked").await;
    pages.browser.reads("computed, not recorded").await;
    pages.browser.close().await;
}
