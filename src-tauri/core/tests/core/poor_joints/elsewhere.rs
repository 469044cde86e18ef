//! Readings taken with the selector or the mode switch in another position than asked, and a mode switch that works the other
//! way round.

use super::*;

/// How everything really stood for a reading by its place among the positions, and as it was meant.
type Stood = dyn Fn(usize, &JackSet) -> JackSet;

/// How a bench went wrong: which set each reading was really taken in.
struct Slip {
    cause: Vec<InstallCause>,
    stood: Box<Stood>,
    /// It stays so, however often it is measured.
    stays: bool,
}

/// Every slip of one guitar, as told on a bench.
fn slips(guitar: &Guitar, asked: &[JackProbe]) -> Vec<Slip> {
    let mut all = Vec::new();
    let new = |set: &JackSet| {
        let position = guitar.path.positions.iter().find(|position| position.name == set.selector);
        position.is_some_and(|position| position.places.iter().any(|place| place == "bridge"))
    };
    let switches: Vec<String> = if guitar.wiring.selector.is_some() {
        Vec::new()
    } else {
        guitar.wiring.positions.iter().map(|position| position.name.clone()).collect()
    };
    for (at, probe) in asked.iter().enumerate() {
        let set = probe.set().clone();
        for to in switches.iter().filter(|to| **to != set.switch && new(&set)) {
            let (reading, stood, to) = (set.clone(), to.clone(), to.clone());
            all.push(Slip {
                cause: vec![InstallCause::SwitchElsewhere { reading, stood }],
                stood: Box::new(move |of, set| {
                    let switch = if of == at { to.clone() } else { set.switch.clone() };
                    JackSet { switch, ..set.clone() }
                }),
                stays: false,
            });
        }
        for to in guitar.path.positions.iter().map(|position| &position.name).filter(|to| **to != set.selector) {
            let (reading, stood, to) = (set.clone(), to.clone(), to.clone());
            all.push(Slip {
                cause: vec![InstallCause::SelectorElsewhere { reading, stood }],
                stood: Box::new(move |of, set| {
                    let selector = if of == at { to.clone() } else { set.selector.clone() };
                    JackSet { selector, ..set.clone() }
                }),
                stays: false,
            });
        }
    }
    for to in guitar.path.positions.iter().map(|position| position.name.clone()) {
        all.push(Slip {
            cause: vec![InstallCause::SelectorLeft { stood: to.clone() }],
            stood: Box::new(move |_, set| JackSet { selector: to.clone(), ..set.clone() }),
            stays: false,
        });
    }
    for (place, to) in switches.iter().enumerate() {
        let stood = to.clone();
        all.push(Slip {
            cause: vec![InstallCause::SwitchLeft { stood: to.clone() }],
            stood: Box::new(move |_, set| JackSet { switch: stood.clone(), ..set.clone() }),
            stays: false,
        });
        for other in &switches[..place] {
            let (a, b) = (other.clone(), to.clone());
            all.push(Slip {
                cause: vec![InstallCause::SwitchExchanged { positions: [a.clone(), b.clone()] }],
                stood: Box::new(move |_, set| {
                    let switch = if set.switch == a {
                        b.clone()
                    } else if set.switch == b {
                        a.clone()
                    } else {
                        set.switch.clone()
                    };
                    JackSet { switch, ..set.clone() }
                }),
                stays: true,
            });
        }
    }
    all
}

/// What is read with everything standing like this, written down as another set.
fn read_as(guitar: &Guitar, chance: &mut Chance, probe: &JackProbe, stood: &JackSet) -> JackTaken {
    let there = match probe.clone() {
        JackProbe::Jack { .. } => JackProbe::Jack { set: stood.clone() },
        other => other,
    };
    JackTaken { probe: probe.clone(), reading: read(guitar, chance, &Fault::default(), &there).reading }
}

/// Whatever reading was taken in whichever other position: never passed while off, never put down to another cause for sure,
/// named among the causes, and what is asked for next settles it: set and measured again, all reads well or the cause is named.
#[test]
fn a_reading_in_another_position_is_named_and_measured_again() {
    a_reading_in_another_position(Guitar::new);
}

pub(super) fn a_reading_in_another_position(make: Make) {
    let mut chance = Chance(417);
    let (mut off, mut shown, mut settled, mut surely_wrong, mut again) = (0, 0, 0, 0, [0, 0]);
    for _ in 0..2 * installs() {
        let guitar = make(&mut chance);
        let asked = positions(&guitar);
        for slip in slips(&guitar, &asked) {
            let mut taken: Vec<JackTaken> = asked
                .iter()
                .enumerate()
                .map(|(at, probe)| read_as(&guitar, &mut chance, probe, &(slip.stood)(at, probe.set())))
                .collect();
            let mut found = prove(&guitar.install(), &taken);
            let astray = found.readings.iter().filter(|line| line.agrees == Some(false)).count();
            if astray == 0 {
                continue;
            }
            off += 1;
            let what = format!("{:?}", slip.cause);
            assert!(!matches!(found.kind, DiagnosisKind::AllWell | DiagnosisKind::NotEnough), "{what}: {found:#?}");
            // Where one reading only shows it, that one alone stood elsewhere.
            let names_it = |found: &Proof| {
                let right = |causes: &Vec<InstallCause>| {
                    *causes == slip.cause
                        || matches!(
                            (slip.cause.as_slice(), causes.as_slice()),
                            ([InstallCause::SwitchLeft { .. }], [InstallCause::SwitchElsewhere { .. }])
                                | ([InstallCause::SelectorLeft { .. }], [InstallCause::SelectorElsewhere { .. }])
                        )
                };
                found.ranked.iter().any(|one| right(&one.causes) || one.alike_causes.iter().any(right))
            };
            shown += usize::from(names_it(&found));
            let mut named = names_it(&found);
            for _ in 0..asked.len() + 4 {
                let Some(next) = found.next.clone() else { break };
                if taken.iter().any(|taken| taken.probe == next.probe) {
                    again[0] += 1;
                    again[1] += usize::from(next.sentence.starts_with("Once more, each switch set until it clicks."));
                }
                let set = next.probe.set().clone();
                let stood = if slip.stays { (slip.stood)(usize::MAX, &set) } else { set };
                taken.push(read_as(&guitar, &mut chance, &next.probe, &stood));
                found = prove(&guitar.install(), &taken);
                named |= names_it(&found);
            }
            let well = found.readings.iter().all(|line| line.agrees != Some(false));
            let sure =
                found.ranked.first().is_some_and(|first| first.how_sure == "almost sure" && !first.causes.is_empty());
            surely_wrong += usize::from(!well && sure && !names_it(&found));
            settled += usize::from(well || named);
        }
    }
    println!("{off} off, {shown} named at once, {settled} settled, {surely_wrong} surely wrong, asked again {again:?}");
    assert!(off > 40, "{off}");
    assert!(shown * 100 >= off * 85, "{shown} of {off}");
    assert!(settled * 100 >= off * 97, "{settled} of {off}");
    assert!(surely_wrong * 100 <= off, "{surely_wrong} of {off}");
    assert!(again[0] > 0 && again[0] == again[1], "{again:?}");
}

/// The bench of a newcomer: a push-pull pot for series and parallel, never pulled. Two readings of four are off.
#[test]
fn a_pot_that_was_never_pulled() {
    let mut chance = Chance(9);
    let (guitar, asked) = loop {
        let guitar = Guitar::new(&mut chance);
        let asked = positions(&guitar);
        if guitar.wiring.positions.len() == 2 && guitar.path.positions.len() > 1 {
            break (guitar, asked);
        }
    };
    let stood = guitar.wiring.positions[0].name.clone();
    let taken: Vec<JackTaken> = asked
        .iter()
        .map(|probe| read_as(&guitar, &mut chance, probe, &JackSet { switch: stood.clone(), ..probe.set().clone() }))
        .collect();
    let found = prove(&guitar.install(), &taken);
    assert!(names(&found, &InstallCause::SwitchLeft { stood: stood.clone() }), "{found:#?}");
    assert!(
        found.sentence.contains(&format!("the mode switch stood on {stood} for all that is off")),
        "{}",
        found.sentence
    );
    // A wire that is missing would read so too: the cheapest that tells is that reading once more, set as it says.
    let next = found.next.expect("two causes are left");
    assert!(taken.iter().any(|taken| taken.probe == next.probe), "{next:?}");
    assert!(next.sentence.starts_with("Once more, each switch set until it clicks."), "{}", next.sentence);
}
