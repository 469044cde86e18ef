//! When strings are plucked: the bend of the signal (its second difference, in which the pick's noise counts more than what still
//! rings) rises at once over what it was.

/// Length of a hop, in seconds.
const HOP: f64 = 0.005;
/// What is remembered before a pluck that is found, in seconds.
pub(super) const LOOK_BACK: f64 = 0.06;
/// What it was: the mean over so many hops, some hops ago.
const WAS: usize = 10;
const AGO: usize = 2;
/// A pluck rises over what was by this, as a power: 9 dB.
const RISES: f64 = 8.0;
/// It is no more below the strongest so far than this, as a power: 50 dB.
const STRONG: f64 = 1e-5;
/// The least bend that is no rounding of samples, as a power.
const LEAST: f64 = 1e-11;
/// Two plucks are at least so far from each other, in hops: 0.15 s.
const APART: u64 = 30;

struct Bend {
    last: f32,
    last_but_one: f32,
}

/// Listens for plucks.
pub(super) struct Onsets {
    channels: Vec<Bend>,
    hop: usize,
    within: usize,
    frames: u64,
    power: f64,
    sound: f64,
    /// Bends by their sizes in the last hops, to find where one begins.
    sizes: Vec<f32>,
    history: [f64; WAS + AGO],
    hops: u64,
    strongest: f64,
    quietest: f64,
    last: Option<u64>,
}

impl Onsets {
    pub(super) fn new(channels: u8, rate: u32) -> Self {
        Self {
            channels: (0..channels).map(|_| Bend { last: 0.0, last_but_one: 0.0 }).collect(),
            hop: ((f64::from(rate) * HOP) as usize).max(1),
            within: 0,
            frames: 0,
            power: 0.0,
            sound: 0.0,
            sizes: Vec::new(),
            history: [0.0; WAS + AGO],
            hops: 0,
            strongest: 0.0,
            quietest: f64::INFINITY,
            last: None,
        }
    }

    /// How many frames end the hop that began.
    pub(super) fn left_of_hop(&self) -> usize {
        self.hop - self.within
    }

    /// The quietest tenth of a second so far, as a power.
    pub(super) fn quietest(&self) -> f64 {
        if self.quietest.is_finite() { self.quietest } else { 0.0 }
    }

    /// Hears no more than is left of a hop; answers the frame of a pluck when one was found.
    pub(super) fn hear(&mut self, samples: &[f32]) -> Option<u64> {
        for frame in samples.chunks_exact(self.channels.len()) {
            let mut size = 0.0;
            for (bend, sample) in self.channels.iter_mut().zip(frame) {
                let bends = sample - 2.0 * bend.last + bend.last_but_one;
                (bend.last_but_one, bend.last) = (bend.last, *sample);
                size += bends * bends;
                self.sound += f64::from(*sample) * f64::from(*sample);
            }
            self.power += f64::from(size);
            self.sizes.push(size);
            self.within += 1;
            self.frames += 1;
        }
        if self.within < self.hop {
            return None;
        }
        self.within = 0;
        let (power, sound) = (self.power / self.hop as f64, self.sound / self.hop as f64);
        (self.power, self.sound) = (0.0, 0.0);
        if sound > 0.0 {
            self.quietest = self.quietest.min(sound);
        }
        self.hops += 1;
        self.strongest = self.strongest.max(power);
        let was = self.history[..WAS].iter().sum::<f64>() / WAS as f64;
        let found = power > RISES * was
            && power > STRONG * self.strongest
            && power > LEAST
            && self.last.is_none_or(|last| self.hops > last + APART);
        self.history.rotate_left(1);
        self.history[WAS + AGO - 1] = power;
        let pluck = found.then(|| {
            self.last = Some(self.hops);
            self.beginning(was)
        });
        let kept = (AGO + 2) * self.hop;
        if self.sizes.len() > kept {
            self.sizes.drain(..self.sizes.len() - kept);
        }
        pluck
    }

    /// The first frame of the last hops whose bend stands out of what was, and is a good part of the strongest.
    fn beginning(&self, was: f64) -> u64 {
        let strongest = self.sizes.iter().copied().fold(0.0, f32::max);
        let least = (strongest * 0.04).max((was * 9.0) as f32).min(strongest);
        let first = self.sizes.iter().position(|size| *size >= least).unwrap_or(0);
        self.frames - (self.sizes.len() - first) as u64
    }
}
