//! Which pole is up, by a phone's field sensor. Chromium has none here: one that reads what the test says takes its place.

use serde_json::{Value, json};

use solderlast_tests::bench::{name, seeded};
use solderlast_tests::browser::{Browser, Server};

/// Reads the earth's field, and with `comes(µT)` a magnet that comes to the upper edge within three seconds; with `lies(µT)` it is there.
const SENSOR: &str = "
  let [most, since] = [0, 0];
  globalThis.comes = (strong) => { [most, since] = [strong, performance.now()]; };
  globalThis.lies = (strong) => { [most, since] = [strong, -1e6]; };
  globalThis.Magnetometer = class extends EventTarget {
    start() {
      this.timer = setInterval(() => {
        const near = Math.min((performance.now() - since) / 3000, 1) ** 3;
        [this.x, this.y, this.z] = [4, 21 - most * near, -41];
        this.dispatchEvent(new Event('reading'));
      }, 50);
    }
    stop() { clearInterval(this.timer); }
  };";

async fn until(browser: &Browser, script: &str) {
    for _ in 0..200 {
        if browser.run(script).await == Value::Bool(true) {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(40)).await;
    }
    panic!("{script} never came true: {}", browser.text().await);
}

/// Taps until a compass is asked for.
async fn up_to_the_compass(browser: &mut Browser) {
    browser.route(&format!("#/leads/{}", name("pickup"))).await;
    browser.tap("[data-as-recorded]").await;
    browser.find("[data-task]:not([data-task=begin])").await;
    while !browser.has("[data-task=compass]").await {
        browser.find("[data-task=tap]:not(:has(button:disabled))").await;
        let before = browser.run("return document.querySelector('.lead').textContent").await;
        browser.tap_named("To plus").await;
        until(browser, &format!("return document.querySelector('.lead')?.textContent !== {before}")).await;
    }
}

#[tokio::test]
async fn a_phones_field_sensor_tells_the_pole() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    up_to_the_compass(&mut browser).await;
    let fold = "Or by this phone's field sensor";
    assert!(!browser.text().await.contains(fold), "there is no sensor");

    browser.pass("Page.enable", json!({})).await;
    browser.pass("Page.addScriptToEvaluateOnNewDocument", json!({"source": SENSOR})).await;
    // Another address with the same page in it would not load it anew.
    browser.client.refresh().await.expect("a page that loads");
    browser.tap_named(fold).await;
    browser.reads("Lay the phone flat").await;
    browser.tap_named("It lies still: measure").await;
    browser.reads("Bring the pole that you know").await;
    // It was laid down somewhere else meanwhile.
    browser.run("lies(300)").await;
    browser.tap_named("Begin, then bring it").await;
    browser.reads("It was near already").await;
    browser.run("lies(0)").await;
    browser.tap_named("Begin, then bring it").await;
    browser.find("meter").await;
    browser.run("comes(300)").await;
    browser.reads("Take that magnet").await;
    browser.run("lies(0)").await;
    browser.tap_named("Begin, then bring it").await;
    browser.find("meter").await;
    browser.run("comes(-300)").await;
    browser.reads("South faces the phone").await;
    browser.tap_named("Write down: south faces the strings").await;
    until(&browser, "return document.querySelector('[data-pole=told]') === null").await;
    let said = browser
        .run("return [...document.querySelectorAll('details li')].some(one => /south/i.test(one.textContent))")
        .await;
    assert_eq!(said, Value::Bool(true), "{}", browser.text().await);
    browser.close().await;
}
