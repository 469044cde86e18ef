//! Seeded chance.

/// Random numbers that fall the same way again from the same seed (SplitMix64, by Steele, Lea and Flood, OOPSLA 2014).
#[derive(Debug, Clone)]
pub struct Chance(pub u64);

/// The number that a variable of the environment says, or else the usual one: seeds and how many are tried.
#[must_use]
pub fn number(variable: &str, usual: u64) -> u64 {
    std::env::var(variable).ok().and_then(|said| said.parse().ok()).unwrap_or(usual)
}

impl Chance {
    /// From `SOLDERLAST_SEED`, or from this seed.
    #[must_use]
    pub fn seeded(usual: u64) -> Self {
        Self(number("SOLDERLAST_SEED", usual))
    }

    /// From `SOLDERLAST_SEED`, or from the clock. The seed is printed, so that a run that failed can be repeated.
    #[must_use]
    pub fn of_the_moment() -> Self {
        let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
        let chance = Self::seeded(since.map_or(0, |since| since.as_nanos() as u64));
        println!("SOLDERLAST_SEED={}", chance.0);
        chance
    }

    /// Any number.
    #[expect(clippy::should_implement_trait, reason = "chance has no end, so nothing to iterate to")]
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Evenly on a logarithmic scale.
    pub fn in_ratio(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// A whole number from 0 on and below `end`; 0 where `end` is.
    pub fn below<N: Whole>(&mut self, end: N) -> N {
        N::of(self.next() % end.size().max(1))
    }

    /// A whole number from `least` to `most`.
    pub fn whole(&mut self, least: u32, most: u32) -> u32 {
        least + (self.next() % (u64::from(most.saturating_sub(least)) + 1)) as u32
    }

    /// Heads or tails.
    pub fn flip(&mut self) -> bool {
        self.below(2_u8) == 1
    }

    /// One of these, which must not be empty.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }

    /// A copy of one of these, which must not be empty.
    pub fn of<T: Clone>(&mut self, from: &[T]) -> T {
        self.pick(from).clone()
    }
}

/// Whole numbers that are drawn.
pub trait Whole {
    /// Its size, 0 where it is below that.
    fn size(self) -> u64;
    /// One of this size, the largest there is where that is too large.
    fn of(size: u64) -> Self;
}

macro_rules! whole {
    ($($number:ty)*) => {$(
        impl Whole for $number {
            fn size(self) -> u64 {
                u64::try_from(self).unwrap_or(0)
            }

            fn of(size: u64) -> Self {
                Self::try_from(size).unwrap_or(Self::MAX)
            }
        }
    )*};
}

whole!(u8 u32 u64 usize i32 i64);
