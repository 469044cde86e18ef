//! Geometry by hand: a staggered pickup that was laid into a face-down rig the wrong way is caught and mended, its gaps
//! are set to those of an earlier audition, and its place is compared with the one where it will be installed.

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::demo;

#[tokio::test]
async fn a_wrong_mounting_is_mended_gaps_are_matched_and_places_compared() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.reads("Start an audition").await;
    pages.choose("Lantern stack", "Wren").await;
    pages.read_cautions().await;

    // Turned end over end it hangs face down, but the wrong way round for its stagger.
    pages.browser.reads("Does yours lie like this").await;
    // A tap on the picture rolls it over, and back again; the words answer.
    pages.browser.tap(".hands").await;
    pages.browser.reads("Right way round").await;
    pages.browser.tap(".hands").await;
    pages.browser.reads("Its back is to the strings").await;
    pages.browser.tap_named("Turn end over end").await;
    pages.unfold("Lying like this").await;
    pages.browser.reads("bass poles are over treble strings").await;
    pages.browser.reads("Turn it flat by half a turn").await;
    pages.browser.tap_named("Write it down as it lies").await;
    pages.settle().await;
    pages.browser.reads("Pickup turned end over end, bass end over the treble strings").await;
    assert!(pages.browser.has("[data-step=which_way]").await, "a wrong mounting must not go on by itself");
    // The turn that was told mends it; and what no turn can mend is said.
    pages.browser.tap_named("Turn flat").await;
    pages.browser.reads("Right way round").await;
    pages.unfold("Before you listen").await;
    for words in [
        "Right way round",
        "each meets the string it is made for",
        "Its edges have changed places",
        "sign is turned over against the installed pickup",
        "No turn can mend all",
    ] {
        pages.browser.reads(words).await;
    }
    pages.browser.tap_named("It lies like this").await;
    pages.browser.find("[data-step=leads]").await;

    pages.leads(0).await;
    pages.measure("parallel", "3.334k", "3.334 kΩ").await;
    pages.measure("single", "6.66k", "6.66 kΩ").await;
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    pages.browser.find("[data-step=seat]").await;
    pages.finish().await;
    pages.seat().await;

    // The gaps of the audition that is in the logbook already: 4.4 and 3.6 mm from the open strings.
    pages.read_cautions().await;
    pages.type_gaps("5.4", "4.5").await;
    pages.browser.tap_named("Show me the turns").await;
    pages.browser.reads("To the middle of the starting range").await;
    pages.unfold("Match an earlier audition").await;
    pages.browser.reads("bass 4.4 mm, treble 3.6 mm").await;
    pages.browser.tap("[data-earlier]").await;
    pages.browser.reads("To the gaps of the earlier audition").await;
    pages.browser.reads("Not matched yet").await;
    pages.browser.reads("1 mm farther at the bass side, 0.9 mm farther at the treble side").await;
    // 1.03 and 0.87 mm at studs 80 mm apart, 0.7 mm a turn: twelve eighths and ten.
    pages.browser.reads("1 and one half turns, lowering").await;
    pages.browser.reads("1 and one quarter turns, lowering").await;
    pages.type_gaps("4.4", "3.7").await;
    // Turns from other gaps than the fields say would lead onto the poles.
    pages.browser.reads("For these gaps, tap").await;
    assert!(!pages.browser.text().await.contains("turns, lowering"), "turns of other gaps stand there");
    pages.browser.tap_named("Keep these gaps").await;
    pages.browser.find("[data-step=sound_up]").await;
    let audition = pages.browser.run("return location.hash.split('/')[2]").await;
    let audition = audition.as_str().unwrap_or_default().to_owned();
    pages.browser.route(&format!("#/audition/{audition}/gaps")).await;
    pages.browser.reads("a fair comparison").await;

    // So near that nothing can be judged: a caution says so.
    pages.type_gaps("1.2", "1").await;
    pages.browser.tap_named("Show me the turns").await;
    pages.browser.reads("a hard stroke can hit a pole").await;
    pages.browser.reads("the magnets pull the strings").await;
    pages.type_gaps("4.4", "3.7").await;
    pages.browser.tap_named("Keep these gaps").await;
    pages.browser.find("[data-step=sound_up]").await;

    pages.browser.route(&format!("#/audition/{audition}/choose")).await;
    pages.browser.reads("What this place can hear").await;
    pages.unfold("What this place can hear").await;
    pages.browser.reads("what you hear is heard from where it will be").await;
    pages.browser.choose_option("It will be installed", "bridge").await;
    for words in [
        "Installed it hears 41 mm from the saddle, 121 mm nearer the bridge than in the rig",
        "In the rig the first harmonic it can't hear is number 4",
        "thinner and brighter",
        "Harmonic 4 is silent in the rig",
    ] {
        pages.browser.reads(words).await;
    }
    pages.browser.choose_option("Pressed at", "fret 12").await;
    pages.browser.reads("In the rig the first harmonic it can't hear is number 2").await;
    pages.browser.tap_named("Write the final place down").await;
    pages.browser.reads("Written: Final place: bridge, 41 mm from the saddle").await;
    pages.browser.close().await;
}
