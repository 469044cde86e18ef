use super::*;
use crate::drawing::Drawn;
use crate::record::pickup::CoilName;
use crate::record::rig::Rig;
use crate::wiring::{invented, mode_wirings};

fn modes(names: &[&str]) -> Vec<Mode> {
    names.iter().map(|name| Mode::new(*name)).collect()
}

fn planned(names: &[&str], switch: Option<&str>) -> Plan {
    let switch =
        switch.and_then(|name| ModeSwitch::ready_made().into_iter().find(|switch| switch.name.starts_with(name)));
    Plan { modes: modes(names), switch, turned: false, selector: None }
}

fn two_coils(plan: &Plan) -> WiringPlan {
    let pickup = invented::two_coils();
    let rig = Rig::four_terminal("rig");
    let modes = mode_wirings(&pickup, &rig, &invented::joined(&pickup, &rig));
    wire(&pickup, &modes, plan)
}

fn on(wiring: &WiringPlan, kind: SolderPointKind) -> Vec<Contact> {
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
fn the_lugs_are_found_with_the_meter() {
    let notes = two_coils(&planned(&["series", "parallel"], Some("DPDT on-on"))).notes;
    let told = notes.first().map(String::as_str).unwrap_or_default();
    assert!(told.ends_with("between them: in one 1 and 2, 4 and 5; in two 2 and 3, 5 and 6."), "{told}");
    let fixed = two_coils(&planned(&["series"], None)).notes;
    assert!(fixed.iter().all(|note| !note.contains("Lugs are counted")), "{fixed:?}");
}

#[test]
fn what_can_not_be_is_said() {
    let pickup = invented::two_coils();
    let rig = Rig::four_terminal("rig");
    let modes = mode_wirings(&pickup, &rig, &invented::joined(&pickup, &rig));
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
    let mut pickup = invented::two_coils();
    pickup.shield.joined_to = Some("rust".into());
    let rig = Rig::four_terminal("rig");
    let wiring = wire(
        &pickup,
        &mode_wirings(&pickup, &rig, &invented::joined(&invented::two_coils(), &rig)),
        &planned(&["series"], None),
    );
    assert!(wiring.notes.iter().any(|note| note.contains("It is live then")), "{:?}", wiring.notes);
    assert_eq!(pickup.coils[0].name, CoilName::A);
}

/// What a drawing joins: its lines, where they meet at their ends, and a dot with every line it lies on.
struct Traced {
    lines: Vec<[[f64; 2]; 2]>,
    dots: Vec<([f64; 2], f64)>,
    together: Vec<usize>,
}

impl Traced {
    fn of(drawn: &Drawn) -> Self {
        use crate::drawing::Mark;
        let lines: Vec<[[f64; 2]; 2]> = drawn
            .marks
            .iter()
            .filter_map(|mark| if let Mark::Line { from, to, .. } = mark { Some([*from, *to]) } else { None })
            .collect();
        let dots: Vec<([f64; 2], f64)> = drawn
            .marks
            .iter()
            .filter_map(|mark| if let Mark::Round { at, radius, .. } = mark { Some((*at, *radius)) } else { None })
            .collect();
        let mut traced = Self { together: (0..lines.len()).collect(), lines, dots };
        for one in 0..traced.lines.len() {
            for other in 0..one {
                let [a, b] = [traced.lines[one], traced.lines[other]];
                let dot = traced.dots.iter().any(|(dot, _)| off(a, *dot) < 0.1 && off(b, *dot) < 0.1);
                if dot || a.iter().any(|end| b.contains(end)) {
                    let (from, to) = (traced.together[other], traced.together[one]);
                    traced.together.iter_mut().filter(|of| **of == from).for_each(|of| *of = to);
                }
            }
        }
        traced
    }

    /// What the line that begins or runs through here belongs to.
    fn at(&self, place: [f64; 2]) -> Option<usize> {
        self.lines.iter().position(|line| off(*line, place) < 0.1).map(|line| self.together[line])
    }
}

/// How far a place is off a line across or up and down.
fn off([from, to]: [[f64; 2]; 2], [x, y]: [f64; 2]) -> f64 {
    let past = |low: f64, high: f64, at: f64| (low.min(high) - at).max(at - low.max(high)).max(0.0);
    past(from[0], to[0], x).hypot(past(from[1], to[1], y))
}

/// The drawing joins what the list of points and wires joins and nothing else, and no wire runs through a lug or a dot that is
/// not its own.
#[test]
fn the_drawing_joins_what_the_list_joins() {
    use crate::drawing::{Mark, Of};
    let mut drawings = 0;
    let mut plans: Vec<Plan> = ["series", "parallel", "single"].iter().map(|mode| planned(&[*mode], None)).collect();
    for switch in ModeSwitch::ready_made() {
        for names in [&["series", "parallel"][..], &["parallel", "single"], &["series", "single", "parallel"]] {
            plans.push(Plan {
                modes: modes(names),
                switch: Some(switch.clone()),
                turned: names.len() == 3,
                selector: None,
            });
        }
    }
    // Poles of a selector, up to 24 lugs.
    let five: Vec<String> = (1..=5).map(|at| at.to_string()).collect();
    for pole in ModeSwitch::poles(&five) {
        let modes = modes(&["series", "single", "series", "parallel", "series"]);
        plans.push(Plan { modes, switch: Some(pole), turned: false, selector: None });
    }
    for plan in plans {
        let wiring = two_coils(&plan);
        if wiring.points.is_empty() {
            continue;
        }
        drawings += 1;
        wiring.drawn.assert_words_within(&format!("{plan:?}"));
        let traced = Traced::of(&wiring.drawn);
        let there = traced.lines.iter().flatten().copied().chain(traced.dots.iter().map(|(dot, _)| *dot));
        for [x, y] in there {
            assert!((0.0..=360.0).contains(&x) && (0.0..=wiring.drawn.height).contains(&y), "{plan:?}: {x} {y}");
        }
        for line in &traced.lines {
            assert!(line[0][0] == line[1][0] || line[0][1] == line[1][1], "across or up and down: {line:?}");
            for (dot, radius) in &traced.dots {
                let through = off(*line, *dot);
                assert!(through < 0.1 || through > radius + 0.9, "{plan:?}: {line:?} touches {dot:?}");
            }
        }
        // Points that wires join are one, by the list.
        let mut joined: Vec<usize> = (0..wiring.points.len()).collect();
        for [from, to] in &wiring.jumpers {
            let (from, to) = (joined[usize::from(*from)], joined[usize::from(*to)]);
            joined.iter_mut().filter(|of| **of == from).for_each(|of| *of = to);
        }
        let words = |drawn: &Drawn, text: &str| -> [f64; 2] {
            let found = drawn.marks.iter().find_map(|mark| match mark {
                Mark::Word { at, text: other, of: Of::Plain, .. } if other == text => Some(*at),
                _ => None,
            });
            found.expect("every lead is named")
        };
        // Each lead begins under its name, at the pickup.
        let leads: Vec<(usize, Option<usize>)> = (wiring.points.iter().enumerate())
            .flat_map(|(at, point)| point.leads.iter().map(move |lead| (at, lead)))
            .map(|(at, lead)| (joined[at], traced.at([18.0, words(&wiring.drawn, lead.as_str())[1] + 5.0])))
            .collect();
        for (at, (point, drawn)) in leads.iter().enumerate() {
            assert!(drawn.is_some(), "{plan:?}");
            for (other_point, other) in &leads[..at] {
                assert_eq!(point == other_point, drawn == other, "{plan:?}: {:#?}", wiring.points);
            }
        }
        // Each lug that a wire or a lead goes to belongs to the same as they do.
        let lug_at = |number: u8| -> [f64; 2] {
            let text = number.to_string();
            let found = wiring.drawn.marks.iter().find_map(|mark| match mark {
                Mark::Word { at, text: other, .. } if *other == text => Some([at[0] - 8.0, at[1] - 14.0]),
                _ => None,
            });
            found.expect("every lug is numbered")
        };
        for (at, point) in wiring.points.iter().enumerate() {
            let SolderPointKind::Lug { number } = point.kind else { continue };
            let used = !point.leads.is_empty() || wiring.jumpers.iter().flatten().any(|end| usize::from(*end) == at);
            let drawn = traced.at(lug_at(number));
            assert_eq!(used, drawn.is_some(), "{plan:?}: lug {number}");
            for (lead_point, lead) in &leads {
                assert_eq!(
                    used && *lead_point == joined[at],
                    drawn.is_some() && drawn == *lead,
                    "{plan:?}: lug {number}"
                );
            }
        }
    }
    assert!(drawings > 10, "{drawings}");
}

#[test]
fn a_mode_that_is_asked_for_twice_comes_out_where_it_was_asked_for() {
    let gives = |names: &[&str], switch: &str| -> Vec<Mode> {
        let wiring = two_coils(&planned(names, Some(switch)));
        wiring.positions.iter().filter_map(|position| position.mode.clone()).collect()
    };
    for (names, switch) in [
        (["series", "single", "series"], "rotary"),
        (["parallel", "parallel", "series"], "rotary"),
        (["single", "series", "series"], "rotary"),
        (["series", "single", "series"], "DPDT on-on-on"),
    ] {
        let given = gives(&names, switch);
        let notes = two_coils(&planned(&names, Some(switch))).notes.join(" ");
        let as_asked = given == modes(&names);
        assert_eq!(as_asked, !notes.contains("comes out where you asked"), "{names:?} {switch}: {given:?} {notes}");
        assert!(as_asked || switch != "rotary", "{names:?}: {given:?}");
    }
}

#[test]
fn a_shield_on_a_lead_is_at_ground_in_every_position_that_lets_it() {
    let mut pickup = invented::two_coils();
    pickup.shield.joined_to = Some("slate".into());
    let rig = Rig::four_terminal("rig");
    // As it was tried, before anybody knew what the shield hangs on.
    let tried = mode_wirings(&pickup, &rig, &invented::joined(&invented::two_coils(), &rig));
    for (mode, at_ground) in [("parallel", true), ("single", true), ("series", false)] {
        let wiring = wire(&pickup, &tried, &planned(&[mode], None));
        assert_eq!(on(&wiring, SolderPointKind::Ground {}).contains(&"slate".into()), at_ground, "{mode}: {wiring:#?}");
        assert_eq!(wiring.notes.iter().any(|note| note.contains("It is live then")), !at_ground, "{:?}", wiring.notes);
    }
    let meant = mode_wirings(&pickup, &rig, &invented::joined(&pickup, &rig));
    for names in [&["series", "parallel"][..], &["series", "single"], &["parallel", "single"]] {
        let wiring = wire(&pickup, &meant, &planned(names, Some("DPDT on-on")));
        assert!(wiring.notes.iter().all(|note| !note.contains("It is live then")), "{names:?}: {:?}", wiring.notes);
        assert_eq!(wiring.kind, WiringKind::Wired, "{names:?}");
    }
}
