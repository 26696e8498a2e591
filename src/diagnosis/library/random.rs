//! A small generator of random numbers, so that the same seed gives the same library on every
//! machine and with any number of threads. Not for secrets.

/// The next 64 bits of `SplitMix64`: 64 bits of state, passes the usual batteries (published: Steele, Lea, Flood 2014).
pub fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// A stream of `SplitMix64`.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// A stream of its own for each pair of seed and index.
    pub fn new(seed: u64, index: u64) -> Self {
        let mut r = Self(seed ^ index.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        // Two draws part streams whose seeds differ in few bits.
        r.0 ^= r.bits().rotate_left(17);
        r.bits();
        r
    }

    fn bits(&mut self) -> u64 {
        split_mix(&mut self.0)
    }

    /// Even over 0 to 1, never 0 or 1.
    pub fn uniform(&mut self) -> f64 {
        ((self.bits() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64
    }

    /// Even over a range.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Normal with mean 0 and deviation 1 (Box-Muller).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// A whole number under `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count.saturating_sub(1))
    }
}
