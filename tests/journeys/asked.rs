//! Nothing is kept that was asked about, one keypad at a time stands in view, and each hold leads to where it is lifted.

use serde_json::{Value, json};

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{demo, name, put, seeded};
use solderlast_tests::browser::{Browser, Server};

async fn on_a_phone(log: &std::path::Path) -> Pages {
    let pages = Pages::opened(Server::start(log), Browser::phone(false).await).await;
    pages.browser.reads("Bench").await;
    pages
}

/// Whether what this names can be seen whole: within the window, and under no bar.
async fn in_view(browser: &Browser, css: &str) -> bool {
    let seen = format!(
        "const all = [...document.querySelectorAll({})]; if (all.length === 0) return false;
         return all.every(one => {{ const box = one.getBoundingClientRect();
           return [[box.left + 3, box.top + 3], [box.right - 3, box.bottom - 3]].every(([x, y]) => {{
             const top = document.elementFromPoint(x, y);
             return top !== null && (one.contains(top) || top.contains(one));
           }}); }});",
        json!(css)
    );
    for _ in 0..60 {
        if browser.run(&seen).await == json!(true) {
            return true;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    false
}

/// Gives the field with this label a name.
async fn call_field(browser: &Browser, label: &str, id: &str) {
    let call = format!(
        "const label = [...document.querySelectorAll('label')].find(one => one.textContent.trim() === {});
         const field = label && document.getElementById(label.htmlFor);
         if (!field) return false; field.setAttribute('data-field', {}); return true;",
        json!(label),
        json!(id)
    );
    for _ in 0..100 {
        if browser.run(&call).await == json!(true) {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(40)).await;
    }
    panic!("no field is called “{label}”: {}", browser.text().await);
}

/// How many keypads are shown.
async fn keypads(browser: &Browser) -> Value {
    browser
        .run("return [...document.querySelectorAll('.pad')].filter(pad => pad.getClientRects().length > 0).length")
        .await
}

/// The gaps, tapped before the bench has said a word of them: asked about, in view, and kept as soon as somebody says that it is so.
#[tokio::test]
async fn gaps_that_are_asked_about_are_kept_after_the_answer_alone() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = on_a_phone(log.path()).await;
    pages.browser.route(&format!("#/audition/{}/gaps", name("audition"))).await;
    pages.browser.find("[data-step=gaps] .sides input.box").await;
    pages.type_gaps("12.7", "3.8").await;
    pages.browser.tap_named("Keep these gaps").await;
    pages.browser.reads("Answer this first").await;
    assert!(in_view(&pages.browser, "[data-question]").await, "the question is out of sight");
    assert!(!pages.browser.text().await.contains("Gaps of 12.7 mm"), "kept without an answer");
    // Another way to write them waits for the same answer.
    pages.browser.tap_named("Show me the turns").await;
    assert!(in_view(&pages.browser, "[data-question]").await);
    pages.browser.tap("[data-is-so]").await;
    pages.browser.reads("Understood as 12.7 mm, as you say").await;
    pages.browser.tap_named("Keep these gaps").await;
    pages.settle().await;
    // So far off that nothing can be judged: that is looked at before anybody goes on.
    pages.browser.reads("Too far").await;
    assert!(pages.browser.has("[data-step=gaps]").await);
    assert!(in_view(&pages.browser, "[data-turns] .verdict").await, "what they come to is out of sight");
    pages.browser.named("Go on").await;
    // What it was, in one tap.
    pages.type_gaps("24", "3.8").await;
    pages.browser.find("[data-question]").await;
    pages.browser.tap("[data-meant]").await;
    for _ in 0..60 {
        if !pages.browser.has("[data-question]").await {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    assert_eq!(pages.browser.run("return document.querySelector('#gap-bass').value").await, json!("2.4 mm"));
    pages.browser.close().await;
}

/// A new pickup, with and without the k; and a guitar whose scale was typed in inches.
#[tokio::test]
async fn a_record_is_written_after_the_answer_alone() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    pages.browser.route("#/pickup/new").await;
    call_field(&pages.browser, "Label", "label").await;
    call_field(&pages.browser, "The coil: stated resistance", "stated").await;
    pages.browser.type_into("[data-field=label]", "Grey moth").await;
    pages.browser.type_into("[data-field=stated]", "6.66").await;
    pages.browser.tap_named("Write it down").await;
    pages.browser.reads("6.66 Ω or 6.66 kΩ?").await;
    assert!(in_view(&pages.browser, "[data-question]").await, "the question is out of sight");
    assert!(pages.browser.has("[data-field=stated]").await, "written without an answer");
    pages.browser.tap("[data-meant]").await;
    pages.browser.reads("Understood as 6.66 kΩ").await;
    pages.browser.tap_named("Write it down").await;
    pages.browser.reads("Start an audition").await;
    pages.browser.reads("6.66 kΩ").await;

    pages.browser.route("#/guitar/new").await;
    for (label, text) in
        [("Label", "Porch guitar"), ("Scale length", "25.5"), ("From the saddle to the pole line", "1.6")]
    {
        call_field(&pages.browser, label, "now").await;
        pages.browser.type_into("[data-field=now]", text).await;
        pages.browser.run("document.querySelector('[data-field=now]').removeAttribute('data-field')").await;
    }
    for inches in ["25.5 in", "1.6 in"] {
        pages.browser.tap_named("Write it down").await;
        pages.browser.reads("Answer this first").await;
        assert!(in_view(&pages.browser, "[data-question]:has(b)").await, "{inches}: the question is out of sight");
        pages.browser.tap("[data-question]:has(b) [data-meant]").await;
        pages.settle().await;
    }
    pages.browser.tap_named("Write it down").await;
    pages.browser.reads("647.7 mm").await;
    pages.browser.close().await;
}

/// From the first mode to a mended fault: one keypad, whole and in view, and what was wrong before is folded as past.
#[tokio::test]
async fn one_keypad_stands_in_view_and_the_verdict_goes_along() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = on_a_phone(log.path()).await;
    pages.up_to_the_meter("Lantern stack", "Wren").await;
    assert!(in_view(&pages.browser, ".pad").await, "the keypad lies under the bar");
    for (mode, reading, shown) in [("parallel", "OL", "OL"), ("single", "OL", "OL")] {
        pages.measure(mode, reading, shown).await;
        pages.settle().await;
        assert_eq!(keypads(&pages.browser).await, json!(1), "after {mode}");
    }
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    pages.browser.find("[data-diagnosis]").await;
    pages.browser.tap("[data-reading=parallel] .again").await;
    pages.browser.find("[data-mode=parallel]").await;
    assert_eq!(keypads(&pages.browser).await, json!(1), "measured again");
    pages.browser.reads("What may be wrong, by what was read so far").await;
    pages.measure("parallel", "3.334k", "3.334 kΩ").await;
    pages.browser.tap("[data-reading=single] .again").await;
    pages.measure("single", "6.66k", "6.66 kΩ").await;
    pages.browser.find("[data-step=seat]").await;
    // What the readings came to is said where the person is now.
    assert!(in_view(&pages.browser, ".ended").await, "{}", pages.browser.text().await);
    let said = pages.browser.run("return document.querySelector('.ended').textContent").await;
    assert!(said.as_str().is_some_and(|said| said.contains("Meter:") && said.contains("gree")), "{said}");
    pages.browser.close().await;
}

/// Leads that nobody knows the ends of are written down as such.
#[tokio::test]
async fn two_leads_for_each_coil_say_nothing_of_their_ends() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    pages.browser.route("#/pickup/new").await;
    pages.choose_radio("Humbucker").await;
    pages.unfold("Leads").await;
    pages.browser.tap_named("Two for each coil").await;
    let ends = "return [...document.querySelectorAll('.lead-row select')].map(one => one.value)";
    assert_eq!(pages.browser.run(ends).await, json!(["", "", "", ""]));
    // A join has no ends either before somebody says them.
    let join = "const one = document.querySelector('.lead-row select'); one.value = 'join'; one.dispatchEvent(new Event('change', {bubbles: true}));";
    pages.browser.run(join).await;
    pages.browser.find(".lead-row .ends select").await;
    let ends = "return [...document.querySelectorAll('.lead-row .ends select')].map(one => one.value)";
    assert_eq!(pages.browser.run(ends).await, json!(["", ""]));
    pages.browser.close().await;
}

/// Every hold of every step: its link brings what lifts it into view, on this page or on another.
#[tokio::test]
async fn each_hold_leads_to_where_it_is_lifted() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = on_a_phone(log.path()).await;
    pages.choose("Lantern stack", "Wren").await;
    let id = pages.browser.run("return location.hash.split('/')[2]").await.as_str().unwrap_or_default().to_owned();
    // The volume is an item of its list; passing it by stands in a fold below.
    pages.browser.route(&format!("#/audition/{id}/sound_up")).await;
    pages.read_cautions().await;
    pages.order(&["dry_and_whole"]).await;
    pages.browser.find("[data-item=dry_and_whole].done").await;
    pages.unfold("The volume can’t be at zero").await;
    pages.browser.tap("[data-lift=amp_not_at_zero]").await;
    assert!(first_lines_in_view(&pages.browser, "[data-lifts~=amp_not_at_zero]").await);
    let mut met = std::collections::BTreeSet::from(["amp_not_at_zero".to_owned()]);
    let entry = |number: u32| format!("019b0000-0000-7000-8000-00000000{number:04x}");
    let act = |number: u32, mut act: Value| {
        act["entry"] = json!(entry(number));
        act["audition"] = json!(id);
        act
    };
    let finish = |kind: &str, feet: &str, barrier: &str, held_by: &str| {
        json!({"ask": "ask_finish", "answer": {"kind": kind, "surface": "flat_gloss", "aged": false, "feet": feet, "barrier": barrier,
               "held_by": held_by, "tried": true, "wiped": true, "before": ""}})
    };
    let mut number = 0;
    // What is written, and the holds that are met then, each on its step.
    type Round = (Vec<Value>, &'static [(&'static str, &'static str)]);
    let rounds: [Round; 3] = [
        (
            vec![],
            &[
                ("seat", "finish_not_asked"),
                ("iron", "iron_plugged_in"),
                ("iron", "iron_battery_in"),
                ("iron", "iron_finish_bare"),
            ],
        ),
        (
            vec![
                finish("lacquer", "suction", "none", "nothing"),
                json!({"ask": "take_reading", "mode": "parallel", "reading": "OL", "room": ""}),
                json!({"ask": "take_reading", "mode": "single", "reading": "2", "room": ""}),
            ],
            &[("seat", "bare_feet_on_finish"), ("sound_up", "unexplained_short"), ("sound_up", "unexplained_open")],
        ),
        (vec![finish("poly", "suction", "cloth", "nothing")], &[("sound_up", "rig_not_held")]),
    ];
    for (acts, holds) in rounds {
        put(
            log.path(),
            acts.into_iter().map(|one| {
                number += 1;
                act(number, one)
            }),
        );
        for (step, hold) in holds {
            let route = if *step == "iron" { format!("#/iron/{id}") } else { format!("#/audition/{id}/{step}") };
            pages.browser.route("#/bench").await;
            pages.browser.route(&route).await;
            let lifts = format!("[data-lifts~={hold}]");
            // Before the iron a hold stands at the very item that lifts it.
            if *step == "iron" {
                pages.browser.find(&lifts).await;
                met.insert((*hold).to_owned());
                continue;
            }
            pages.browser.tap(&format!("[data-lift={hold}]")).await;
            pages.browser.find(&lifts).await;
            assert!(first_lines_in_view(&pages.browser, &lifts).await, "{hold}: {}", pages.browser.text().await);
            met.insert((*hold).to_owned());
        }
    }
    // The day's hearing is spent in the journey of a loud session; its hold is met there.
    let all = solderlast_core::safety::holds::SafetyHold::ALL
        .iter()
        .map(|hold| hold.id())
        .filter(|id| *id != "hearing_spent");
    assert_eq!(met, all.map(str::to_owned).collect(), "each hold is met");
    pages.browser.close().await;
}

/// Whether the beginning of what this names can be seen.
async fn first_lines_in_view(browser: &Browser, css: &str) -> bool {
    let seen = format!(
        "const one = document.querySelector({}); if (!one) return false; const box = one.getBoundingClientRect();
         const y = box.top + Math.min(box.height / 2, 24); if (y < 0 || y >= innerHeight) return false;
         const top = document.elementFromPoint(box.left + box.width / 2, y); return top !== null && one.contains(top);",
        json!(css)
    );
    for _ in 0..60 {
        if browser.run(&seen).await == json!(true) {
            return true;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    false
}

/// What holds a rig that slides is asked before anything of the finish is written; and nothing is said of how a pickup lies before
/// somebody says how it does.
#[tokio::test]
async fn what_was_not_said_is_asked_first() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = on_a_phone(log.path()).await;
    pages.choose("Lantern stack", "Wren").await;
    pages.browser.reads("Does yours lie like this in the rig?").await;
    assert!(!pages.browser.text().await.contains("Turn it"), "judged before anything was said");
    pages.read_cautions().await;
    pages.browser.tap_named("It lies like this").await;
    pages.browser.reads("Turn it").await;
    assert!(pages.browser.has("[data-step=which_way]").await);

    let id = pages.browser.run("return location.hash.split('/')[2]").await.as_str().unwrap_or_default().to_owned();
    pages.browser.route(&format!("#/audition/{id}/seat")).await;
    pages.browser.tap_named("Change: another finish, or other feet").await;
    pages.choose_radio("suction feet").await;
    pages.choose_radio("clean cotton").await;
    assert!(first_lines_in_view(&pages.browser, "[data-lifts~=rig_not_held]").await, "the question is out of sight");
    pages.browser.tap_named("That’s it, wiped and tried").await;
    pages.browser.reads("Say first what holds it.").await;
    assert!(first_lines_in_view(&pages.browser, "[data-lifts~=rig_not_held]").await);
    assert!(pages.browser.has("[data-lifts~=rig_not_held]").await, "written without an answer");
    pages.choose_radio("a soft strap").await;
    pages.browser.tap_named("That’s it, wiped and tried").await;
    pages.browser.named("It stands, and stays put when nudged").await;
    assert!(first_lines_in_view(&pages.browser, "[data-may-stand]").await, "what it comes to is out of sight");
    pages.browser.close().await;
}

/// From the step that wants a tap to the tap, and back to that step with the answer in place.
#[tokio::test]
async fn a_tap_that_an_install_asks_for_leads_back_to_it() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = on_a_phone(log.path()).await;
    pages.browser.route(&format!("#/leads/{}/fit.{}.phase", name("pickup"), name("fit"))).await;
    // Its record says which lead is which: the tap comes at once, and nothing is measured.
    pages.browser.find("[data-task=begin]").await;
    pages.browser.tap("[data-as-recorded]").await;
    let mut taps = 0;
    loop {
        let mut task = Value::Null;
        for _ in 0..100 {
            task = pages
                .browser
                .run("return document.querySelector('[data-task]:not(:has(button:disabled))')?.dataset.task ?? null")
                .await;
            if task != json!("begin") && !task.is_null() {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(40)).await;
        }
        match task.as_str() {
            Some("tap") => pages.browser.tap_named("To plus").await,
            Some("compass") => pages.browser.tap_named("Its south end: north is up").await,
            Some("settle") => pages.browser.tap_named("Write it into the pickup").await,
            Some("done") => break,
            other => panic!("{other:?}: {}", pages.browser.text().await),
        }
        taps += 1;
        assert!(taps < 12, "no end: {}", pages.browser.text().await);
        tokio::time::sleep(std::time::Duration::from_millis(400)).await;
    }
    assert!(first_lines_in_view(&pages.browser, "[data-settled]").await, "that it is written is out of sight");
    pages.browser.tap_named("Back to Phase and hum").await;
    pages.browser.find("[data-fit=phase]").await;
    pages.browser.close().await;
}
