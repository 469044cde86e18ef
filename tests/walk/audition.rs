//! A whole audition by hand, in Chromium by touch and in the app's own window: one page object for both.

use std::path::Path;
use std::time::Duration;

use serde_json::json;

use crate::browser::{Browser, Host, Server};

const QUALITIES: [&str; 8] = ["treble", "bass", "clarity", "attack", "output", "hum", "balance", "sustain"];

/// Gives the two fields of the gaps names, once they are there.
const GAP_FIELDS: &str = "const f = [...document.querySelectorAll('input.box')]; if (f.length < 2) return false;
    f[0].id = 'gap-bass'; f[1].id = 'gap-treble'; return true;";

/// Switches the network of a page off.
pub async fn offline(browser: &Browser) {
    let off = json!({"offline": true, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0});
    browser.pass("Network.enable", json!({})).await;
    browser.pass("Network.emulateNetworkConditions", off).await;
}

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
    /// A page that is a bench itself, in a browser with this profile. Nothing answers at its address any more.
    Installed {
        profile: tempfile::TempDir,
        address: String,
    },
}

impl Pages {
    /// On a phone, from a server of this log.
    pub async fn on_a_phone(log: &Path) -> Self {
        Self::opened(Server::start(log), Browser::phone(false).await).await
    }

    /// The pages of this server in this browser.
    pub async fn opened(server: Server, browser: Browser) -> Self {
        browser.goto(&server.address).await;
        Self { browser, home: Home::Served(Some(server)) }
    }

    /// In the app's own window, on this log.
    pub async fn in_the_window(log: &Path) -> Self {
        Self { browser: Browser::window(log).await, home: Home::Window }
    }

    /// The page that is a bench itself, with the demo bench on it: it was loaded once, then the host ended and the network was
    /// switched off.
    pub async fn installed() -> Self {
        let profile = tempfile::tempdir().expect("a scratch folder");
        let host = Host::start(&Host::folder(), 0);
        let mut browser = Browser::keeping(profile.path()).await;
        browser.goto(&host.address).await;
        browser.tap_named("Load the demo bench").await;
        browser.reads("Start an audition").await;
        let kept = "navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)";
        for _ in 0..100 {
            if browser.wait_for(kept).await == json!(true) {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        assert_eq!(browser.wait_for(kept).await, json!(true), "what keeps the files is there");
        let address = host.address.clone();
        host.end();
        offline(&browser).await;
        browser.goto(&address).await;
        Self { browser, home: Home::Installed { profile, address } }
    }

    /// The pages in a browser, of a server that is somebody else's to kill.
    #[must_use]
    pub fn beside(browser: Browser) -> Self {
        Self { browser, home: Home::Served(None) }
    }

    /// Kills the server of the pages, as a power cut would; what needs none is left alone.
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
    pub async fn killed_and_opened_anew(&mut self, log: &Path) {
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
            Home::Installed { profile, address } => {
                self.browser.crash(profile.path());
                self.browser = Browser::keeping(profile.path()).await;
                offline(&self.browser).await;
                self.browser.goto(address).await;
            }
        }
        self.browser.taps = taps;
        self.browser.route("#/bench").await;
    }

    /// Goes on where the Bench says.
    pub async fn go_on(&mut self, step: &str) {
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
            let busy = self.browser.run("return document.querySelector('[data-busy=true]') !== null").await;
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

    /// Says which way round the pickup lies: rolled over.
    pub async fn which_way(&mut self) {
        self.read_cautions().await;
        self.browser.tap_named("Roll it over").await;
        self.browser.reads("Right way round").await;
        self.browser.tap_named("It lies like this").await;
        self.browser.find("[data-step=leads]").await;
    }

    /// Hooks up the leads from this terminal on.
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

    /// Tells about the finish.
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

    /// Seats the rig.
    pub async fn seat(&mut self) {
        self.browser.tap_named("It stands, and stays put when nudged").await;
        self.browser.find("[data-step=gaps]").await;
    }

    /// Keeps these gaps, in millimetres.
    pub async fn gaps(&mut self, bass: &str, treble: &str) {
        self.read_cautions().await;
        self.type_gaps(bass, treble).await;
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

    /// Rates every quality in a mode.
    pub async fn listen(&mut self, mode: &str) {
        for (number, quality) in QUALITIES.iter().enumerate() {
            let scale = format!("[data-listening={mode}] [data-quality={quality}]");
            let value = number % 5 + 1;
            self.browser.tap(&format!("{scale} label:nth-child({value})")).await;
            self.settle().await;
        }
    }
}

impl Pages {
    /// Opens a part of the page that is folded away, by its title.
    pub async fn unfold(&mut self, title: &str) {
        let mark = format!(
            "document.querySelectorAll('[data-here]').forEach(e => e.removeAttribute('data-here'));
             const s = [...document.querySelectorAll('summary')].find(s => s.textContent.includes({}));
             if (s) {{ s.setAttribute('data-here', ''); return true; }} return false;",
            json!(title)
        );
        assert_eq!(self.browser.run(&mark).await, json!(true), "nothing folded away is called “{title}”");
        self.browser.tap("[data-here]").await;
    }

    /// Types the gaps in, without keeping them.
    pub async fn type_gaps(&mut self, bass: &str, treble: &str) {
        self.browser.until(GAP_FIELDS).await;
        self.browser.type_into("#gap-bass", bass).await;
        self.browser.type_into("#gap-treble", treble).await;
    }
}

/// The stop list before the sound comes up.
pub const SOUND_UP: [&str; 6] =
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
    pages.browser.tap("[data-next-mode]").await;
    pages.browser.find("[data-listening=single]").await;
    killed_at!("listen");
    pages.listen("single").await;
    pages.browser.tap("[data-next-mode]").await;
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
