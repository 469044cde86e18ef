//! How hard the safety texts are to read, measured by GNU style (Debian package diction): the Flesch-Kincaid grade, which
//! is the year of US school that a reader needs. Grade 8 is the limit; one text is short, so the sum of each part of the
//! catalogue is kept well below it too.

#[path = "program.rs"]
mod program;

use solderlast_core::audition::Question;
use solderlast_core::cautions::catalogue::CATALOGUE;
use solderlast_core::cautions::{SignalWord, WHO_DECIDES};
use solderlast_core::finish::{HOW_TO_LOOK, WHERE_TO_TRY};
use solderlast_core::hearing::{LOUDNESS, PEAKS};
use solderlast_core::holds::SafetyHold;
use solderlast_core::stop_lists::StopList;

const MOST: f64 = 8.0;
const MOST_OF_A_PART: f64 = 6.0;

fn grade(text: &str) -> f64 {
    let answer = program::answer("style", &[], text, "diction (Debian), which has GNU style");
    answer
        .lines()
        .find_map(|line| line.trim().strip_prefix("Kincaid:"))
        .and_then(|number| number.trim().parse().ok())
        .unwrap_or_else(|| unreachable!("no grade for {text:?} in {answer}"))
}

#[test]
fn the_measure_itself() {
    assert!(grade("The cat sat on the mat. It was a good mat.") < 2.0);
    let hard = "Notwithstanding the aforementioned considerations, electromagnetic transducers necessitate \
                extraordinarily conscientious preliminary investigation prior to permanent installation.";
    assert!(grade(hard) > 15.0);
}

#[test]
fn every_caution() {
    let (mut worst, mut hardest) = (f64::MIN, "");
    for (title, cautions) in CATALOGUE {
        let mut part = String::new();
        for caution in cautions {
            let text = format!("{} {} {}", caution.hazard, caution.harm, caution.avoid);
            let grade = grade(&text);
            assert!(grade <= MOST, "{}: grade {grade}: {text}", caution.id);
            if grade > worst {
                (worst, hardest) = (grade, caution.id);
            }
            part.push_str(&text);
            part.push('\n');
        }
        let of_part = grade(&part);
        println!("{title}: grade {of_part}");
        assert!(of_part <= MOST_OF_A_PART, "{title}: grade {of_part}");
    }
    println!("hardest caution: {hardest}, grade {worst}");
}

#[test]
fn holds_lists_and_the_rest() {
    let mut texts = vec![
        ("who decides", WHO_DECIDES.to_owned()),
        ("peaks", PEAKS.to_owned()),
        ("where to try", WHERE_TO_TRY.to_owned()),
        ("how to look", HOW_TO_LOOK.join(" ")),
        ("signal words", SignalWord::ALL.map(SignalWord::meaning).join(" ")),
        ("questions about the bench", Question::ALL.map(Question::asked).join(" ")),
        ("loudness", LOUDNESS.map(|(loudness, ..)| format!("{}.", loudness.in_words())).join(" ")),
    ];
    texts.extend(SafetyHold::ALL.map(|hold| (hold.id(), format!("{} {}", hold.reason(), hold.clears()))));
    for list in StopList::ALL {
        let items = list.items().iter().map(|item| format!("{} {}", item.say, item.why));
        texts.push((list.title(), items.collect::<Vec<_>>().join(" ")));
    }
    for (what, text) in texts {
        let grade = grade(&text);
        println!("{what}: grade {grade}");
        assert!(grade <= MOST, "{what}: grade {grade}: {text}");
    }
}
