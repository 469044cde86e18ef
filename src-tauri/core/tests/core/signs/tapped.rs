//! Taps and compass marks of two coils whose ends and poles are known here: what they come to, by signs.

use solderlast_core::physics::leads::{CompassMark, Marks, senses};
use solderlast_core::record::leads::{CoilLeads, Contact, Swing, Tap};
use solderlast_core::record::pickup::{CoilEnd, CoilName, Construction, End, Polarity};
use solderlast_core::record::quantity::Ohms;

use super::{chance, rounds};

/// How the needle goes for a coil that swings to plus at the plus probe, or to minus there.
fn swing(to_plus: bool, small: bool) -> Swing {
    match (to_plus, small) {
        (true, false) => Swing::Up,
        (false, false) => Swing::Down,
        (true, true) => Swing::UpSmall,
        (false, true) => Swing::DownSmall,
    }
}

/// Each end and each pole is told where a tap or a compass told it, and as it is; hum is what the signs add up to once the coils are
/// joined as they should be; and one answer that is the wrong way round is never believed beside a right one.
#[test]
fn taps_and_a_compass_come_to_the_ends_the_poles_and_the_hum_that_are_there() {
    let mut chance = chance(5);
    let (mut whole, mut contradicted, mut cancelled, mut added) = (0, 0, 0, 0);
    for round in 0..rounds(3000) {
        let construction = chance.of(&[
            Construction::SideBySide,
            Construction::SoapBar,
            Construction::Rail,
            Construction::Mini,
            Construction::Stacked,
        ]);
        let stacked = construction == Construction::Stacked;
        // The leads of each coil, its plus end first.
        let names =
            [["moss", "rust"], ["slate", "chalk"]].map(|pair| if chance.flip() { [pair[1], pair[0]] } else { pair });
        let north = chance.flip();
        let up = [north, if stacked { north } else { chance.flip() }];
        let ohms = chance.flip().then(|| [0, 1].map(|_| chance.in_ratio(2000.0, 9000.0)));
        let (mut taps, mut compass, mut coils) = (Vec::new(), Vec::new(), Vec::new());
        let (mut tapped, mut marked, mut lie) = ([false; 2], [false; 2], false);
        for (at, coil) in [CoilName::A, CoilName::B].into_iter().enumerate() {
            let [plus, minus] = names[at].map(Contact::from);
            let between = if chance.flip() { [plus.clone(), minus.clone()] } else { [minus.clone(), plus.clone()] };
            coils.push(CoilLeads { coil, between });
            for _ in 0..chance.below(3) {
                let on_plus = chance.flip();
                let seen = chance.below(8) > 0;
                // A second one is the wrong way round, now and then.
                let wrong = seen && tapped[at] && chance.below(6) == 0;
                lie |= wrong;
                let [on, other] = if on_plus { [&plus, &minus] } else { [&minus, &plus] };
                let swing = if seen { swing(on_plus != wrong, stacked && at == 1) } else { Swing::Nothing };
                taps.push(Tap { plus: on.clone(), minus: other.clone(), swing });
                tapped[at] |= seen;
            }
            for _ in 0..chance.below(3) {
                let wrong = marked[at] && chance.below(6) == 0;
                lie |= wrong;
                compass.push(CompassMark { coil, up: if up[at] != wrong { Polarity::North } else { Polarity::South } });
                marked[at] = true;
            }
        }
        // No path joins the coils, so a tap across them shows nothing.
        if chance.flip() {
            let [one, other] = [names[0][0], names[1][1]].map(Contact::from);
            taps.push(Tap { plus: one, minus: other, swing: Swing::Nothing });
        }
        let marks = Marks {
            construction,
            coils,
            taps,
            compass,
            ohms: ohms.map(|ohms| ohms.map(Ohms).to_vec()).unwrap_or_default(),
        };
        let found = senses(&marks);
        let said = format!("{round}: {marks:#?}\n{found:#?}");
        assert_eq!(!found.contradictions.is_empty(), lie, "{said}");
        if lie {
            contradicted += 1;
            assert!(!found.sure && found.leads.is_empty() && found.cancels_hum.is_none(), "{said}");
            continue;
        }
        assert_eq!(found.sure, tapped == [true; 2], "{said}");
        for (at, coil) in found.coils.iter().enumerate() {
            let ends = tapped[at].then(|| names[at].map(Contact::from));
            assert_eq!(
                (coil.plus.clone(), coil.minus.clone()),
                ends.map(|[plus, minus]| (plus, minus)).unzip(),
                "{said}"
            );
            let pole = if up[at] { Polarity::North } else { Polarity::South };
            assert_eq!(coil.magnet_up, marked[at].then_some(pole), "{said}");
            for (name, end) in names[at].into_iter().zip([End::Plus, End::Minus]) {
                let told: Vec<CoilEnd> = found
                    .leads
                    .iter()
                    .filter(|lead| lead.name.as_str() == name)
                    .flat_map(|lead| lead.ends.clone())
                    .collect();
                let is = CoilEnd { coil: coil.coil, end };
                assert_eq!(told, if tapped[at] { vec![is] } else { Vec::new() }, "{said}");
            }
        }
        // Joined so that they add for the strings, each catches hum by its pole; round one magnet they are turned against each other.
        let known = if stacked { tapped } else { marked } == [true; 2];
        let sense = |at: usize| {
            if stacked {
                [1.0, -1.0][at]
            } else if up[at] {
                1.0
            } else {
                -1.0
            }
        };
        let left = |turns: [f64; 2]| (sense(0) * turns[0] + sense(1) * turns[1]).abs() / (turns[0] + turns[1]);
        let left = left([1.0; 2]).max(ohms.map_or(0.0, left));
        assert_eq!(found.cancels_hum, known.then_some(left <= 0.25), "{said}");
        whole += usize::from(found.sure && known);
        cancelled += usize::from(found.cancels_hum == Some(true));
        added += usize::from(found.cancels_hum == Some(false));
    }
    assert!(
        whole > 100 && contradicted > 50 && cancelled > 50 && added > 50,
        "{whole} {contradicted} {cancelled} {added}"
    );
}
