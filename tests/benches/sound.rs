//! What a circuit does to a pickup's sound: how long a curve of 400 points takes.

use solderlast_core::physics::response::{CoilValues, Load, Pots, Response, Values};
use solderlast_core::record::pickup::{CoilName, Construction};
use solderlast_core::record::quantity::{Farads, Henries, Ohms};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_testkit::pickups::{hooked_up, pickup};

use crate::timing::{Report, Timings};

/// How often each is asked.
const TIMES: usize = 200;
/// The budget for a curve, in milliseconds.
const MOST: f64 = 1.0;
const POINTS: usize = 400;

pub fn measure(report: &mut Report) {
    report.title(&format!("The sound of a circuit, {POINTS} points from 20 Hz to 20 kHz"));
    let coil = CoilValues { ohms: Ohms(4000.0), henries: Henries(1.9), farads: Farads(90e-12), loss: Some(Ohms(6e5)) };
    let values = Values::new(vec![(CoilName::A, coil), (CoilName::B, coil)], 0.2).unwrap();
    let pot = Ohms(5e5).into();
    let guitar = Pots { volume: Some(pot), tone: Some((pot, Farads(22e-9))), ..Pots::none() };
    let load = Load { cable: Farads(5e-10), input: Ohms(1e6), across: None, stray: Farads(3e-11) };
    let (pickup, joined, rig) =
        (pickup(Construction::SideBySide, &[None, None]), hooked_up(), Rig::four_terminal("rig"));
    for mode in ["series", "parallel", "single"] {
        for (what, pots) in [("raw", Pots::none()), ("behind pots", guitar)] {
            let timings = Timings::of(TIMES, |_| {
                let at = (&rig, &Mode(mode.to_owned()));
                let response = Response::on_rig((&pickup, &joined), at, &values, (&pots, &load)).unwrap();
                assert_eq!(response.points(POINTS).len(), POINTS);
            });
            report.timings(&format!("{mode}, {what}"), &timings, MOST, f64::INFINITY);
        }
    }
}
