//! Posts into sets of equal height: which posts stand together, and what is ground off which.
//!
//! Lengths here are whole numbers in one unit of the caller's choice (nanometres on the pages, 1e-10 mm
//! in `tripoise calc`), so sums and ties are exact and every answer is the same everywhere.
//!
//! What this does not do: know codes. Posts are places in a list; the caller lists them in code order,
//! and of posts of equal height the one listed first is taken first.
//!
//! Start reading at [`best_sets`] (all posts free), then [`keep`] (present sets stay together) and
//! [`own_limits`] (each post has its own limit for grinding).
pub mod keep;
pub mod own_limits;
mod windows;

use std::cmp::Ordering;
pub use windows::best_sets;

/// How many posts stand under one shelf.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum SetSize {
    /// Two: a bridge, or the pair at the far end.
    Two,
    /// Three: cannot rock.
    Three,
    /// Four: rocks unless all four agree.
    Four,
}

impl SetSize {
    /// The number of posts.
    #[must_use]
    pub const fn posts(self) -> usize {
        match self {
            Self::Two => 2,
            Self::Three => 3,
            Self::Four => 4,
        }
    }

    /// The size with `posts` posts, if there is one.
    #[must_use]
    pub const fn of(posts: usize) -> Option<Self> {
        match posts {
            2 => Some(Self::Two),
            3 => Some(Self::Three),
            4 => Some(Self::Four),
            _ => None,
        }
    }
}

/// What makes posts a set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rules {
    /// Posts to a set.
    pub set_size: SetSize,
    /// Greatest spread (highest less lowest) of a finished set, guard band already taken off.
    /// Below 0 no set is accepted.
    pub tolerance: i64,
    /// The most that may be ground off one post; 0 where none is ground.
    pub dress_max: i64,
}

/// What one set costs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SetCost {
    /// Material ground off its posts, summed.
    pub removed: i64,
    /// Highest less lowest after grinding.
    pub spread: i64,
}

impl Rules {
    /// How much comes off a post of `height` in a set whose lowest post is `lowest`.
    #[must_use]
    pub fn cut(&self, lowest: i64, height: i64) -> i64 {
        height.saturating_sub(lowest).saturating_sub(self.tolerance).max(0)
    }

    /// What a set of these heights costs, or nothing where it cannot be one.
    ///
    /// # Source
    /// The lowest post is never ground, as that only widens the spread; each higher one is ground just
    /// enough, which leaves a spread of the tolerance or, where nothing is ground, the spread it had.
    #[must_use]
    pub fn judge(&self, ascending: &[i64]) -> Option<SetCost> {
        let (lowest, highest) = (*ascending.first()?, *ascending.last()?);
        let spread = highest.saturating_sub(lowest);
        if self.tolerance < 0 || spread > self.tolerance.saturating_add(self.dress_max.max(0)) {
            return None;
        }
        let cuts = ascending.iter().map(|height| self.cut(lowest, *height));
        Some(SetCost { removed: cuts.fold(0, i64::saturating_add), spread: spread.min(self.tolerance) })
    }
}

/// What an answer is worth. The greater is the better: more sets, then less removed, then less spread.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub struct Worth {
    /// Sets made.
    pub n_sets: usize,
    /// Material ground off, summed over all sets.
    pub removed: i64,
    /// Spreads after grinding, summed over all sets.
    pub spread: i64,
}

impl Worth {
    /// This with one more set.
    #[must_use]
    pub fn with(self, set: SetCost) -> Self {
        Self {
            n_sets: self.n_sets.saturating_add(1),
            removed: self.removed.saturating_add(set.removed),
            spread: self.spread.saturating_add(set.spread),
        }
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            n_sets: self.n_sets.saturating_add(other.n_sets),
            removed: self.removed.saturating_add(other.removed),
            spread: self.spread.saturating_add(other.spread),
        }
    }
}

impl Ord for Worth {
    fn cmp(&self, other: &Self) -> Ordering {
        self.n_sets
            .cmp(&other.n_sets)
            .then(other.removed.cmp(&self.removed))
            .then(other.spread.cmp(&self.spread))
    }
}

impl PartialOrd for Worth {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Which posts stand together. Posts are places in the list of heights that was asked about.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Grouping {
    set_size: SetSize,
    members: Vec<usize>,
    /// The posts in no set, from the lowest up.
    pub unmatched: Vec<usize>,
    /// Sets, material removed and spread in all.
    pub worth: Worth,
}

impl Grouping {
    /// The sets, each from its lowest post up; sets in the order of their lowest posts.
    pub fn sets(&self) -> impl ExactSizeIterator<Item = &[usize]> {
        self.members.chunks_exact(self.set_size.posts())
    }
}

/// Places of `heights` from the lowest up, equal ones as listed.
fn ascending(heights: &[i64]) -> Vec<(i64, usize)> {
    let mut order: Vec<(i64, usize)> = heights.iter().copied().zip(0..).collect();
    order.sort_unstable();
    order
}
