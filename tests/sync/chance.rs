//! Repeatable chance: one seed, one schedule.
use uuid::Uuid;

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory): one seed, the same schedule everywhere.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d))
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from 0 up to, not including, `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.bits() % n.max(1)
    }

    /// An index into something `len` long.
    pub fn index(&mut self, len: usize) -> usize {
        usize::try_from(self.below(len as u64)).unwrap_or(0)
    }

    /// One of these.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        if from.is_empty() { None } else { from.get(self.index(from.len())) }
    }

    /// True once in `n`.
    pub fn one_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }

    pub fn uuid(&mut self) -> Uuid {
        Uuid::from_u64_pair(self.bits(), self.bits())
    }
}
