//! What a circuit does to a pickup's sound: how long a curve of 400 points takes.

use solderlast_core::physics::response::{CoilValues, Load, Pots, Response, Values};
use solderlast_core::physics::wiring::{
    JackCase, SignalPath, Sources, Standing, Staying, installed, mode_wirings, wire,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::controls::{Selector, VolumeLayout};
use solderlast_core::record::guitar::Controls;
use solderlast_core::record::pickup::{CoilName, Construction};
use solderlast_core::record::quantity::{Farads, Henries, Ohms};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_core::record::wiring::Plan;
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
    install(report, &coil, &values, &load);
}

/// A finished install beside a pickup that stays, both heard.
fn install(report: &mut Report, coil: &CoilValues, values: &Values, load: &Load) {
    let (pickup, joined, rig) =
        (pickup(Construction::SideBySide, &[None, None]), hooked_up(), Rig::four_terminal("rig"));
    let plan = Plan { modes: vec![Mode("series".to_owned())], switch: None, turned: false, selector: None };
    let wiring = wire(&pickup, &mode_wirings(&pickup, &rig, &joined), &plan);
    let places = ["neck", "bridge"].map(str::to_owned);
    let path =
        SignalPath::new(&Controls::default(), &VolumeLayout::default(), Selector::usual(&places).as_ref(), &places);
    let neck = Staying {
        place: "neck".to_owned(),
        label: "Reed".to_owned(),
        pickup: None,
        measured: Vec::new(),
        wired: None,
        tapped: true,
        reads: None,
        reads_between: None,
        tap: None,
        magnet_up: None,
        cancels_hum: None,
    };
    let meter = Meter::plain();
    let case = JackCase {
        pickup: &pickup,
        measured: &[],
        tapped: true,
        place: "bridge",
        wiring: &wiring,
        path: &path,
        staying: std::slice::from_ref(&neck),
        meter: &meter,
        room: None,
    };
    let staying = [("neck".to_owned(), Values::new(vec![(CoilName::A, *coil)], 0.0).unwrap())];
    let pot = Ohms(5e5).into();
    let pots = [(String::new(), Pots { volume: Some(pot), tone: Some((pot, Farads(22e-9))), ..Pots::none() })];
    let standing = Standing { selector: "neck and bridge", switch: "", pots: &pots, blend: None, in_row_with: None };
    let timings = Timings::of(TIMES, |_| {
        let sources = Sources { new: values, staying: &staying };
        let response = installed(&case, &sources, &standing, load).unwrap();
        assert_eq!(response.points(POINTS).len(), POINTS);
    });
    report.timings("installed, beside another", &timings, MOST, f64::INFINITY);
}
