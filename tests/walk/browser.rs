//! Browsers, the server and the window, started for one journey and ended with it.

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::actions::{InputSource, MouseActions, PointerAction, TouchActions};
use fantoccini::elements::Element;
use fantoccini::error::CmdError;
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use solderlast_testkit::limits::Leash;

/// How long anything on a page may take before a journey gives up.
const PATIENCE: Duration = Duration::from_secs(20);

/// How long a journey may take at all.
const A_JOURNEY: Duration = Duration::from_mins(15);

/// Ends a program with the journey that started it, and when that waits for it for too long.
pub struct Running {
    child: Child,
    leash: Option<Leash>,
}

impl Running {
    /// Ends it at once, as a crash or an empty battery would.
    pub fn kill(&mut self) {
        // A program that has ended already can't be killed; that is as good.
        let _ = self.child.kill();
        self.leash = None;
        let _ = self.child.wait();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
    }
}

/// A program of this workspace, as `make test` built it, or for a measurement as `make bench` did.
pub fn program(name: &str) -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("../target"), PathBuf::from);
    let profile = if cfg!(debug_assertions) { "debug" } else { "release" };
    let path = target.join(profile).join(name);
    assert!(
        path.is_file(),
        "{} is not built: run `make test` or `make bench`, or `cargo build --workspace --bins` first",
        path.display()
    );
    path.canonicalize().expect("a file that is there has a path")
}

fn start(command: &mut Command) -> Running {
    let name = command.get_program().to_string_lossy().into_owned();
    let child = command.spawn();
    let child = child.unwrap_or_else(|error| panic!("{name} can't be started ({error}): .ci/install installs it"));
    let leash = Some(Leash::on(&child, A_JOURNEY));
    Running { child, leash }
}

/// Reads a program's output until a line answers `wanted`, then lets it go on unread; nothing when it ends before that.
fn line_of<T>(running: &mut Running, wanted: impl Fn(&str) -> Option<T>) -> Option<T> {
    let out = running.child.stdout.take().expect("its output was asked for");
    let mut lines = BufReader::new(out).lines();
    while let Some(Ok(line)) = lines.next() {
        if let Some(found) = wanted(&line) {
            // Somebody has to empty the pipe, or the program stops at a full one.
            std::thread::spawn(move || for _ in lines.by_ref() {});
            return Some(found);
        }
    }
    None
}

/// `solderlast serve` on a log of its own.
pub struct Server {
    running: Running,
    /// Where its pages are, with the key that lets a browser in.
    pub address: String,
    /// Where phones come in, with the code, when it was started for them.
    pub phone: Option<(String, String)>,
}

impl Server {
    /// Starts it for this computer only.
    pub fn start(log: &Path) -> Self {
        Self::start_with(log, 0, &[])
    }

    /// Starts it at this port, where another one was before.
    pub fn start_at(log: &Path, port: u16) -> Self {
        Self::start_with(log, port, &[])
    }

    /// Starts it with its door for phones open.
    pub fn start_for_phones(log: &Path) -> Self {
        Self::start_with(log, 0, &["--lan"])
    }

    fn start_with(log: &Path, port: u16, more: &[&str]) -> Self {
        let mut running = start(
            Command::new(program("solderlast"))
                .args(["serve", "--port", &port.to_string(), "--log"])
                .arg(log)
                .args(more)
                .stdout(Stdio::piped()),
        );
        let out = running.child.stdout.take().expect("its output was asked for");
        let mut lines = BufReader::new(out).lines();
        let (mut address, mut phone, mut code) = (None, None, None);
        while address.is_none() || (!more.is_empty() && code.is_none()) {
            let Some(Ok(line)) = lines.next() else { panic!("the server ended without saying where it is") };
            if let Some(rest) = line.strip_prefix("open ") {
                address = Some(rest.to_owned());
            }
            if let Some(rest) = line.strip_prefix("phone ") {
                phone = phone.or(Some(rest.to_owned()));
            }
            if let Some(rest) = line.strip_prefix("code ") {
                code = Some(rest.to_owned());
            }
        }
        std::thread::spawn(move || for _ in lines.by_ref() {});
        Self { running, address: address.unwrap_or_default(), phone: phone.zip(code) }
    }

    /// Where its pages are, without the key.
    pub fn origin(&self) -> &str {
        self.address.split_once("/#key=").map_or(self.address.as_str(), |(origin, _)| origin)
    }

    /// The key.
    pub fn key(&self) -> &str {
        self.address.split_once("/#key=").map_or("", |(_, key)| key)
    }

    /// Kills it, as a power cut would.
    pub fn kill(mut self) {
        self.running.kill();
    }
}

/// `solderlast page` on the folder that `.ci/page test` built: files, and nothing that answers.
pub struct Host {
    running: Running,
    /// Where the page is.
    pub address: String,
}

impl Host {
    /// Starts it, at this port or at any for 0.
    pub fn start(folder: &Path, port: u16) -> Self {
        let mut command = Command::new(program("solderlast"));
        command.args(["page", "--port", &port.to_string(), "--folder"]).arg(folder).stdout(Stdio::piped());
        let mut running = start(&mut command);
        let address = line_of(&mut running, |line| line.strip_prefix("open ").map(str::to_owned));
        Self { running, address: address.expect("a host that says where it is") }
    }

    /// What was built for tests.
    pub fn folder() -> PathBuf {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/page-for-tests");
        assert!(folder.join("sw.js").is_file(), "the page is not built: run `make test`, or .ci/page test, first");
        folder
    }

    /// Its port.
    pub fn port(&self) -> u16 {
        self.address.trim_end_matches('/').rsplit(':').next().and_then(|port| port.parse().ok()).unwrap_or_default()
    }

    /// Ends it: nothing answers at its address from now on.
    pub fn end(mut self) {
        self.running.kill();
    }
}

/// A browser with one page open.
pub struct Browser {
    /// The WebDriver session.
    pub client: Client,
    /// How often a finger came down.
    pub taps: usize,
    touch: bool,
    driver: Running,
    _display: Option<Running>,
    _profile: Option<tempfile::TempDir>,
}

impl Browser {
    /// Chromium at the size of a phone, with touch.
    pub async fn phone(dark: bool) -> Self {
        Self::chromium(390, 844, true, dark).await
    }

    /// Chromium at this size.
    pub async fn chromium(width: u32, height: u32, touch: bool, dark: bool) -> Self {
        let profile = tempfile::tempdir().expect("a scratch folder");
        let browser = Self::of_profile(profile.path(), [width, height], touch, dark, &[]).await;
        Self { _profile: Some(profile), ..browser }
    }

    /// Chromium at the size of a phone with a microphone that plays this file over and over; without one, no microphone is
    /// allowed. What it keeps lies in this profile.
    pub async fn hearing(profile: &Path, file: Option<&Path>) -> Self {
        let more = match file {
            Some(file) => vec![
                "--use-fake-device-for-media-stream".to_owned(),
                "--use-fake-ui-for-media-stream".to_owned(),
                format!("--use-file-for-fake-audio-capture={}", file.display()),
            ],
            None => vec!["--use-fake-device-for-media-stream".to_owned(), "--deny-permission-prompts".to_owned()],
        };
        Self::of_profile(profile, [390, 844], true, false, &more).await
    }

    /// Chromium at the size of a phone; what it keeps lies in this profile.
    pub async fn keeping(profile: &Path) -> Self {
        Self::of_profile(profile, [390, 844], true, false, &[]).await
    }

    async fn of_profile(profile: &Path, [width, height]: [u32; 2], touch: bool, dark: bool, more: &[String]) -> Self {
        let (driver, port) = chromedriver();
        let mut options = json!({
            "args": [
                "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
                format!("--user-data-dir={}", profile.display()), format!("--window-size={width},{height}"),
            ],
        });
        if let Some(args) = options["args"].as_array_mut() {
            args.extend(dark.then(|| json!("--blink-settings=preferredColorScheme=0")));
            args.extend(more.iter().map(|one| json!(one)));
        }
        if touch {
            options["mobileEmulation"] = json!({"deviceMetrics": {"width": width, "height": height, "pixelRatio": 2.0, "touch": true, "mobile": true}});
        }
        let client = session(port, json!({"browserName": "chrome", "goog:chromeOptions": options})).await;
        Self { client, taps: 0, touch, driver, _display: None, _profile: None }
    }

    /// Kills Chromium and all its helpers at once, as an empty battery would: every program that was told of this profile.
    pub fn crash(&mut self, profile: &Path) {
        self.driver.kill();
        let told = profile.display().to_string();
        let programs = std::fs::read_dir("/proc").expect("a list of programs");
        for program in programs.flatten() {
            let words = std::fs::read(program.path().join("cmdline")).unwrap_or_default();
            let is_told = String::from_utf8_lossy(&words).contains(&told);
            if let Some(pid) =
                program.file_name().to_str().filter(|name| is_told && name.bytes().all(|b| b.is_ascii_digit()))
            {
                // One that has ended by itself is as good as killed.
                let _ = Command::new("kill").args(["-9", pid]).stderr(Stdio::null()).status();
            }
        }
    }

    /// The app's own window, on a virtual display.
    pub async fn window(log: &Path) -> Self {
        Self::webkit(&program("solderlast-app"), &[], log).await
    }

    /// The plain browser that comes with WebKitGTK, on a virtual display, with more of its features switched on.
    pub async fn plain_webkit(features: &str, scratch: &Path) -> Self {
        let folders = std::fs::read_dir("/usr/lib").expect("a folder of libraries").filter_map(Result::ok);
        let browser =
            folders.map(|folder| folder.path().join("webkit2gtk-4.1/MiniBrowser")).find(|path| path.is_file());
        let browser = browser.expect("WebKitGTK's own browser: .ci/install installs it");
        Self::webkit(&browser, &["--automation", &format!("--features={features}")], scratch).await
    }

    async fn webkit(binary: &Path, args: &[&str], log: &Path) -> Self {
        let mut display = start(
            Command::new("Xvfb")
                .args(["-displayfd", "1", "-screen", "0", "1280x1000x24", "-nolisten", "tcp"])
                .stdout(Stdio::piped())
                .stderr(Stdio::null()),
        );
        let number: u32 = line_of(&mut display, |line| line.trim().parse().ok()).expect("a virtual display");
        let port = TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr()).expect("a free port").port();
        let driver = start(
            Command::new("WebKitWebDriver")
                .arg(format!("--port={port}"))
                .env("DISPLAY", format!(":{number}"))
                .env_remove("WAYLAND_DISPLAY")
                .env("SOLDERLAST_LOG", log)
                .env("XDG_DATA_HOME", log.join("of-the-app"))
                .env("XDG_CONFIG_HOME", log.join("of-the-app"))
                .env("XDG_CACHE_HOME", log.join("of-the-app"))
                .env("WEBKIT_DISABLE_COMPOSITING_MODE", "1")
                // Tauri lets a driver in only when it is told to.
                .env("TAURI_WEBVIEW_AUTOMATION", "true")
                .stdout(Stdio::null())
                .stderr(Stdio::null()),
        );
        let options = json!({"webkitgtk:browserOptions": {"binary": binary, "args": args}});
        let client = session(port, options).await;
        Self { client, taps: 0, touch: false, driver, _display: Some(display), _profile: None }
    }

    /// Ends the browser.
    pub async fn close(mut self) {
        // A session that is gone already needs no closing.
        let _ = self.client.clone().close().await;
        self.driver.kill();
    }

    /// Waits for what this CSS selector names and answers it.
    pub async fn find(&self, css: &str) -> Element {
        let begun = Instant::now();
        loop {
            if let Ok(element) = self.client.find(Locator::Css(css)).await {
                return element;
            }
            if begun.elapsed() > PATIENCE {
                self.give_up(&format!("nothing like {css}")).await;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Runs a script until it answers true: what it looks for may come later.
    pub async fn until(&self, script: &str) {
        let begun = Instant::now();
        while self.run(script).await != Value::Bool(true) {
            if begun.elapsed() > PATIENCE {
                self.give_up(&format!("never true: {script}")).await;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Whether this CSS selector names something now.
    pub async fn has(&self, css: &str) -> bool {
        self.client.find(Locator::Css(css)).await.is_ok()
    }

    /// Waits for a button or link with these words and answers it.
    pub async fn named(&self, name: &str) -> Element {
        let path = format!(
            "//*[self::button or self::a or @role='button' or @role='radio' or @role='tab' or self::summary or self::label]\
             [normalize-space(.)=\"{name}\" or @aria-label=\"{name}\"]"
        );
        let begun = Instant::now();
        loop {
            if let Ok(element) = self.client.find(Locator::XPath(&path)).await {
                return element;
            }
            if begun.elapsed() > PATIENCE {
                self.give_up(&format!("nothing called “{name}”")).await;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Waits until the page holds these words.
    pub async fn reads(&self, words: &str) {
        let begun = Instant::now();
        while !self.text().await.contains(words) {
            if begun.elapsed() > PATIENCE {
                self.give_up(&format!("the page never read “{words}”")).await;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Waits for so many seconds until the page holds these words, where it looks again by itself.
    pub async fn reads_within(&self, words: &str, seconds: u64) {
        let begun = Instant::now();
        while !self.text().await.contains(words) {
            if begun.elapsed() > Duration::from_secs(seconds) {
                self.give_up(&format!("the page never read “{words}”")).await;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
    }

    /// Waits until the page holds these words, whatever space a browser puts between them.
    pub async fn reads_in_a_row(&self, words: &str) {
        let close = |text: &str| text.split_whitespace().collect::<String>();
        let begun = Instant::now();
        while !close(&self.text().await).contains(&close(words)) {
            if begun.elapsed() > PATIENCE {
                self.give_up(&format!("the page never read “{words}”")).await;
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// All words of the page.
    pub async fn text(&self) -> String {
        let text = self.run("return document.body ? document.body.innerText : ''").await;
        text.as_str().unwrap_or_default().to_owned()
    }

    /// Taps what this CSS selector names.
    pub async fn tap(&mut self, css: &str) {
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE {
            let element = self.find(css).await;
            if self.tapped(&element).await {
                return;
            }
        }
        self.give_up(&format!("{css} is drawn anew all the time")).await;
    }

    /// Taps the button or link with these words.
    pub async fn tap_named(&mut self, name: &str) {
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE {
            let element = self.named(name).await;
            if self.tapped(&element).await {
                return;
            }
        }
        self.give_up(&format!("“{name}” is drawn anew all the time")).await;
    }

    /// Taps an element where it is, by finger on a phone.
    pub async fn tap_on(&mut self, element: Element) {
        if !self.tapped(&element).await {
            self.give_up("what was to be tapped is no longer in the page").await;
        }
    }

    /// Taps an element. A finger that came down beside it, because the page made room for something just then, comes down again,
    /// and goes back first where that led away.
    /// Answers whether it was still there: a page that was drawn anew since somebody looked has another one in its place, for which to
    /// look again.
    async fn tapped(&mut self, element: &Element) -> bool {
        for _ in 0..3 {
            let here = self.run("return location.hash").await;
            match self.finger_comes_down(element).await {
                Ok(reached) => {
                    self.taps += 1;
                    if reached {
                        return true;
                    }
                    // What came under the finger in its place may have led to another page.
                    if self.run("return location.hash").await != here {
                        self.run("history.back()").await;
                        return false;
                    }
                }
                Err(gone) if gone.to_string().contains("stale element") => {
                    tokio::time::sleep(Duration::from_millis(30)).await;
                    return false;
                }
                Err(trouble) => panic!("a finger that comes down: {trouble:?}"),
            }
        }
        self.give_up("a tap never reached what it was meant for").await
    }

    /// One tap; answers whether it reached the element.
    async fn finger_comes_down(&self, element: &Element) -> Result<bool, CmdError> {
        // Nobody taps what is still moving: it has to be in the same place for some frames.
        let script = "const element = arguments[0]; const done = arguments[1];
            window.tapReached = false;
            element.addEventListener('click', () => { window.tapReached = true; }, {once: true, capture: true});
            element.scrollIntoView({block: 'center', behavior: 'instant'});
            let place = '', still = 0, frames = 0;
            const look = () => {
              const { x, y, width } = element.getBoundingClientRect();
              const now = `${x} ${y} ${width}`;
              still = now === place ? still + 1 : 0;
              place = now;
              frames += 1;
              if (still >= 3 || frames > 60) done(); else requestAnimationFrame(look);
            };
            look();";
        let target = serde_json::to_value(element).expect("an element can be handed to a script");
        self.client.execute_async(script, vec![target]).await?;
        let down = PointerAction::Down { button: 0 };
        let up = PointerAction::Up { button: 0 };
        let to = PointerAction::MoveToElement { element: element.clone(), duration: None, x: 0., y: 0. };
        let done = if self.touch {
            let finger = TouchActions::new("finger".to_owned()).then(to).then(down).then(up);
            self.client.perform_actions(finger).await
        } else {
            let mouse = MouseActions::new("mouse".to_owned()).then(to).then(down).then(up);
            self.client.perform_actions(mouse).await
        };
        done?;
        // A page that was left does not know of it any more.
        for _ in 0..20 {
            if self.run("return window.tapReached !== false").await == Value::Bool(true) {
                return Ok(true);
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        Ok(false)
    }

    /// Types into the field that this CSS selector names, in place of what is there.
    pub async fn type_into(&mut self, css: &str, text: &str) {
        let field = self.find(css).await;
        field.clear().await.expect("a field that can be emptied");
        field.send_keys(text).await.expect("a field that can be typed into");
    }

    /// Chooses one of a list by its words, or by what they begin with.
    pub async fn choose_option(&self, label: &str, option: &str) {
        let script = format!(
            "const labels = [...document.querySelectorAll('label')].map(one => [one.textContent.trim(), document.getElementById(one.htmlFor)]);
             const [, list] = labels.find(([words]) => words === {label}) ?? labels.find(([words]) => words.startsWith({label})) ?? [];
             const options = [...(list?.options ?? [])];
             const option = options.find(one => one.text === {option}) ?? options.find(one => one.text.startsWith({option}));
             if (!option) return false;
             list.value = option.value; list.dispatchEvent(new Event('change', {{bubbles: true}})); return true;",
            label = json!(label),
            option = json!(option)
        );
        self.until(&script).await;
    }

    /// Types into a field, in place of what is there, by its label.
    pub async fn type_labelled(&self, label: &str, text: &str) {
        let script = format!(
            "const label = [...document.querySelectorAll('label')].find(one => one.textContent.trim() === {label});
             const field = label && document.getElementById(label.htmlFor);
             if (!field) return false;
             field.value = {text}; field.dispatchEvent(new Event('input', {{bubbles: true}})); return true;",
            label = json!(label),
            text = json!(text)
        );
        self.until(&script).await;
    }

    /// Runs a script in the page.
    pub async fn run(&self, script: &str) -> Value {
        self.client.execute(script, Vec::new()).await.expect("a script that runs")
    }

    /// Goes to an address. One with a key is left for the pages as soon as the key is handed over.
    pub async fn goto(&self, address: &str) {
        self.client.goto(address).await.expect("a page that opens");
        let begun = Instant::now();
        while self.client.current_url().await.is_ok_and(|url| url.fragment().is_some_and(|key| key.starts_with("key=")))
        {
            if begun.elapsed() > PATIENCE {
                self.give_up("the door never let the browser in").await;
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// A command of Chromium's own protocol.
    pub async fn pass(&self, command: &str, params: Value) {
        let passed = Passed(json!({"cmd": command, "params": params}));
        self.client.issue_cmd(passed).await.expect("a browser that takes the command");
    }

    /// Takes the knob of a range along these parts of its way, from the first to the last, with so long between two places.
    pub async fn drag(&self, css: &str, parts: &[f64], between: Duration) {
        let place = format!(
            "const knob = document.querySelector({}); knob.scrollIntoView({{block: 'center'}});
             const box = knob.getBoundingClientRect(); return [box.left, box.width, box.top + box.height / 2];",
            json!(css)
        );
        let place = self.run(&place).await;
        let [left, width, y] = [0, 1, 2].map(|at| place[at].as_f64().expect("a place on the screen"));
        let mouse = |kind: &str, part: f64| {
            let x = left + 10.0 + (width - 20.0) * part;
            json!({"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1})
        };
        let (first, last) = (parts[0], parts[parts.len() - 1]);
        self.pass("Input.dispatchMouseEvent", mouse("mousePressed", first)).await;
        for part in &parts[1..] {
            self.pass("Input.dispatchMouseEvent", mouse("mouseMoved", *part)).await;
            tokio::time::sleep(between).await;
        }
        self.pass("Input.dispatchMouseEvent", mouse("mouseReleased", last)).await;
    }

    /// Gives the window another width and height, in CSS pixels, without loading the page anew.
    pub async fn resize(&self, width: u32, height: u32) {
        let size = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true});
        self.pass("Emulation.setDeviceMetricsOverride", size).await;
    }

    /// Runs a script in the page that answers by a promise.
    pub async fn wait_for(&self, script: &str) -> Value {
        let script =
            format!("const done = arguments[arguments.length - 1]; ({script}).then(done, (why) => done(String(why)));");
        self.client.execute_async(&script, Vec::new()).await.expect("a script that ends")
    }

    /// Goes to a page of the app by its route.
    pub async fn route(&self, route: &str) {
        self.run(&format!("location.hash = {}", json!(route))).await;
    }

    async fn give_up(&self, what: &str) -> ! {
        let address = self.run("return location.href").await;
        let text = self.text().await;
        if let Some(folder) = std::env::var_os("SOLDERLAST_PICTURES")
            && let Ok(picture) = self.client.screenshot().await
        {
            let _ = std::fs::write(Path::new(&folder).join("gave-up.png"), picture);
        }
        panic!("{what}, at {address}, where it reads:\n{text}");
    }
}

/// A command that chromedriver passes on.
#[derive(Debug)]
struct Passed(Value);

impl WebDriverCompatibleCommand for Passed {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.0.to_string()))
    }
}

/// Starts chromedriver at a port of its own choice. Two that start at once can choose the same one; then one ends at once
/// and is started again.
fn chromedriver() -> (Running, u16) {
    for _ in 0..5 {
        let mut driver =
            start(Command::new("chromedriver").arg("--port=0").stdout(Stdio::piped()).stderr(Stdio::null()));
        let port =
            line_of(&mut driver, |line| line.split_once("successfully on port ")?.1.trim_end_matches('.').parse().ok());
        match port {
            Some(port) => return (driver, port),
            None => drop(driver),
        }
    }
    panic!("chromedriver ended five times without saying its port");
}

async fn session(port: u16, capabilities: Value) -> Client {
    let capabilities = capabilities.as_object().cloned().expect("capabilities are an object");
    let begun = Instant::now();
    loop {
        let mut builder = ClientBuilder::new(HttpConnector::new());
        match builder.capabilities(capabilities.clone()).connect(&format!("http://127.0.0.1:{port}")).await {
            Ok(client) => return client,
            Err(error) if begun.elapsed() > Duration::from_secs(40) => panic!("no browser came up: {error}"),
            Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
        }
    }
}
