//! A whole audition by hand, in Chromium by touch and in the app's own window: one page object for both.

use std::path::Path;
use std::time::Duration;

use serde_json::json;

use crate::bench::{demo, put};
use crate::browser::{Browser, Server};

const QUALITIES: [&str; 8] = ["treble", "bass", "clarity", "attack", "output", "hum", "balance", "sustain"];

/// The pages of one audition, as a person uses them.
pub struct Pages {
    /// Where they are shown.
    pub browser: Browser,
    home: Home,
}

/// Where the pages come from, so that they can be killed and opened anew.
enum Home {
    Served(Option<Server>),
    Window,
}

impl Pages {
    pub async fn on_a_phone(log: &Path) -> Self {
        Self::opened(Server::start(log), Browser::phone(false).await).await
    }

    /// The pages of this server in this browser.
    pub async fn opened(server: Server, browser: Browser) -> Self {
        browser.goto(&server.address).await;
        Self { browser, home: Home::Served(Some(server)) }
    }

    async fn in_the_window(log: &Path) -> Self {
        Self { browser: Browser::window(log).await, home: Home::Window }
    }

    /// Kills the server of the pages, as a power cut would; a window is left alone.
    pub fn kill(&mut self) {
        if let Home::Served(server) = &mut self.home
            && let Some(server) = server.take()
        {
            server.kill();
        }
    }

    /// Opens the pages anew on the same log, after [`Self::kill`].
    pub async fn opened_anew(&mut self, log: &Path) {
        self.killed_and_opened_anew(log).await;
    }

    /// Kills whatever shows the pages, without a word, and opens them anew on the same log.
    async fn killed_and_opened_anew(&mut self, log: &Path) {
        let taps = self.browser.taps;
        match &mut self.home {
            Home::Served(server) => {
                if let Some(server) = server.take() {
                    server.kill();
                }
                let new = Server::start(log);
                // Another port is another origin: nothing kept in the browser helps; the log has to.
                self.browser.goto(&new.address).await;
                *server = Some(new);
            }
            Home::Window => {
                let old = std::mem::replace(self, Self::in_the_window(log).await);
                old.browser.close().await;
            }
        }
        self.browser.taps = taps;
        self.browser.route("#/bench").await;
    }

    /// Goes on where the Bench says.
    async fn go_on(&mut self, step: &str) {
        self.browser.reads("Go on where you were").await;
        let taps = self.browser.taps;
        self.browser.tap("a[data-going]").await;
        self.browser.taps = taps;
        self.browser.find(&format!("[data-step={step}]")).await;
    }

    /// Reads every caution that waits for it on this step.
    pub async fn read_cautions(&mut self) {
        self.settle().await;
        loop {
            let waiting = self.browser.run(
                "const b = [...document.querySelectorAll('.panel button')].find(b => b.textContent.trim() === 'I have read this' && !b.disabled);
                 if (b) { b.setAttribute('data-read', ''); return true; } return false;",
            );
            if waiting.await != json!(true) {
                return;
            }
            self.browser.tap("[data-read]").await;
            self.settle().await;
        }
    }

    /// Waits until nothing is being written.
    pub async fn settle(&self) {
        tokio::time::sleep(Duration::from_millis(120)).await;
        for _ in 0..100 {
            let busy = self.browser.run("return document.querySelector('.panel button[disabled]') !== null").await;
            if busy == json!(false) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Begins an audition of a pickup on a guitar.
    pub async fn choose(&mut self, pickup: &str, guitar: &str) {
        self.browser.tap_named("Start an audition").await;
        self.choose_radio(pickup).await;
        self.choose_radio(guitar).await;
        self.browser.tap_named("Begin").await;
        self.browser.find("[data-step=which_way]").await;
    }

    /// Taps the card of a radio whose label begins with these words.
    pub async fn choose_radio(&mut self, label: &str) {
        let mark = format!(
            "document.querySelectorAll('[data-here]').forEach(e => e.removeAttribute('data-here'));
             const card = [...document.querySelectorAll('label')].find(l => l.querySelector('.label')?.textContent.trim() === {});
             if (card) {{ card.setAttribute('data-here', ''); return true; }} return false;",
            json!(label)
        );
        for _ in 0..200 {
            if self.browser.run(&mark).await == json!(true) {
                self.browser.tap("[data-here]").await;
                return;
            }
            tokio::time::sleep(Duration::from_millis(40)).await;
        }
        panic!("no card is labelled “{label}”: {}", self.browser.text().await);
    }

    pub async fn which_way(&mut self) {
        self.read_cautions().await;
        self.browser.tap_named("Roll it over").await;
        self.browser.reads("Right way round").await;
        self.browser.tap_named("It lies like this").await;
        self.browser.find("[data-step=leads]").await;
    }

    pub async fn leads(&mut self, from: usize) {
        self.read_cautions().await;
        for terminal in from..4 {
            self.browser.tap(&format!("[data-hook='{terminal}']:not([disabled])")).await;
            if terminal < 3 {
                self.browser.find(&format!("[data-terminal='{terminal}'] .held")).await;
            }
        }
        self.browser.find("[data-step=meter]").await;
    }

    /// From the Bench to the first reading, with all leads as they should be.
    pub async fn up_to_the_meter(&mut self, pickup: &str, guitar: &str) {
        self.browser.route("#/bench").await;
        self.browser.reads("Start an audition").await;
        self.choose(pickup, guitar).await;
        self.which_way().await;
        self.leads(0).await;
    }

    /// Takes a reading in a mode, and sees it understood.
    pub async fn measure(&mut self, mode: &str, reading: &str, shown: &str) {
        self.browser.find(&format!("[data-mode={mode}]")).await;
        self.browser.type_into("input.display", reading).await;
        // What was understood is echoed before it is written down.
        self.browser.reads(shown).await;
        self.browser.tap_named(&format!("Write down {mode}")).await;
    }

    pub async fn finish(&mut self) {
        self.read_cautions().await;
        for label in ["Tried where it does not show", "Grit wiped off first"] {
            let mark = format!(
                "const l = [...document.querySelectorAll('label')].find(l => l.textContent.trim().startsWith({}));
                 document.querySelectorAll('[data-here]').forEach(e => e.removeAttribute('data-here')); l.setAttribute('data-here', '');",
                json!(label)
            );
            self.browser.run(&mark).await;
            self.browser.tap("[data-here]").await;
        }
        self.browser.tap_named("That is the finish").await;
        self.browser.named("It stands, and stays put when nudged").await;
    }

    pub async fn seat(&mut self) {
        self.browser.tap_named("It stands, and stays put when nudged").await;
        self.browser.find("[data-step=gaps]").await;
    }

    pub async fn gaps(&mut self, bass: &str, treble: &str) {
        self.read_cautions().await;
        let fields =
            "const f = [...document.querySelectorAll('input.box')]; f[0].id = 'gap-bass'; f[1].id = 'gap-treble';";
        self.browser.run(fields).await;
        self.browser.type_into("#gap-bass", bass).await;
        self.browser.type_into("#gap-treble", treble).await;
        // Each is echoed before the gaps are kept, as a person waits for it.
        for shown in [bass, treble] {
            self.browser.reads_in_a_row(&format!("Understood as {} mm", shown.trim_end_matches(".0"))).await;
        }
        self.browser.tap_named("Keep these gaps").await;
        self.browser.find("[data-step=sound_up]").await;
    }

    /// Ticks these items, one after the other.
    pub async fn order(&mut self, ticks: &[&str]) {
        self.read_cautions().await;
        for tick in ticks {
            self.browser.tap(&format!("[data-tick={tick}]:not([disabled])")).await;
        }
    }

    async fn listen(&mut self, mode: &str) {
        for (number, quality) in QUALITIES.iter().enumerate() {
            let scale = format!("[data-listening={mode}] [data-quality={quality}]");
            let value = number % 5 + 1;
            self.browser.tap(&format!("{scale} label:nth-child({value})")).await;
            self.settle().await;
        }
    }
}

const SOUND_UP: [&str; 6] =
    ["dry_and_whole", "volume_at_zero", "standby", "plugged_in", "switched_on", "raised_slowly"];
const TAKE_DOWN: [&str; 6] = ["volume_down", "amp_quiet", "unplugged", "leads_free", "lifted", "finish_looked"];

/// The whole audition on a stacked pickup with coils of 6.66 kΩ, killed in the middle of each step when asked to.
pub async fn whole_audition(log: &Path, mut pages: Pages, killed: bool) -> Pages {
    macro_rules! killed_at {
        ($step:literal) => {
            if killed {
                pages.killed_and_opened_anew(log).await;
                pages.go_on($step).await;
            }
        };
    }
    pages.browser.reads("Start an audition").await;
    pages.browser.taps = 0;
    pages.choose("Lantern stack", "Wren").await;
    killed_at!("which_way");
    pages.which_way().await;
    if killed {
        pages.read_cautions().await;
        pages.browser.tap("[data-hook='0']").await;
        pages.browser.find("[data-terminal='0'] .held").await;
    }
    killed_at!("leads");
    pages.leads(usize::from(killed)).await;
    pages.measure("parallel", "3.334k", "3.334 kΩ").await;
    pages.browser.find("[data-mode=single]").await;
    killed_at!("meter");
    pages.measure("single", "6.66k", "6.66 kΩ").await;
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    pages.browser.find("[data-step=seat]").await;
    pages.finish().await;
    killed_at!("seat");
    pages.seat().await;
    killed_at!("gaps");
    pages.gaps("4.6", "3.8").await;
    if killed {
        pages.order(&SOUND_UP[..3]).await;
        pages.browser.find("[data-item=standby].done").await;
    }
    killed_at!("sound_up");
    pages.order(if killed { &SOUND_UP[3..] } else { &SOUND_UP }).await;
    pages.browser.find("[data-step=listen]").await;
    pages.read_cautions().await;
    pages.listen("parallel").await;
    pages.browser.find("[data-listening=single]").await;
    killed_at!("listen");
    pages.listen("single").await;
    pages.listen("series").await;
    pages.browser.tap_named("Take down").await;
    pages.browser.find("[data-step=take_down]").await;
    if killed {
        pages.order(&TAKE_DOWN[..1]).await;
        pages.browser.find("[data-item=volume_down].done").await;
    }
    killed_at!("take_down");
    if killed {
        pages.order(&TAKE_DOWN[1..]).await;
    } else {
        // Those that nothing hangs on are said aloud one after the other, and ticked in one act.
        pages.order(&TAKE_DOWN[..1]).await;
        pages.browser.tap("[data-together]").await;
        pages.order(&TAKE_DOWN[4..]).await;
    }
    pages.browser.reads("It is all in the logbook").await;
    pages
}

/// Reads the audition over and holds what it says against what was done.
async fn read_over(pages: &mut Pages) {
    pages.browser.tap_named("Read it over").await;
    for words in [
        "Lantern stack",
        "13.34 kΩ",
        "The readings agree with each other",
        "6.66 kΩ",
        "6.68 kΩ",
        "4.6 mm",
        "very strong",
    ] {
        pages.browser.reads(words).await;
    }
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
    let typed = pages.browser.find("input.display").await.prop("value").await.expect("a field has a value");
    assert_eq!(typed.as_deref(), Some("3.33"));
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
    let mut pages = Pages { browser, home: Home::Served(None) };
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages.which_way().await;
    pages.read_cautions().await;
    server.kill();
    pages.browser.tap("[data-hook='0']").await;
    pages.browser.reads("Not connected").await;
    let _server = Server::start_at(log.path(), port);
    pages.browser.find("[data-terminal='0'] .held").await;
    let route = pages.browser.run("return location.hash.split('/')[2]").await;
    pages.browser.route(&format!("#/past/{}", route.as_str().unwrap_or_default())).await;
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
