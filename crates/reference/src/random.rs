//! Seeded numbers, the same on every machine (SplitMix64; Steele, Lea, Flood 2014).

/// A stream of numbers that its seed decides.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// The stream of that seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Uniform in `[0, 1)`.
    pub fn unit(&mut self) -> f64 {
        f64::from(u32::try_from(self.bits() >> 32).unwrap_or(0)) / 4_294_967_296.0
    }

    /// Uniform between two values.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// One of `0..count`.
    pub fn below(&mut self, count: usize) -> usize {
        let wide = u64::try_from(count.max(1)).unwrap_or(1);
        usize::try_from(self.bits() % wide).unwrap_or(0)
    }

    /// True with that probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }
}
