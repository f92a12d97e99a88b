//! Repeatable chance: one seed, the same studio every time.

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory): enough for a demo, and the same everywhere.
pub struct Chance(u64);

impl Chance {
    /// From a seed.
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

    /// Evenly from 0 up to, not including, 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double")]
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    /// Evenly from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True in `share` of cases.
    pub fn happens(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// About normal with standard deviation 1: twelve even draws, less their mean.
    pub fn about_normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}
