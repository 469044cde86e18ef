//! How many taps an audition takes: a first one with everything that can be answered, and a second on the same guitar and rig, where
//! what was answered last is offered again. Typing is not counted; whatever is confirmed is.

use solderlast_tests::audition::{Pages, SOUND_UP};
use solderlast_tests::bench::demo;

const MODES: [(&str, &str, &str); 3] =
    [("parallel", "3.334k", "3.334 kΩ"), ("single", "6.66k", "6.66 kΩ"), ("series", "13.34k", "13.34 kΩ")];
/// The most that a first and a second audition may take.
const FIRST: usize = 53;
const SECOND: usize = 30;

/// Taps, step by step.
struct Counted {
    steps: Vec<(&'static str, usize)>,
    before: usize,
}

impl Counted {
    fn step(&mut self, pages: &Pages, step: &'static str) {
        self.steps.push((step, pages.browser.taps - self.before));
        self.before = pages.browser.taps;
    }
}

/// A whole audition of this pickup. The first time nothing that was answered earlier is taken up.
async fn audition(pages: &mut Pages, pickup: &str, again: bool) -> Vec<(&'static str, usize)> {
    pages.browser.route("#/bench").await;
    pages.browser.reads("Start an audition").await;
    pages.browser.taps = 0;
    let mut counted = Counted { steps: Vec::new(), before: 0 };
    pages.browser.tap_named("Start an audition").await;
    pages.browser.find("[data-last]").await;
    if again {
        pages.browser.reads("Wren, neck").await;
        pages.browser.tap_named("This guitar and rig again").await;
        pages.choose_radio(pickup).await;
    } else {
        pages.choose_radio(pickup).await;
        pages.choose_radio("Wren").await;
    }
    pages.browser.tap_named("Begin").await;
    pages.browser.find("[data-step=which_way]").await;
    counted.step(pages, "choose");
    if again {
        pages.browser.tap("[data-read-all]").await;
        pages.settle().await;
    }
    pages.which_way().await;
    counted.step(pages, "which way round");
    pages.browser.tap("[data-hook-all]").await;
    pages.browser.find("[data-step=meter]").await;
    counted.step(pages, "leads");
    for (mode, reading, shown) in MODES {
        pages.measure(mode, reading, shown).await;
    }
    pages.browser.find("[data-step=seat]").await;
    counted.step(pages, "meter");
    pages.read_cautions().await;
    if again {
        // All that was answered is shown, and it counts when it is confirmed.
        pages.browser.reads("tried where it does not show, grit wiped off").await;
        pages.browser.tap_named("I have looked: it is the same again").await;
    } else {
        pages.browser.tap_named("That’s it, wiped and tried").await;
    }
    pages.seat().await;
    counted.step(pages, "seat the rig");
    pages.gaps("4.6", "3.8").await;
    counted.step(pages, "gaps");
    if again {
        pages.browser.tap("[data-read-all]").await;
        pages.settle().await;
        pages.browser.reads("small valve amp, clean").await;
        pages.browser.tap_named("The same again").await;
        pages.settle().await;
    } else {
        pages.read_cautions().await;
        let field = "document.querySelectorAll('input.box').forEach(box => { if (box.closest('.card')?.textContent.includes('Amplifier')) box.id = 'amp'; });
                     return document.querySelector('#amp') !== null";
        pages.browser.until(field).await;
        pages.browser.type_into("#amp", "small valve amp, clean").await;
    }
    pages.order(&SOUND_UP[..2]).await;
    pages.browser.find("[data-item=volume_at_zero].done").await;
    pages.browser.tap("[data-together]").await;
    pages.order(&SOUND_UP[5..]).await;
    pages.browser.find("[data-step=listen]").await;
    counted.step(pages, "sound up");
    pages.read_cautions().await;
    for (at, (mode, _, _)) in MODES.into_iter().enumerate() {
        if again {
            // One scale a mode, and the question is answered.
            if at > 0 {
                pages.browser.tap(&format!("button[data-hear={mode}]")).await;
            }
            pages.browser.tap(&format!("[data-listening={mode}] [data-quality=treble] label:nth-child(3)")).await;
            pages.settle().await;
        } else {
            if at > 0 {
                pages.browser.tap("[data-next-mode]").await;
            }
            pages.browser.find(&format!("[data-listening={mode}]")).await;
            pages.listen(mode).await;
        }
    }
    pages.browser.tap_named("Take down").await;
    pages.browser.find("[data-step=take_down]").await;
    counted.step(pages, "listen");
    pages.order(&["volume_down"]).await;
    pages.browser.tap("[data-together]").await;
    pages.order(&["lifted", "finish_looked"]).await;
    pages.browser.reads("It is all in the logbook").await;
    counted.step(pages, "take down");
    counted.steps
}

#[tokio::test]
async fn a_first_audition_takes_fifty_three_taps_and_a_second_thirty() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    let first = audition(&mut pages, "Lantern stack", false).await;
    let second = audition(&mut pages, "Lantern stack", true).await;
    pages.browser.close().await;
    for ((step, one), (_, other)) in first.iter().zip(&second) {
        println!("| {step} | {one} | {other} |");
    }
    let sum = |steps: &[(&str, usize)]| steps.iter().map(|(_, taps)| taps).sum::<usize>();
    let (first, second) = (sum(&first), sum(&second));
    println!("| all | {first} | {second} |");
    assert!(first <= FIRST && second <= SECOND, "{first} and {second} taps");
}
