//! A pickup's coils between its leads, worked out anew: contacts by union-find, currents by elimination, signs by hand.
//! It shares no code with what it is held against.

use solderlast_core::physics::leads::Phase;
use solderlast_core::record::pickup::{CoilName, Construction, End, Pickup, Polarity};

/// Things that are joined.
#[derive(Clone)]
pub struct Contacts(Vec<usize>);

impl Contacts {
    pub fn new(things: usize) -> Self {
        Self((0..things).collect())
    }

    pub fn root(&self, mut thing: usize) -> usize {
        while self.0[thing] != thing {
            thing = self.0[thing];
        }
        thing
    }

    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }

    pub fn together(&self, a: usize, b: usize) -> bool {
        self.root(a) == self.root(b)
    }
}

/// Coil ends, then leads, then whatever the leads are put on.
pub fn end(pickup: &Pickup, coil: CoilName, which: End) -> Option<usize> {
    let at = pickup.coils.iter().position(|other| other.name == coil)?;
    Some(2 * at + usize::from(which == End::Plus))
}

pub fn lead(pickup: &Pickup, name: impl AsRef<str>) -> Option<usize> {
    Some(2 * pickup.coils.len() + pickup.leads.iter().position(|lead| lead.name.as_str() == name.as_ref())?)
}

/// What is joined inside a pickup, with room for this many more things.
pub fn inside(pickup: &Pickup, more: usize) -> (Contacts, usize) {
    let first = 2 * pickup.coils.len() + pickup.leads.len();
    let mut contacts = Contacts::new(first + more);
    for (at, lead) in pickup.leads.iter().enumerate() {
        for of in lead.ends.iter().filter_map(|of| end(pickup, of.coil, of.end)) {
            contacts.join(2 * pickup.coils.len() + at, of);
        }
    }
    for ends in &pickup.joined_inside {
        let ends: Vec<usize> = ends.iter().filter_map(|of| end(pickup, of.coil, of.end)).collect();
        ends.windows(2).for_each(|pair| contacts.join(pair[0], pair[1]));
    }
    (contacts, first)
}

/// The current that one ampere into `tip` and out of `ground` sends through each coil, from its plus end to its minus end, and
/// the volts it takes; nothing where no path joins them, or a wire does.
pub fn currents(
    pickup: &Pickup,
    contacts: &Contacts,
    tip: usize,
    ground: usize,
    ohms: &[f64],
) -> Option<(Vec<f64>, f64)> {
    if contacts.together(tip, ground) {
        return None;
    }
    let ends: Vec<[usize; 2]> =
        (0..pickup.coils.len()).map(|coil| [contacts.root(2 * coil + 1), contacts.root(2 * coil)]).collect();
    // Only what a path joins to the ground has a voltage.
    let mut reached = vec![contacts.root(ground)];
    loop {
        let more = ends.iter().flat_map(|[plus, minus]| [(*plus, *minus), (*minus, *plus)]);
        let more: Vec<usize> =
            more.filter(|(from, to)| reached.contains(from) && !reached.contains(to)).map(|(_, to)| to).collect();
        if more.is_empty() {
            break;
        }
        more.into_iter().for_each(|to| {
            if !reached.contains(&to) {
                reached.push(to);
            }
        });
    }
    let at = |node: usize| reached.iter().position(|other| *other == node);
    let into = at(contacts.root(tip))?;
    let count = reached.len() - 1;
    // Node 0 is the ground; a row a node, the last column what flows in.
    let mut rows = vec![vec![0.0; count + 1]; count];
    for ([plus, minus], ohms) in ends.iter().zip(ohms) {
        let (Some(plus), Some(minus)) = (at(*plus), at(*minus)) else { continue };
        if plus == minus {
            continue;
        }
        for (one, other) in [(plus, minus), (minus, plus)] {
            if one > 0 {
                rows[one - 1][one - 1] += 1.0 / ohms;
                if other > 0 {
                    rows[one - 1][other - 1] -= 1.0 / ohms;
                }
            }
        }
    }
    rows[into - 1][count] = 1.0;
    for at in 0..count {
        let pivot = (at..count).max_by(|a, b| rows[*a][at].abs().total_cmp(&rows[*b][at].abs()))?;
        rows.swap(at, pivot);
        for other in 0..count {
            if other != at && rows[at][at].abs() > 1e-15 {
                let share = rows[other][at] / rows[at][at];
                for column in at..=count {
                    rows[other][column] -= share * rows[at][column];
                }
            }
        }
    }
    let volts = |node: usize| if node == 0 { 0.0 } else { rows[node - 1][count] / rows[node - 1][node - 1] };
    let through = ends.iter().zip(ohms).map(|([plus, minus], ohms)| match (at(*plus), at(*minus)) {
        (Some(plus), Some(minus)) => (volts(plus) - volts(minus)) / ohms,
        _ => 0.0,
    });
    Some((through.collect(), volts(into)))
}

/// What a pickup puts out.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    pub coils: Vec<CoilName>,
    pub strings: Phase,
    /// Whether steel pulled off swings it to plus.
    pub plus: Option<bool>,
    /// For turns as the ohms say, and for coils of as many turns: what is left of the hum, of either sign, and what there is.
    pub hum: Option<[(f64, f64); 2]>,
}

impl Heard {
    /// The worse of both.
    pub fn left(&self) -> Option<f64> {
        let of = |(caught, all): (f64, f64)| (caught.abs() / all).min(1.0);
        self.hum.map(|[turns, alike]| of(turns).max(of(alike)))
    }
}

pub fn one_magnet(pickup: &Pickup) -> bool {
    matches!(pickup.construction, Construction::Stacked | Construction::TappedCoil)
}

/// What a pickup with these currents is heard as. `ohms` weigh the hum; nothing for coils that are alike.
pub fn heard(pickup: &Pickup, through: &[f64], ohms: Option<&[f64]>) -> Heard {
    let parts: Vec<usize> = (0..through.len()).filter(|coil| through[*coil].abs() > 1e-6).collect();
    let coils: Vec<CoilName> = parts.iter().map(|coil| pickup.coils[*coil].name).collect();
    let up = |coil: usize| through[coil] > 0.0;
    let stacked = pickup.construction == Construction::Stacked;
    let top = parts.iter().copied().find(|coil| stacked && pickup.coils[*coil].name == CoilName::A);
    let same = parts.iter().all(|coil| up(*coil) == up(parts[0]));
    let (strings, plus) = match (parts.len(), top) {
        (0, _) => (Phase::Silent, None),
        (1, _) => (Phase::OneCoil, Some(up(parts[0]))),
        (_, Some(top)) => (Phase::InPhase, Some(up(top))),
        _ if same => (Phase::InPhase, Some(up(parts[0]))),
        _ => (Phase::OutOfPhase, None),
    };
    // Every way that poles which nobody knows may be; coils round one magnet have one pole.
    let known: Vec<Option<Polarity>> = parts
        .iter()
        .map(|coil| {
            pickup.coils[*coil].magnet_up.or_else(|| {
                let told = pickup.coils.iter().find_map(|coil| coil.magnet_up);
                told.filter(|_| one_magnet(pickup))
            })
        })
        .collect();
    let mut hums: Vec<[(f64, f64); 2]> = Vec::new();
    for guess in 0..1_u32 << parts.len() {
        let poles: Vec<bool> = known
            .iter()
            .enumerate()
            .map(|(at, pole)| pole.map_or(guess >> at & 1 == 0, |pole| pole == Polarity::North))
            .collect();
        if one_magnet(pickup) && known.iter().all(Option::is_none) && poles.iter().any(|pole| *pole != poles[0]) {
            continue;
        }
        let mut hum = [(0.0, 0.0); 2];
        for (coil, north) in parts.iter().zip(&poles) {
            let part = if *north { through[*coil] } else { -through[*coil] };
            let turns = ohms.map_or(1.0, |ohms| ohms[*coil]);
            hum[0] = (hum[0].0 + part * turns, hum[0].1 + part.abs() * turns);
            hum[1] = (hum[1].0 + part, hum[1].1 + part.abs());
        }
        hums.push(hum);
    }
    let left = |hum: &[(f64, f64); 2]| (hum[0].0.abs() / hum[0].1).max(hum[1].0.abs() / hum[1].1);
    let one = hums.first().copied().filter(|hum| hum[0].1 > 0.0);
    let hum = one.filter(|one| hums.iter().all(|other| (left(other) - left(one)).abs() < 1e-9));
    Heard { coils, strings, plus, hum }
}
