//! A phone pairs once, and nobody else gets in.

use crate::browser::{Browser, Server};

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
