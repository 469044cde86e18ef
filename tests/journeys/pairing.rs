//! A phone pairs once, and nobody else gets in, here or there.

use solderlast_tests::bench::demo;
use solderlast_tests::browser::{Browser, Server};

#[tokio::test]
async fn a_phone_pairs_by_typing_the_code_and_a_used_code_is_refused() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let server = Server::start_for_phones(log.path());
    let (address, code) = server.phone.clone().expect("the door for phones was opened");

    let mut phone = Browser::phone(false).await;
    phone.goto(&address).await;
    phone.reads("Pair this phone").await;
    phone.type_into("#code", if code == "000000" { "000001" } else { "000000" }).await;
    phone.tap("button[type=submit]").await;
    phone.reads("not the code").await;
    assert!(!phone.text().await.contains("Drawer"), "an unpaired phone must not see a page");
    phone.type_into("#code", &code).await;
    phone.tap("button[type=submit]").await;
    phone.reads("Drawer").await;

    let mut other = Browser::phone(true).await;
    other.goto(&address).await;
    other.reads("Pair this phone").await;
    other.type_into("#code", &code).await;
    other.tap("button[type=submit]").await;
    other.reads("has let a phone in already").await;
    assert!(!other.text().await.contains("Drawer"), "a used code must not let anyone in");

    // Loaded anew, the paired phone is still in.
    phone.goto(&address).await;
    phone.reads("Drawer").await;
    phone.close().await;
    other.close().await;
}

#[tokio::test]
async fn a_browser_without_the_key_is_told_what_to_open() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let server = Server::start(log.path());
    let browser = Browser::phone(false).await;
    browser.goto(server.origin()).await;
    browser.reads("Open the printed address").await;
    assert!(!browser.text().await.contains("Drawer"), "whoever has no key must not see a page");
    browser.run("location.hash = '#key=' + '0'.repeat(64)").await;
    browser.reads("not the one that Solderlast printed").await;
    // The printed address, pasted over the one that is open.
    browser.goto(&server.address).await;
    browser.reads("Drawer").await;
    assert!(!browser.run("return document.cookie + location.href").await.to_string().contains(server.key()));
    browser.goto(server.origin()).await;
    browser.reads("Drawer").await;
    // Opened once more it does no harm.
    browser.goto(&server.address).await;
    browser.reads("Drawer").await;
    browser.close().await;
}

#[tokio::test]
async fn a_paired_phone_erases_with_the_code_on_the_computer_and_is_forgotten_by_name() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let server = Server::start_for_phones(log.path());
    let (address, code) = server.phone.clone().expect("the door for phones was opened");
    let mut phone = Browser::phone(false).await;
    phone.goto(&address).await;
    phone.type_into("#code", &code).await;
    phone.tap("button[type=submit]").await;
    phone.reads("Drawer").await;

    let mut desk = Browser::chromium(1100, 900, false, false).await;
    desk.goto(&server.address).await;
    desk.route("#/settings").await;
    desk.reads("last seen").await;
    let code = desk.run("return document.querySelector('.numeral [aria-hidden]').textContent").await;
    let code = code.as_str().expect("the code is shown").to_owned();

    phone.route("#/settings").await;
    phone.tap_named("Remove the demo bench").await;
    phone.tap_named("Remove it").await;
    phone.reads("Code on the computer").await;
    phone.type_into("dialog input", if code == "000000" { "000001" } else { "000000" }).await;
    phone.tap_named("Remove it").await;
    phone.reads("That is not the code").await;
    phone.type_into("dialog input", &code).await;
    phone.tap_named("Remove it").await;
    phone.reads("The demo bench is removed").await;

    desk.tap("button[aria-label^='Rename ']").await;
    desk.type_into("li input", "Ida's phone").await;
    desk.tap_named("Keep the name").await;
    desk.reads("is now called Ida's phone").await;
    desk.tap_named("Forget Ida's phone").await;
    desk.tap_named("Forget it").await;
    desk.reads("Ida's phone is forgotten").await;
    phone.goto(&address).await;
    phone.reads("Pair this phone").await;
    phone.close().await;
    desk.close().await;
}

#[tokio::test]
async fn a_photo_of_70_megabytes_meets_a_sentence() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let server = Server::start(log.path());
    let browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.reads("Drawer").await;
    let script = "const done = arguments[0];
        const path = '/photo/019a3c5f-7e00-7000-8000-000000000001/019a3c5f-7e00-7000-8000-000000000002/before';
        fetch(path, {method: 'POST', headers: {'content-type': 'image/jpeg'}, body: new Blob([new Uint8Array(70e6)])})
          .then((answer) => answer.text()).then(done, (trouble) => done(String(trouble)));";
    let answer = browser.client.execute_async(script, Vec::new()).await.expect("a script that runs");
    assert!(answer.as_str().is_some_and(|answer| answer.contains("This photo has 70 MB, and 25 MB fit")), "{answer}");
    browser.close().await;
}
