//! Nobody burnt, deafened or marked: holds and how they clear, time on a finish and on the ears, photos, the iron, the page
//! of what can hurt.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use serde_json::{Value, json};

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{demo, name, put, seeded};
use solderlast_tests::browser::{Browser, Server};

/// Lets this many minutes pass for everything in the log, or takes them back, as a clock that is set does.
fn minutes_pass(log: &Path, minutes: i64) {
    let conn = Connection::open(log.join("solderlast.db")).expect("the log opens");
    conn.busy_timeout(Duration::from_secs(5)).expect("it can be waited for");
    // An entry without a sum is taken as it is, as one of before there were sums and a tally.
    for tally in ["solderlast.tally", "solderlast.tally-before"] {
        let _ = std::fs::remove_file(log.join(tally));
    }
    conn.execute("UPDATE entry SET at = at - ?1, sum = NULL", [minutes * 60_000_000]).expect("time can be moved");
}

async fn begun(log: &Path) -> Pages {
    demo(log);
    let mut pages = Pages::opened(Server::start(log), Browser::phone(false).await).await;
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages
}

async fn audition_of(pages: &Pages) -> String {
    pages.browser.run("return location.hash.split('/')[2]").await.as_str().unwrap_or_default().to_owned()
}

async fn step(pages: &Pages, step: &str) {
    let id = audition_of(pages).await;
    pages.browser.route(&format!("#/audition/{id}/{step}")).await;
    pages.browser.find(&format!("[data-step={step}]")).await;
}

#[tokio::test]
async fn suction_on_lacquer_is_held_a_barrier_clears_it_and_the_time_goes_on_without_the_app() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = begun(log.path()).await;
    step(&pages, "seat").await;
    pages.browser.tap_named("Change: another finish, or other feet").await;
    pages.choose_radio("Nitrocellulose lacquer").await;
    pages.choose_radio("suction feet").await;
    pages.browser.tap_named("That’s it, not tried yet").await;
    pages.browser.reads("These feet can mark this finish within hours").await;
    pages.browser.tap_named("It stands, and stays put when nudged").await;
    pages.browser.find("[role=alert]").await;
    assert!(pages.browser.has("[data-step=seat]").await, "held");

    pages.browser.tap_named("Change what I said of the finish").await;
    pages.choose_radio("clean cotton").await;
    pages.browser.reads("It slides on that").await;
    pages.choose_radio("a soft strap").await;
    pages.browser.tap_named("That’s it, not tried yet").await;
    pages.browser.reads("Up to 4 h").await;
    pages.browser.tap_named("It stands, and stays put when nudged").await;
    // It goes on to the first step that waits.
    pages.browser.find("[data-step=which_way]").await;
    step(&pages, "gaps").await;
    pages.browser.reads("On the finish: ").await;

    // Nearly four hours later, the program having been killed in between: the next opening says so at once.
    pages.kill();
    minutes_pass(log.path(), 235);
    pages.opened_anew(log.path()).await;
    pages.browser.reads("The time on the finish is nearly over").await;
    pages.browser.find("[data-on-finish] [role=alert]").await;
    pages.kill();
    minutes_pass(log.path(), 10);
    pages.opened_anew(log.path()).await;
    pages.browser.reads("Volume to zero, then lift the rig and look").await;

    // The clock is set back by two hours: that gives the finish no time back, and the page says that it is a guess.
    pages.kill();
    minutes_pass(log.path(), -365);
    pages.opened_anew(log.path()).await;
    pages.browser.reads("The clock of this device was set back").await;
    pages.browser.tap_named("The rig is off").await;
    for _ in 0..100 {
        if !pages.browser.has("[data-on-finish]").await {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    assert!(!pages.browser.has("[data-on-finish]").await, "{}", pages.browser.text().await);
    pages.browser.close().await;
}

#[tokio::test]
async fn a_loud_session_runs_out_of_hearing_and_is_held() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = begun(log.path()).await;
    step(&pages, "sound_up").await;
    pages.read_cautions().await;
    for tick in ["dry_and_whole", "volume_at_zero"] {
        pages.order(&[tick]).await;
        pages.browser.find(&format!("[data-item={tick}].done")).await;
    }
    pages.browser.reads("Items 3 to 5 done, each said aloud").await;
    pages.browser.tap("[data-together]").await;
    pages.order(&["raised_slowly"]).await;
    // It goes on to the first step that waits.
    pages.browser.find("[data-step=which_way]").await;
    step(&pages, "listen").await;
    pages.browser.reads("enough for all day at 80 dB(A)").await;
    pages.read_cautions().await;
    // Who answers a question below stays beside it, whatever it changes above.
    pages.browser.tap_named("About this bench").await;
    pages.browser.tap("[data-question] label").await;
    pages.settle().await;
    let beside = "const at = document.querySelector('[data-question] label.chosen')?.getBoundingClientRect(); return at !== undefined && at.top >= 0 && at.bottom <= innerHeight";
    wait_for(&pages.browser, beside).await;
    pages.browser.tap_named("How loud it is, and today’s hearing").await;
    pages.browser.reads("Nobody has said how loud it is").await;
    pages.choose_radio("You have to shout into an ear").await;
    pages.browser.reads("min left at 100 dB(A)").await;
    // What it warns of is brought to the eye.
    pages.browser.reads("This is very loud.").await;
    let warned = "const at = [...document.querySelectorAll('[data-cautions] .panel')].find((one) => one.textContent.includes('This is very loud'))
         ?.getBoundingClientRect(); return at !== undefined && at.top >= 0 && at.top < innerHeight * 0.8";
    wait_for(&pages.browser, warned).await;

    // The page looks again by itself while it stays open: half, then all of the quarter of an hour.
    minutes_pass(log.path(), 8);
    pages.browser.reads_within("Half of what your ears can take today is spent", 40).await;
    pages.browser.find("[data-ticking=ear] [role=alert]").await;
    minutes_pass(log.path(), 8);
    pages.browser.reads_within("Your ears have had all they can take today", 40).await;
    pages.browser.find(".hold").await;
    // The hold leads to the times, which are where it is lifted.
    pages.browser.tap("[data-lift=hearing_spent]").await;
    let seen = "const at = document.querySelector('[data-session]').getBoundingClientRect(); return at.top >= 0 && at.top < innerHeight * 0.8";
    wait_for(&pages.browser, seen).await;
    pages.browser.tap("[data-listening] [data-quality=treble] label:nth-child(4)").await;
    pages.browser.find(".changed[role=alert]").await;
    // Nothing more is written over the hold, and nothing looks as if it were.
    wait_for(&pages.browser, "return document.querySelector('[data-quality=treble] input:checked') === null").await;

    // It was not up all that time: corrected by hand, the hold is gone.
    let field =
        "const f = document.querySelector('[data-session] input.box'); if (f) f.id = 'really'; return f !== null;";
    pages.browser.until(field).await;
    pages.browser.type_into("#really", "4 min").await;
    pages.browser.tap_named("Correct it").await;
    pages.browser.reads("4 min at 100 dB(A), corrected by hand").await;
    for _ in 0..100 {
        if !pages.browser.has(".hold").await {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    assert!(!pages.browser.has(".hold").await);
    pages.browser.close().await;
}

#[tokio::test]
async fn a_hold_passed_on_ones_own_word_is_read_wherever_the_audition_is() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = begun(log.path()).await;
    step(&pages, "seat").await;
    pages.browser.tap_named("Change: another finish, or other feet").await;
    pages.choose_radio("Shellac or spirit varnish").await;
    pages.browser.tap_named("That’s it, not tried yet").await;
    pages.browser.reads("These feet can mark this finish").await;
    pages.browser.tap_named("Go on anyway: write why").await;
    pages.browser.tap_named("Go on, on my own word").await;
    pages.browser.reads("Write why, so that you know later").await;
    pages.browser.type_into(".hold textarea", "plywood offcut for a test").await;
    pages.browser.tap_named("Go on, on my own word").await;
    pages.browser.reads("Passed on your own word").await;
    step(&pages, "listen").await;
    pages.browser.reads("Went on in spite of a hold: “plywood offcut for a test”").await;
    let id = audition_of(&pages).await;
    pages.browser.route(&format!("#/past/{id}")).await;
    pages.browser.reads("Went on in spite of a hold").await;
    pages.browser.reads("Reason given: plywood offcut for a test").await;
    pages.browser.route("#/logbook").await;
    pages.browser.reads("1 hold passed").await;
    pages.browser.route("#/bench").await;
    pages.browser.reads_in_a_row("WENT ON IN SPITE OF A HOLD").await;
    pages.browser.close().await;
}

/// Two photos of one colour each; one with 30 MB at its end; and a script with a picture's name.
fn files(folder: &Path) -> [PathBuf; 4] {
    let kept = |file: &str, bytes: &[u8]| {
        let path = folder.join(file);
        std::fs::File::create(&path).and_then(|mut to| to.write_all(bytes)).expect("a file is written");
        path
    };
    let [before, after] = [[150, 90, 40], [210, 190, 150]].map(|colour| {
        let picture = image::RgbImage::from_pixel(320, 240, colour.into());
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("a picture is written");
        bytes.into_inner()
    });
    let heavy = [&before[..], &vec![0; 30_000_000]].concat();
    [
        kept("before.jpg", &before),
        kept("after.jpg", &after),
        kept("heavy.jpg", &heavy),
        kept("script.jpg", b"<script>alert('a picture, honestly')</script>"),
    ]
}

/// Photos of the seeded audition's finish, before and after, in pages that are open.
pub(super) async fn photos(browser: &mut Browser, folder: &Path) {
    let [before, after, heavy, script] = files(folder);
    async fn choose(browser: &Browser, look: &str, file: &Path) {
        let field = browser.find(&format!("input[data-photo={look}]")).await;
        field.send_keys(&file.display().to_string()).await.expect("a file can be chosen");
    }
    browser.route(&format!("#/audition/{}/seat", name("audition"))).await;
    browser.tap_named("Look before: photos").await;
    choose(browser, "before", &heavy).await;
    browser.reads("and 25 MB fit. Nothing was kept").await;
    choose(browser, "before", &script).await;
    browser.reads("not a picture, whatever its name says").await;
    choose(browser, "before", &before).await;
    let shown = "const i = document.querySelector('img[data-kept]'); return i !== null && i.complete && i.naturalWidth === 320;";
    wait_for(browser, shown).await;
    browser.route(&format!("#/audition/{}/take_down", name("audition"))).await;
    browser.find("[data-step=take_down]").await;
    for tick in ["volume_down", "amp_quiet", "unplugged", "leads_free", "lifted"] {
        browser.tap(&format!("[data-tick={tick}]:not([disabled])")).await;
        browser.find(&format!("[data-item={tick}].done")).await;
    }
    browser.tap_named("Photos, before and after").await;
    choose(browser, "after", &after).await;
    browser.find("[data-compare]").await;
    wait_for(
        browser,
        "return [...document.querySelectorAll('[data-compare] img')].filter(i => i.naturalWidth === 320).length === 2",
    )
    .await;
    browser.tap_named("Beside each other").await;
    browser.find("[data-compare] .beside").await;
    browser.route(&format!("#/past/{}", name("audition"))).await;
    browser.tap_named("Photos of the finish: 2").await;
    let written = "[...document.querySelectorAll('summary')].find(one => one.textContent.startsWith('Everything written')).click()";
    browser.run(written).await;
    browser.reads("Photo of the finish, before").await;
}

pub(super) async fn wait_for(browser: &Browser, script: &str) {
    for _ in 0..300 {
        if browser.run(script).await == Value::Bool(true) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("never so: {script}, where it reads:\n{}", browser.text().await);
}

#[tokio::test]
async fn photos_in_a_browser_are_kept_compared_and_refused_in_clear_words() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let folder = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    photos(&mut browser, folder.path()).await;
    browser.close().await;
}

#[tokio::test]
async fn photos_in_the_window_are_kept_compared_and_refused_in_clear_words() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let folder = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut window = Browser::window(log.path()).await;
    photos(&mut window, folder.path()).await;
    window.close().await;
}

#[tokio::test]
async fn the_iron_waits_for_its_list_and_the_page_of_cautions_outlives_the_bench() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    put(
        log.path(),
        [json!({"ask": "end_early", "entry": "019a3c5f-7e00-7000-8000-00000000ff01",
        "audition": name("audition"), "why": "decided"})],
    );
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.route(&format!("#/past/{}", name("audition"))).await;
    browser.tap_named("Before you light the iron").await;
    // What holds is said by the item that clears it, once, by its signal word.
    browser.reads("A fault in iron or amp can send current through the strings and you.").await;
    let item = "return document.querySelector('[data-item=guitar_unplugged]').textContent";
    assert!(browser.run(item).await.as_str().is_some_and(|text| text.contains("WARNING")), "no signal word");
    assert!(!browser.text().await.contains("may still be plugged in"), "said twice");
    browser.reads("First the whole list").await;
    // A screen reader that comes to a caution hears its signal word first.
    let labels = browser
        .run(
            "return [...document.querySelectorAll('.panel')].map(p => p.getAttribute('aria-labelledby').split(' ')
                .map(id => document.getElementById(id).textContent.trim()).join(' '))",
        )
        .await;
    let labels: Vec<&str> = labels.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    assert!(labels.len() >= 4, "{labels:?}");
    let word = |label: &&str| ["DANGER", "WARNING", "CAUTION", "NOTICE"].iter().any(|word| label.starts_with(word));
    assert!(labels.iter().all(word), "{labels:?}");
    for tick in ["guitar_unplugged", "battery_out", "strings_safe", "finish_covered"] {
        browser.tap(&format!("[data-tick={tick}]:not([disabled])")).await;
        browser.find(&format!("[data-item={tick}].done")).await;
    }
    browser.tap_named("Items 5 to 7 done, each said aloud").await;
    // Nobody lights it with a caution unread: each is shown, and read.
    while !browser.has("[data-light]").await {
        browser.tap("[data-unread]").await;
        browser.tap_named("I have read this").await;
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    browser.tap_named("The iron is on").await;
    // Wherever one is by then, the Bench says so and leads back.
    browser.reads("The iron is off and in its stand").await;
    browser.route("#/bench").await;
    browser.reads("The iron is on, since").await;
    browser.tap_named("Unplug it, and say so").await;
    browser.tap_named("The iron is off and in its stand").await;
    browser.reads("First the whole list").await;

    browser.route("#/safety").await;
    browser.reads("Local rules and licensed people decide").await;
    browser.reads("Never open an amplifier").await;
    browser.route("#/bench").await;
    browser.reads("Bench").await;
    server.kill();
    browser.route("#/safety").await;
    browser.reads_within("This is what it said when it was last asked", 40).await;
    browser.reads("Never open an amplifier").await;
    browser.close().await;
}
