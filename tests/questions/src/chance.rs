//! Repeatable chance: one seed, the same questions everywhere.
//!
//! What this does not do: cryptography, or anything where evenness to the last bit matters.

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory): enough to make up shelves.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// From a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from `low` to `high`.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double")]
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.bits() >> 11) as f64 / 9_007_199_254_740_992.0)
    }

    /// As [`Self::between`], rounded to thousandths as a person would give it.
    pub fn typed(&mut self, low: f64, high: f64) -> f64 {
        (self.between(low, high) * 1000.0).round() / 1000.0
    }

    /// A whole number from `low` up to, not including, `high`.
    ///
    /// # Limits   `low` where `high` is not above it.
    #[expect(clippy::cast_possible_truncation, reason = "below a usize")]
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        let width = high.saturating_sub(low).max(1) as u64;
        low + (self.bits() % width) as usize
    }

    /// One of a few.
    pub fn one_of<T: Copy>(&mut self, of: &[T], otherwise: T) -> T {
        of.get(self.whole(0, of.len())).copied().unwrap_or(otherwise)
    }

    /// True once in `n` times.
    pub fn once_in(&mut self, n: u64) -> bool {
        self.bits().is_multiple_of(n)
    }
}
