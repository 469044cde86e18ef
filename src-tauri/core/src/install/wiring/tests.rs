use super::*;
use crate::install::{bench, mode_wirings};
use crate::pickup::CoilName;
use crate::rig::Rig;

fn modes(names: &[&str]) -> Vec<Mode> {
    names.iter().map(|name| Mode::new(*name)).collect()
}

fn planned(names: &[&str], switch: Option<&str>) -> Plan {
    let switch =
        switch.and_then(|name| ModeSwitch::ready_made().into_iter().find(|switch| switch.name.starts_with(name)));
    Plan { modes: modes(names), switch, turned: false }
}

fn two_coils(plan: &Plan) -> WiringPlan {
    let pickup = bench::two_coils();
    let rig = Rig::four_terminal("rig");
    let modes = mode_wirings(&pickup, &rig, &bench::joined(&pickup, &rig));
    wire(&pickup, &modes, plan)
}

fn on(wiring: &WiringPlan, kind: SolderPointKind) -> Vec<String> {
    wiring.points.iter().filter(|point| point.kind == kind).flat_map(|point| point.leads.clone()).collect()
}

#[test]
fn one_mode_that_is_fixed() {
    for (mode, hot, ground, join) in [
        ("series", vec!["chalk"], vec!["moss", "shield"], vec!["rust", "slate"]),
        ("parallel", vec!["rust", "chalk"], vec!["moss", "slate", "shield"], vec![]),
        ("single", vec!["rust"], vec!["moss", "shield"], vec![]),
    ] {
        let wiring = two_coils(&planned(&[mode], None));
        assert_eq!(wiring.kind, WiringKind::Wired, "{mode}");
        assert_eq!(on(&wiring, SolderPointKind::Hot {}), hot, "{mode}");
        assert_eq!(on(&wiring, SolderPointKind::Ground {}), ground, "{mode}");
        assert_eq!(on(&wiring, SolderPointKind::Join {}), join, "{mode}");
        assert_eq!(wiring.positions.len(), 1);
    }
    let turned = two_coils(&Plan { turned: true, ..planned(&["series"], None) });
    assert_eq!(on(&turned, SolderPointKind::Hot {}), ["moss"]);
    assert_eq!(on(&turned, SolderPointKind::Ground {}), ["chalk", "shield"]);
}

#[test]
fn what_switches_can_give() {
    use WiringKind::{Partly, Wired};
    for (switch, names, kind, given) in [
        ("DPDT on-on", &["series", "parallel"][..], Wired, 2),
        ("DPDT on-on", &["series", "single"], Wired, 2),
        ("DPDT on-on", &["parallel", "single"], Wired, 2),
        ("DPDT on-on", &["series", "single", "parallel"], Partly, 2),
        ("push-pull", &["series", "parallel"], Wired, 2),
        ("DPDT on-on-on", &["series", "single", "parallel"], Wired, 3),
        ("DPDT on-on-on", &["parallel", "single", "series"], Wired, 3),
        // Joining more never makes series of single, nor either of parallel, so the open middle can only be series.
        ("DPDT on-off-on", &["series", "single", "parallel"], Partly, 2),
        ("DPDT on-off-on", &["series", "single"], Wired, 2),
        ("rotary", &["series", "single", "parallel"], Wired, 3),
        ("rotary", &["single", "series"], Wired, 2),
    ] {
        let wiring = two_coils(&planned(names, Some(switch)));
        let modes = wiring.positions.iter().filter_map(|position| position.mode.clone());
        let modes: std::collections::BTreeSet<Mode> = modes.collect();
        assert_eq!((wiring.kind, modes.len()), (kind, given), "{switch} {names:?}: {wiring:#?}");
    }
}

#[test]
fn modes_come_in_the_order_written_where_they_can() {
    let wiring = two_coils(&planned(&["parallel", "series"], Some("DPDT on-on")));
    let order: Vec<Option<Mode>> = wiring.positions.into_iter().map(|position| position.mode).collect();
    assert_eq!(order, modes(&["parallel", "series"]).into_iter().map(Some).collect::<Vec<_>>());
}

#[test]
fn what_can_not_be_is_said() {
    let pickup = bench::two_coils();
    let rig = Rig::four_terminal("rig");
    let modes = mode_wirings(&pickup, &rig, &bench::joined(&pickup, &rig));
    let mut unknown = pickup.clone();
    unknown.leads[0].ends.clear();
    assert_eq!(wire(&unknown, &modes, &planned(&["series"], None)).kind, WiringKind::LeadsUnknown);
    assert_eq!(wire(&pickup, &modes, &planned(&["sideways"], None)).kind, WiringKind::CantBe);
    assert_eq!(wire(&pickup, &modes, &planned(&[], Some("DPDT on-on"))).kind, WiringKind::CantBe);
    for (lugs, lug) in [(255, 1), (6, 0), (6, 9), (0, 1)] {
        let mut plan = planned(&["series", "parallel"], Some("DPDT on-on"));
        if let Some(switch) = &mut plan.switch {
            switch.lugs = lugs;
            switch.positions[0].joined[0][0] = lug;
        }
        assert_eq!(wire(&pickup, &modes, &plan).kind, WiringKind::CantBe, "{lugs} {lug}");
    }
    // A switch without a contact.
    let mut plan = planned(&["series", "parallel"], Some("DPDT on-on"));
    if let Some(switch) = &mut plan.switch {
        switch.positions.iter_mut().for_each(|position| position.joined.clear());
    }
    let wiring = wire(&pickup, &modes, &plan);
    assert_eq!((wiring.kind, wiring.not_given.len()), (WiringKind::CantBe, 2), "{wiring:#?}");
}

#[test]
fn a_shield_on_a_lead_that_is_not_at_ground_is_told() {
    let mut pickup = bench::two_coils();
    pickup.shield.joined_to = Some("rust".to_owned());
    let rig = Rig::four_terminal("rig");
    let wiring = wire(
        &pickup,
        &mode_wirings(&pickup, &rig, &bench::joined(&bench::two_coils(), &rig)),
        &planned(&["series"], None),
    );
    assert!(wiring.notes.iter().any(|note| note.contains("The shield is live")), "{:?}", wiring.notes);
    assert_eq!(pickup.coils[0].name, CoilName::A);
}
