//! Magnets as pairs of point poles (Coulomb's law for magnetic charge) that come to a sensor somewhere in a phone.

use solderlast_samples::Chance;

use super::{PoleStage, pole_side};
use crate::record::pickup::Polarity;

type Point = [f64; 3];

/// Point poles: where, in millimetres, and how strong, in microtesla at one millimetre; those that look at the phone first.
type Magnet = Vec<(Point, f64)>;

/// A phone whose upper edge lies along x, at y = 0: it reaches to where y is negative.
struct Phone {
    earth: Point,
    sensor: Point,
}

impl Phone {
    fn by_chance(chance: &mut Chance) -> Self {
        let dip: f64 = chance.between(-1.4, 1.4);
        let towards: f64 = chance.between(0.0, std::f64::consts::TAU);
        let strong = chance.between(23.0, 66.0);
        let flat = strong * dip.cos();
        Self {
            earth: [flat * towards.cos(), flat * towards.sin(), -strong * dip.sin()],
            sensor: [chance.between(-25.0, 25.0), chance.between(-50.0, -6.0), chance.between(-3.0, 3.0)],
        }
    }

    fn reads(&self, magnet: &Magnet, at: Point, chance: &mut Chance) -> Point {
        let mut field = self.earth;
        for (pole, strong) in magnet {
            let from: Vec<f64> = (0..3).map(|axis| self.sensor[axis] - pole[axis] - at[axis]).collect();
            let away = from.iter().map(|one| one * one).sum::<f64>().sqrt();
            for (axis, one) in field.iter_mut().enumerate() {
                *one += strong * from[axis] / away.powi(3);
            }
        }
        field.map(|one| one + chance.between(-0.7, 0.7))
    }

    fn alone(&self, chance: &mut Chance) -> Vec<Point> {
        (0..20).map(|_| self.reads(&Vec::new(), [0.0; 3], chance)).collect()
    }

    /// A magnet comes from half a metre away until this much is added, or it touches the edge.
    fn comes(&self, magnet: &Magnet, place: [f64; 2], until: f64, chance: &mut Chance) -> Vec<Point> {
        let mut read = Vec::new();
        let mut away = 500.0_f64;
        while away > 1.0 {
            let field = self.reads(magnet, [place[0], away, place[1]], chance);
            read.push(field);
            let added = (0..3).map(|axis| (field[axis] - self.earth[axis]).powi(2)).sum::<f64>().sqrt();
            if added > until {
                break;
            }
            away *= chance.between(0.9, 0.98);
        }
        read
    }
}

/// One bar whose front looks at the phone.
fn bar(front: f64, chance: &mut Chance) -> Magnet {
    let strong = front * chance.in_ratio(2e5, 2e6);
    vec![([0.0; 3], strong), ([0.0, chance.between(8.0, 40.0), 0.0], -strong)]
}

/// A row of poles whose tops look at the phone; beside it another one of the other pole, if there is one.
fn row(front: f64, beside: Option<Point>, chance: &mut Chance) -> Magnet {
    let strong = front * chance.in_ratio(4e4, 1.5e5);
    let long = chance.between(8.0, 20.0);
    let across = chance.flip();
    let mut magnet = Vec::new();
    for (from, sign) in [Some([0.0; 3]), beside].into_iter().flatten().zip([1.0, -1.0]) {
        for pole in 0..6 {
            let along = (f64::from(pole) - 2.5) * 10.0;
            let top = if across { [from[0] + along, from[1], from[2]] } else { [from[0], from[1], from[2] + along] };
            magnet.push((top, sign * strong));
            magnet.push(([top[0], top[1] + long, top[2]], -sign * strong));
        }
    }
    magnet
}

fn sign(pole: Polarity) -> f64 {
    match pole {
        Polarity::North => 1.0,
        Polarity::South => -1.0,
    }
}

fn place(chance: &mut Chance) -> [f64; 2] {
    [chance.between(-15.0, 15.0), chance.between(-3.0, 3.0)]
}

#[test]
fn whatever_is_told_is_right() {
    let mut chance = Chance::seeded(18);
    let cases = solderlast_samples::number("SOLDERLAST_POLES", 2000);
    let (mut told, mut beside_told) = (0, 0);
    for case in 0..cases {
        let phone = Phone::by_chance(&mut chance);
        let [known_pole, up] = [(); 2].map(|()| chance.of(&[Polarity::North, Polarity::South]));
        let beside = (case % 2 == 1).then(|| [chance.between(-3.0, 3.0), chance.between(0.0, 20.0), 18.0]);
        let (known, pickup) = (bar(sign(known_pole), &mut chance), row(sign(up), beside, &mut chance));
        let earth = phone.alone(&mut chance);
        let until = chance.between(150.0, 600.0);
        let (at_known, at_here) = (place(&mut chance), place(&mut chance));
        let by_known = phone.comes(&known, at_known, until, &mut chance);
        let by_here = phone.comes(&pickup, at_here, until, &mut chance);
        let said = pole_side(&earth, known_pole, &by_known, &by_here);
        if said.stage == PoleStage::Told {
            assert_eq!(said.up, Some(up), "case {case}: {said:?}, sensor {:?}", phone.sensor);
            *(if beside.is_none() { &mut told } else { &mut beside_told }) += 1;
        } else {
            assert!(said.wrong && said.up.is_none(), "{said:?}");
        }
    }
    println!("{told} of {} lone rows, {beside_told} of {} beside another", cases - cases / 2, cases / 2);
    // A sensor may sit too far from the edge for a weak row; whoever is told nothing takes the compass.
    assert!(told * 2 > cases - cases / 2, "{told} of {cases}");
}

/// The phone was turned, or lies beside steel; the magnet was there already, came too near, was not near at all, or went over the
/// sensor to its other side; the readings are none.
#[test]
fn what_tells_nothing_is_refused_where_it_happens() {
    let mut chance = Chance::seeded(5);
    let phone = Phone { earth: [3.0, 19.0, -43.0], sensor: [10.0, -20.0, 0.0] };
    let (earth, north) = (phone.alone(&mut chance), bar(1.0, &mut chance));
    let known = phone.comes(&north, [0.0, 0.0], 300.0, &mut chance);
    let row = row(1.0, None, &mut chance);
    let good = phone.comes(&row, [0.0, 0.0], 300.0, &mut chance);
    assert_eq!(pole_side(&earth, Polarity::North, &known, &good).up, Some(Polarity::North));
    let turned = |readings: &[Point]| readings.iter().map(|[x, y, z]| [-*y, *x, *z]).collect::<Vec<_>>();
    let steel: Vec<Point> = earth.iter().map(|[x, y, z]| [x + 90.0, *y, *z]).collect();
    let moved: Vec<Point> = earth.iter().enumerate().map(|(at, [x, y, z])| [x + at as f64, *y, *z]).collect();
    let over: Vec<Point> =
        (0..40).map(|at| phone.reads(&row, [10.0, 60.0 - 4.0 * f64::from(at), 9.0], &mut chance)).collect();
    let over: Vec<Point> = earth.iter().copied().chain(over).collect();
    let gone: Vec<Point> = known.iter().map(|[x, y, _]| [*x, *y, f64::NAN]).collect();
    let near: Vec<Point> = known.iter().chain([&[1200.0, 0.0, 0.0]]).copied().collect();
    use PoleStage::{Earth, Here, Known};
    for (what, earth, known, here, stage, part) in [
        ("too short", &earth[..3], &known[..], &good[..], Earth, "too short"),
        ("steel near", &steel, &known, &good, Earth, "the earth alone"),
        ("moved", &moved, &known, &good, Earth, "moved"),
        ("phone turned", &earth, &turned(&known), &good, Known, "lies otherwise"),
        ("phone turned later", &earth, &known, &turned(&good), Here, "lies otherwise"),
        ("there already", &earth, &known[known.len() - 10..], &good, Known, "near already"),
        ("nothing came", &earth, &earth, &good, Known, "Bring it nearer"),
        ("the sensor's end", &earth, &near, &good, Known, "at its end"),
        ("no number", &earth, &gone, &good, Known, "at its end"),
        ("went over it", &earth, &known, &over, Here, "turned while it came"),
    ] {
        let said = pole_side(earth, Polarity::North, known, here);
        assert!(said.wrong && said.stage == stage && said.sentence.contains(part), "{what}: {said:?}");
    }
    for (known, here, stage) in [(&[][..], &[][..], Known), (&known, &[], Here)] {
        let said = pole_side(&earth, Polarity::North, known, here);
        assert!(!said.wrong && said.stage == stage && said.up.is_none(), "{said:?}");
    }
    assert_eq!(pole_side(&[], Polarity::North, &[], &[]).stage, Earth);
}
