use super::*;
use crate::guitar::FinishKind;
use crate::rig::Feet;

#[test]
fn ids_are_unique_and_plain() {
    let mut seen = std::collections::BTreeSet::new();
    for caution in catalogue::all() {
        assert!(seen.insert(caution.id), "{} is there twice", caution.id);
        assert!(caution.id.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", caution.id);
        assert_eq!(named(caution.id), Some(caution));
    }
    assert_eq!(named("no-such-caution"), None);
}

#[test]
fn worst_first() {
    let list = at(&Situation { moment: Some(Moment::SoundUp), ..Situation::default() });
    assert_eq!(list.first().map(|caution| caution.word), Some(SignalWord::Danger));
    assert!(list.windows(2).all(|pair| pair[0].word <= pair[1].word));
}

#[test]
fn acknowledged_until_the_cause_changes() {
    let mut bench = Situation {
        moment: Some(Moment::Seat),
        finish: Some(FinishKind::Lacquer),
        feet: Some(Feet::Pads),
        barrier: Some(false),
        ..Situation::default()
    };
    let rubber = |bench: &Situation, read_for: Option<&str>| {
        views(bench, |id| if id == "rubber-on-lacquer" { read_for } else { None })
            .into_iter()
            .find(|view| view.id == "rubber-on-lacquer")
    };
    let first = rubber(&bench, None).expect("applies");
    assert!(!first.acknowledged);
    assert!(rubber(&bench, Some(&first.cause)).expect("applies").acknowledged);
    bench.little_ones = Some(true);
    assert!(rubber(&bench, Some(&first.cause)).expect("applies").acknowledged, "not its cause");
    bench.feet = Some(Feet::Suction);
    assert!(!rubber(&bench, Some(&first.cause)).expect("applies").acknowledged, "other feet");
    bench.barrier = Some(true);
    assert_eq!(rubber(&bench, Some(&first.cause)), None);
}

#[test]
fn the_signal_word_is_heard_first() {
    for view in views(&Situation::default(), |_| None) {
        assert!(view.spoken.starts_with(&format!("{}. ", view.word_shown)), "{}", view.spoken);
    }
}
