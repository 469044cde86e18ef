//! Preferred values of parts: the E series of IEC 60063.

/// A series, by how many values it has a decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Six, usual for parts within 20 %.
    E6,
    /// Twelve, within 10 %.
    E12,
    /// Twenty-four, within 5 %.
    E24,
}

/// The values of E24 in the decade from ten (IEC 60063); those of E12 are every second, of E6 every fourth.
const E24: [u32; 24] = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

/// The values of a series from the least to the most, both within half of the last digit, in the unit of both. Nothing where the
/// least is not above zero or they span more than twelve decades.
///
/// ```
/// use solderlast_physics::response::{Series, preferred};
/// let farads = preferred(Series::E6, 1e-9, 1e-8);
/// assert_eq!(farads.len(), 7);
/// assert!((farads[2] - 2.2e-9).abs() < 1e-15);
/// ```
#[must_use]
pub fn preferred(series: Series, least: f64, most: f64) -> Vec<f64> {
    if !(least > 0.0 && most >= least && most / least <= 1e12) {
        return Vec::new();
    }
    let every = match series {
        Series::E6 => 4,
        Series::E12 => 2,
        Series::E24 => 1,
    };
    let decades = least.log10().floor() as i32 - 1..=most.log10().ceil() as i32;
    let values = decades.flat_map(|decade| {
        // Divided and not multiplied by a tenth, so that 22e-9 is 22e-9.
        let value = move |ten: u32| {
            let (ten, power) = (f64::from(ten), 10_f64.powi((decade - 1).abs()));
            if decade < 1 { ten / power } else { ten * power }
        };
        E24.into_iter().step_by(every).map(value)
    });
    values.filter(|value| (least * 0.995..=most * 1.005).contains(value)).collect()
}
