//! The page that is a bench itself, in Chromium at the size of a phone: loaded once, then without a host and without a network.

use solderlast_tests::audition::{Pages, whole_audition};

#[tokio::test]
async fn a_whole_audition_offline_killed_in_the_middle_of_every_step() {
    let nowhere = tempfile::tempdir().expect("a scratch folder");
    let pages = Pages::installed().await;
    let mut pages = whole_audition(nowhere.path(), pages, true).await;
    pages.browser.tap_named("Read it over").await;
    for words in
        ["Lantern stack", "13.34 kΩ", "The readings agree with each other", "6.66 kΩ", "6.68 kΩ", "very strong"]
    {
        pages.browser.reads(words).await;
    }
    pages.browser.close().await;
}
