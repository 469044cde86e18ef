//! Hookups of four-lead, three-lead, one-coil, braided and three-coil pickups.

use proptest::prelude::*;

use super::*;
use crate::leads::Phase;
use crate::record::pickup::{Coil, CoilEnd, Construction, End, Lead, Polarity, Shield, ShieldKind};

fn pickup(construction: Construction, magnets: &[Option<Polarity>], leads: &[(&str, &[(CoilName, End)])]) -> Pickup {
    Pickup {
        coils: magnets
            .iter()
            .zip(CoilName::ALL)
            .map(|(magnet_up, name)| Coil { name, stated: None, magnet_up: *magnet_up })
            .collect(),
        leads: leads
            .iter()
            .map(|(name, ends)| Lead {
                name: (*name).into(),
                ends: ends.iter().map(|(coil, end)| CoilEnd { coil: *coil, end: *end }).collect(),
            })
            .collect(),
        shield: Shield { kind: ShieldKind::BareWire, joined_to: None },
        ..Pickup::new("under test", construction)
    }
}

use crate::record::quantity::Ohms;
use CoilName::{A, B, C};
use End::{Minus, Plus};
const NORTH: Option<Polarity> = Some(Polarity::North);
const SOUTH: Option<Polarity> = Some(Polarity::South);
const FOUR: [(&str, &[(CoilName, End)]); 4] =
    [("moss", &[(A, Plus)]), ("rust", &[(A, Minus)]), ("slate", &[(B, Minus)]), ("chalk", &[(B, Plus)])];

fn in_order(map: &HookupMap) -> Vec<String> {
    map.places.iter().map(|place| place.leads.iter().map(Contact::as_str).collect::<Vec<_>>().join("+")).collect()
}

fn phases(map: &HookupMap) -> Vec<(Phase, Option<bool>)> {
    map.modes.iter().map(|mode| (mode.strings, mode.cancels_hum)).collect()
}

#[test]
fn side_by_side_strings_lead_and_opposite_magnets_cancel_hum() {
    let rig = Rig::four_terminal("rig");
    let map = hookup(&pickup(Construction::SideBySide, &[NORTH, SOUTH], &FOUR), &rig);
    assert_eq!(in_order(&map), ["rust+shield", "moss", "slate", "chalk"]);
    let both = (Phase::InPhase, Some(true));
    assert_eq!(phases(&map), [both, (Phase::OneCoil, Some(false)), both]);
    assert_eq!(
        map.install,
        [
            "parallel: rust, shield and slate to ground; moss and chalk to the switch or the hot.",
            "single: rust and shield to ground; moss to the switch or the hot; slate folded back and insulated; chalk folded back \
             and insulated.",
            "series: rust and shield to ground; chalk to the switch or the hot; moss and slate joined to each other and insulated.",
        ]
    );
    assert_eq!(map.modes[2].sentence, "series: coil A and coil B in series, in phase, hum cancelled.");
    assert_eq!(map.places[0].what, "rust (coil A minus) and the shield");
    let alike = hookup(&pickup(Construction::SideBySide, &[NORTH, NORTH], &FOUR), &rig);
    assert_eq!(phases(&alike)[2], (Phase::InPhase, Some(false)));
    let unknown = hookup(&pickup(Construction::Rail, &[NORTH, None], &FOUR), &rig);
    assert_eq!(phases(&unknown)[2], (Phase::InPhase, None));
}

#[test]
fn in_a_stack_hum_leads_and_the_lower_coil_goes_in_the_other_way_round() {
    let map = hookup(&pickup(Construction::Stacked, &[NORTH, NORTH], &FOUR), &Rig::four_terminal("rig"));
    assert_eq!(in_order(&map), ["rust+shield", "moss", "chalk", "slate"]);
    assert_eq!(phases(&map)[0], (Phase::InPhase, Some(true)));
    assert!(map.rule.starts_with("Hum leads"), "{}", map.rule);
    assert!(map.modes[0].sentence.contains("hooked up against hum"), "{:?}", map.modes[0]);
}

/// However unlike its coils are, they are put in against each other's hum, and nothing is said to add.
#[test]
fn the_coils_of_a_stack_work_against_hum_however_unlike_they_are() {
    let mut stack = pickup(Construction::Stacked, &[NORTH, NORTH], &FOUR);
    for ohms in [6660.0, 2100.0, 900.0, 150.0] {
        stack.coils[0].stated = Some(Ohms(8000.0));
        stack.coils[1].stated = Some(Ohms(ohms));
        let map = hookup(&stack, &Rig::four_terminal("rig"));
        assert_eq!(in_order(&map), ["rust+shield", "moss", "chalk", "slate"], "{ohms}");
        assert_eq!(map.sentence, "This is the hookup.", "{ohms}");
        let said = &map.modes[2].sentence;
        assert!(said.contains("hooked up against hum"), "{ohms}: {said}");
        assert_eq!(said.contains("too unlike to cancel it, hum not cancelled"), ohms < 400.0, "{ohms}: {said}");
    }
}

#[test]
fn three_leads_joined_in_a_row() {
    let leads: [(&str, &[(CoilName, End)]); 3] =
        [("moss", &[(A, Minus)]), ("rust", &[(A, Plus), (B, Minus)]), ("chalk", &[(B, Plus)])];
    let map = hookup(&pickup(Construction::SideBySide, &[NORTH, SOUTH], &leads), &Rig::four_terminal("rig"));
    assert_eq!(in_order(&map), ["moss+shield", "rust", "", "chalk"]);
    let hears: Vec<usize> = map.modes.iter().map(|mode| mode.hears.len()).collect();
    // Parallel would need both ends of the join, so one coil is all it can give.
    assert_eq!((hears, phases(&map)[2]), (vec![1, 1, 2], (Phase::InPhase, Some(true))));
}

#[test]
fn three_leads_with_a_common_ground() {
    let leads: [(&str, &[(CoilName, End)]); 3] =
        [("moss", &[(A, Plus)]), ("rust", &[(A, Minus), (B, Minus)]), ("chalk", &[(B, Plus)])];
    let map = hookup(&pickup(Construction::SideBySide, &[NORTH, SOUTH], &leads), &Rig::four_terminal("rig"));
    assert_eq!(in_order(&map), ["rust+shield", "moss", "", "chalk"]);
    assert_eq!(
        phases(&map),
        [(Phase::InPhase, Some(true)), (Phase::OneCoil, Some(false)), (Phase::OneCoil, Some(false))]
    );
}

#[test]
fn a_pickup_that_its_maker_joined_out_of_phase() {
    let mut made =
        pickup(Construction::SideBySide, &[NORTH, SOUTH], &[("moss", &[(A, Minus)]), ("chalk", &[(B, Minus)])]);
    made.joined_inside = vec![vec![CoilEnd { coil: A, end: Plus }, CoilEnd { coil: B, end: Plus }]];
    let rig = Rig::four_terminal("rig");
    let joined = [(0, "moss"), (3, "chalk")].map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] });
    let map = as_hooked_up(&made, &rig, &joined, &[]);
    assert_eq!(map.modes[2].strings, Phase::OutOfPhase, "{map:?}");
    assert!(map.sentence.contains("Out of phase in parallel and series"), "{}", map.sentence);
    assert!(map.modes[2].sentence.contains("thin and weak"));
}

#[test]
fn one_coil_a_braid_and_no_shield() {
    let rig = Rig::four_terminal("rig");
    let mut one = pickup(Construction::SingleCoil, &[NORTH], &[("moss", &[(A, Minus)]), ("braid", &[(A, Plus)])]);
    one.shield = Shield { kind: ShieldKind::Braid, joined_to: Some("braid".into()) };
    let map = hookup(&one, &rig);
    // The braid is ground, so the coil is turned round; no ear can tell.
    assert_eq!(in_order(&map), ["braid", "moss", "", ""]);
    assert_eq!(phases(&map)[2], (Phase::Silent, None));
    assert!(map.sentence.contains("No sound in series"), "{}", map.sentence);
    assert_eq!(map.install[2], "series: not possible with this pickup.");
}

/// Alone it can't be heard, so it is told and no more; coils against each other are another matter.
#[test]
fn leads_that_are_turned_round_against_the_record_are_told() {
    let clips = Rig::to_begin_from().into_iter().map(|(_, _, rig)| rig).next().expect("there are rigs to begin from");
    let one = pickup(Construction::SingleCoil, &[NORTH], &[("yellow", &[(A, Plus)]), ("blue", &[(A, Minus)])]);
    let four = pickup(Construction::SideBySide, &[NORTH, SOUTH], &FOUR);
    let block = Rig::four_terminal("rig");
    for (made, rig, leads, told) in [
        (&one, &clips, vec!["blue", "yellow"], None),
        (&one, &clips, vec!["yellow", "blue"], Some("Yellow (plus) is at ground: turned round against the record.")),
        (&one, &block, vec!["yellow", "blue"], Some("Yellow (plus) is at ground")),
        (&four, &block, vec!["rust", "moss", "slate", "chalk"], None),
        (&four, &block, vec!["slate", "chalk", "rust", "moss"], None),
        (
            &four,
            &block,
            vec!["moss", "rust", "chalk", "slate"],
            Some("Moss (coil A plus) and chalk (coil B plus) are at ground"),
        ),
        (&four, &block, vec!["moss", "rust", "slate", "chalk"], None),
    ] {
        let joined: Vec<Joined> =
            (0..).zip(&leads).map(|(terminal, lead)| Joined { terminal, leads: vec![(*lead).into()] }).collect();
        let map = as_hooked_up(made, rig, &joined, &[]);
        let said = map.sentence.contains("turned round against the record");
        assert_eq!(said, told.is_some(), "{leads:?}: {}", map.sentence);
        assert!(told.is_none_or(|told| map.sentence.contains(told) && map.amiss), "{leads:?}: {}", map.sentence);
        assert!(!hookup(made, rig).sentence.contains("turned round"));
    }
    // Its shield hangs on the plus end, so that is at ground wherever its record is followed.
    let mut bound = one;
    bound.shield = Shield { kind: ShieldKind::Braid, joined_to: Some("yellow".into()) };
    let map = hookup(&bound, &clips);
    assert!(in_order(&map) == ["yellow", "blue"] && !map.amiss, "{map:?}");
}

#[test]
fn three_coils_on_six_terminals_and_on_two() {
    let leads: [(&str, &[(CoilName, End)]); 6] = [
        ("a", &[(A, Minus)]),
        ("b", &[(A, Plus)]),
        ("c", &[(B, Minus)]),
        ("d", &[(B, Plus)]),
        ("e", &[(C, Minus)]),
        ("f", &[(C, Plus)]),
    ];
    let three = pickup(Construction::SideBySide, &[NORTH, SOUTH, NORTH], &leads);
    let mut rig = Rig::four_terminal("rig");
    rig.terminals = (1..=6).map(|name| name.to_string()).collect();
    rig.positions[2].bonds = vec![vec![1, 2], vec![3, 4]];
    rig.positions[2].output = [0, 5];
    let map = hookup(&three, &rig);
    assert_eq!(map.modes[2].hears, [A, B, C]);
    assert_eq!(map.modes[2].strings, Phase::InPhase);
    rig.terminals.truncate(2);
    let map = hookup(&three, &rig);
    assert_eq!(map.left_off, ["c", "d", "e", "f"]);
    assert!(map.sentence.contains("stay off the block: its 2 terminals are taken"), "{}", map.sentence);
}

#[test]
fn leads_that_nobody_knows() {
    let map = hookup(
        &pickup(Construction::SideBySide, &[None, None], &[("moss", &[]), ("rust", &[])]),
        &Rig::four_terminal("rig"),
    );
    assert!(map.sentence.contains("Find out the leads first"), "{map:?}");
    let none = hookup(&pickup(Construction::SideBySide, &[], &[]), &Rig::four_terminal("rig"));
    assert!(none.sentence.contains("Find out the leads first"), "{none:?}");
}

proptest! {
    /// Whatever the names and the order of the leads, the coils add in every mode that hears two.
    #[test]
    fn four_leads_in_any_order_are_hooked_up_in_phase(order in Just([0_usize, 1, 2, 3]).prop_shuffle()) {
        let leads = order.map(|at| FOUR[at]);
        let map = hookup(&pickup(Construction::SideBySide, &[NORTH, SOUTH], &leads), &Rig::four_terminal("rig"));
        prop_assert_eq!(in_order(&map), ["rust+shield", "moss", "slate", "chalk"]);
    }
}

#[test]
fn a_stack_whose_hum_adds_is_full_and_hums() {
    let rig = Rig::four_terminal("rig");
    let stack = pickup(Construction::Stacked, &[NORTH, NORTH], &FOUR);
    let joined = [(0, "rust"), (1, "moss"), (2, "slate"), (3, "chalk")]
        .map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] });
    let map = as_hooked_up(&stack, &rig, &joined, &[]);
    let hums = (Phase::InPhase, Some(false));
    assert_eq!(phases(&map), [hums, (Phase::OneCoil, Some(false)), hums]);
    assert!(
        map.modes[2].sentence.contains("full, and the hum of both coils adds, hum not cancelled"),
        "{:?}",
        map.modes
    );
    assert!(map.modes.iter().all(|mode| !mode.sentence.contains("thin")), "{:?}", map.modes);
    assert!(
        map.amiss && map.sentence.contains("exchange slate (coil B minus) and chalk (coil B plus)"),
        "{}",
        map.sentence
    );
}

#[test]
fn a_shield_or_a_cover_on_a_lead_decides_the_ground() {
    let rig = Rig::four_terminal("rig");
    for (lead, order) in [
        ("rust", ["rust", "moss", "slate", "chalk"]),
        ("moss", ["moss", "rust", "chalk", "slate"]),
        ("slate", ["slate", "chalk", "rust", "moss"]),
        ("chalk", ["chalk", "slate", "moss", "rust"]),
    ] {
        let mut made = pickup(Construction::SideBySide, &[NORTH, SOUTH], &FOUR);
        made.shield.joined_to = Some(lead.into());
        let mut covered = pickup(Construction::SideBySide, &[NORTH, SOUTH], &FOUR);
        covered.shield = Shield { kind: ShieldKind::None, joined_to: None };
        covered.frame_joined_to = Some(lead.into());
        let mut by_the_shield = made.clone();
        by_the_shield.frame_joined_to = Some(Contact::Shield);
        assert_eq!(by_the_shield.joined_to_leads().len(), 2, "the cover is on {lead} with the shield");
        for made in [made, covered, by_the_shield] {
            let map = hookup(&made, &rig);
            assert_eq!(in_order(&map), order);
            assert!(map.modes.iter().all(|mode| mode.grounded == Some(true)), "{lead}: {map:#?}");
            assert_eq!(phases(&map)[2], (Phase::InPhase, Some(true)), "{lead}");
            assert!(map.ground[0].contains(&format!("so {lead} goes to ground")), "{:?}", map.ground);
        }
    }
    // The join of two coils can't be at ground in series.
    let leads: [(&str, &[(CoilName, End)]); 3] =
        [("moss", &[(A, Minus)]), ("rust", &[(A, Plus), (B, Minus)]), ("chalk", &[(B, Plus)])];
    let mut made = pickup(Construction::SideBySide, &[NORTH, SOUTH], &leads);
    made.shield.joined_to = Some("rust".into());
    let map = hookup(&made, &rig);
    assert!(map.ground.join(" ").contains("rust is not at ground in"), "{:?}", map.ground);
    assert!(map.install.iter().any(|line| line.contains("live here")), "{:?}", map.install);
}

#[test]
fn unequal_coils_cancel_partly() {
    let mut made = pickup(Construction::SideBySide, &[NORTH, SOUTH], &FOUR);
    for (ohms, left, part) in [
        ([6000.0, 6000.0], 0.0, "hum cancelled."),
        ([6600.0, 5400.0], 0.1, "hum cancelled: up to 10 % of it is left (−20 dB)"),
        ([8000.0, 4000.0], 1.0 / 3.0, "hum partly cancelled: up to 34 % of it is left (−9 dB)"),
    ] {
        for (coil, ohms) in made.coils.iter_mut().zip(ohms) {
            coil.stated = Some(Ohms(ohms));
        }
        let map = hookup(&made, &Rig::four_terminal("rig"));
        let joined = map.joined();
        for map in [map, as_hooked_up(&made, &Rig::four_terminal("rig"), &joined, &[])] {
            let series = &map.modes[2];
            assert!(series.hum_left.is_some_and(|found| (found - left).abs() < 1e-9), "{series:?}");
            assert!(series.sentence.contains(part), "{}", series.sentence);
        }
    }
    // Three coils: two of a kind against one.
    let leads: [(&str, &[(CoilName, End)]); 6] = [
        ("a", &[(A, Minus)]),
        ("b", &[(A, Plus)]),
        ("c", &[(B, Minus)]),
        ("d", &[(B, Plus)]),
        ("e", &[(C, Minus)]),
        ("f", &[(C, Plus)]),
    ];
    let three = pickup(Construction::SideBySide, &[NORTH, SOUTH, NORTH], &leads);
    let mut rig = Rig::four_terminal("rig");
    rig.terminals = (1..=6).map(|name| name.to_string()).collect();
    rig.positions[2].bonds = vec![vec![1, 2], vec![3, 4]];
    rig.positions[2].output = [0, 5];
    let series = &hookup(&three, &rig).modes[2];
    assert!(series.hum_left.is_some_and(|left| (left - 1.0 / 3.0).abs() < 1e-9), "{series:?}");
}
