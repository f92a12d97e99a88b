//! How long pieces of one material last in one kiln: who was retired, who still serves, what a firing costs.
//!
//! What this does not do: fit ([`crate::life`] does), or say when a piece is done. Pieces set aside for a reason
//! that is not wear or breakage count for the firings they had and for nothing after, as those in service do.
use crate::event::values::{Material, RetireReason};
use crate::ids::KilnId;
use crate::life::kaplan_meier::{Step, kaplan_meier, median};
use crate::life::weibull::{NoFit, Weibull, fit_weibull};
use crate::life::{Age, Piece, by_age};
use crate::world::World;
use std::collections::BTreeMap;

/// Shelves or posts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Kind {
    /// Shelves.
    Shelves,
    /// Posts.
    Posts,
}

/// How a piece's life stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// It serves.
    InService,
    /// It wore out or broke.
    WornOut,
    /// It was set aside for another reason: sold, lost, given away.
    Otherwise,
}

/// One piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct One {
    /// All its firings.
    pub firings: u32,
    /// Those from before the record began.
    pub before: u32,
    /// How its life stands.
    pub end: End,
    /// What it cost, in hundredths.
    pub price_cents: Option<i64>,
}

/// Pieces of one kind and material in one kiln.
#[derive(Clone, PartialEq, Debug)]
pub struct Batch {
    /// Shelves or posts.
    pub kind: Kind,
    /// The material.
    pub material: Material,
    /// The kiln whose racks they are in.
    pub kiln: KilnId,
    /// The pieces.
    pub pieces: Vec<One>,
}

/// What is known of a batch's life.
#[derive(Clone, PartialEq, Debug)]
pub struct Lifespan {
    /// By age, from the youngest.
    pub ages: Vec<Age>,
    /// The survival curve, without any law.
    pub steps: Vec<Step>,
    /// The first age that at most half outlast.
    pub median: Option<f64>,
    /// A Weibull law, or why there is none.
    pub law: Result<Weibull, NoFit>,
}

/// Price over firings got, summed over the pieces whose price is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Cost {
    /// How many pieces.
    pub n_pieces: usize,
    /// What they cost.
    pub cents: i64,
    /// What they were fired.
    pub firings: u64,
}

impl Cost {
    /// Hundredths a firing; none where nothing was fired.
    #[must_use]
    pub fn cents_per_firing(&self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "sums of prices and firings are far below 2^53")]
        let (cents, firings) = (self.cents as f64, self.firings as f64);
        (self.firings > 0).then(|| cents / firings)
    }

    fn with(self, one: &One) -> Self {
        match one.price_cents {
            Some(cents) => Self {
                n_pieces: self.n_pieces + 1,
                cents: self.cents.saturating_add(cents),
                firings: self.firings.saturating_add(u64::from(one.firings)),
            },
            None => self,
        }
    }
}

/// Whether a reason for setting a piece aside is wear or breakage.
///
/// # Source   House choice: every reason that names what became of the piece is. A piece is cut down because it
/// cracked or warped. "Another reason" is where sold, lost and given away go, and is not.
#[must_use]
pub const fn is_worn_out(reason: RetireReason) -> bool {
    match reason {
        RetireReason::Cracked
        | RetireReason::Warped
        | RetireReason::Thin
        | RetireReason::Short
        | RetireReason::Broken
        | RetireReason::Spent
        | RetireReason::CutDown => true,
        RetireReason::Other => false,
    }
}

/// Every batch: shelves before posts, then by material and kiln.
#[must_use]
pub fn batches(world: &World) -> Vec<Batch> {
    let mut found: BTreeMap<(Kind, Material, KilnId), Vec<One>> = BTreeMap::new();
    let end = |retired: Option<RetireReason>| match retired {
        None => End::InService,
        Some(reason) if is_worn_out(reason) => End::WornOut,
        Some(_) => End::Otherwise,
    };
    for shelf in world.shelves.values() {
        found.entry((Kind::Shelves, shelf.material, shelf.kiln)).or_default().push(One {
            firings: shelf.firings(),
            before: shelf.firings_before,
            end: end(shelf.retired.as_ref().map(|retired| retired.reason)),
            price_cents: shelf.price_cents,
        });
    }
    for post in world.posts.values() {
        found.entry((Kind::Posts, post.material, post.kiln)).or_default().push(One {
            firings: post.firings(),
            before: post.firings_before,
            end: end(post.retired.as_ref().map(|retired| retired.reason)),
            price_cents: post.price_cents,
        });
    }
    let batch = |((kind, material, kiln), pieces)| Batch { kind, material, kiln, pieces };
    found.into_iter().map(batch).collect()
}

impl Batch {
    /// How many pieces stand so.
    #[must_use]
    pub fn count(&self, end: End) -> usize {
        self.pieces.iter().filter(|one| one.end == end).count()
    }

    /// The pieces as the calculation takes them: one set aside otherwise counts as one in service, up to then.
    fn lives(&self) -> Vec<Piece> {
        let life = |one: &One| Piece { firings: f64::from(one.firings), retired: one.end == End::WornOut };
        self.pieces.iter().map(life).collect()
    }

    /// The survival curve, the median and the law.
    #[must_use]
    pub fn lifespan(&self) -> Lifespan {
        let ages = by_age(&self.lives());
        let steps = kaplan_meier(&ages);
        Lifespan { median: median(&steps), law: fit_weibull(&ages), steps, ages }
    }

    /// How many of those in service now are expected to be retired within the next firings.
    #[must_use]
    pub fn expected(&self, law: &Weibull, next: u32) -> f64 {
        let serving = self.pieces.iter().filter(|one| one.end == End::InService);
        serving.map(|one| law.retired_within(f64::from(one.firings), f64::from(next))).sum()
    }

    /// What a firing cost: over all pieces so far, and over those that are retired, whose sum is final.
    #[must_use]
    pub fn costs(&self) -> (Cost, Cost) {
        let sum =
            |ones: &mut dyn Iterator<Item = &One>| ones.fold(Cost::default(), |cost, one| cost.with(one));
        (sum(&mut self.pieces.iter()), sum(&mut self.pieces.iter().filter(|one| one.end == End::WornOut)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::PieceRetired;
    use crate::event::values::Piece as AnyPiece;
    use crate::testing::Studio;

    #[test]
    fn wear_and_breakage_end_a_life_and_another_reason_only_stops_counting_it() {
        let (mut studio, kiln) = Studio::with_kiln();
        let shelves: Vec<_> =
            ["F01", "F02", "F03", "F04"].iter().map(|code| studio.shelf(code, kiln)).collect();
        let pieces: Vec<AnyPiece> = shelves.iter().map(|shelf| AnyPiece::Shelf(*shelf)).collect();
        let retire = |studio: &mut Studio, at: usize, reason| {
            studio.record(PieceRetired { piece: pieces[at], reason, note: String::new() });
        };
        studio.fire(kiln, &pieces);
        retire(&mut studio, 0, RetireReason::Cracked);
        studio.fire(kiln, &pieces[1..]);
        retire(&mut studio, 1, RetireReason::Other);
        studio.fire(kiln, &pieces[2..]);
        retire(&mut studio, 2, RetireReason::Warped);
        let batches = batches(&studio.world());
        let [batch] = batches.as_slice() else { panic!("{batches:?}") };
        assert_eq!(
            (batch.count(End::WornOut), batch.count(End::Otherwise), batch.count(End::InService)),
            (2, 1, 1)
        );
        let lifespan = batch.lifespan();
        // 20 firings before; at 21 one of four, at 23 one of the two that are left.
        let steps: Vec<(f64, usize)> =
            lifespan.steps.iter().map(|step| (step.firings, step.at_risk)).collect();
        assert_eq!(steps, [(21.0, 4), (23.0, 2)]);
        assert!((lifespan.steps[1].survival - 0.375).abs() < 1e-15);
        assert_eq!(lifespan.median, Some(23.0));
        // Only the one in service can still be retired.
        let expected = lifespan.law.as_ref().map(|law| batch.expected(law, 1_000_000));
        assert!(expected.is_ok_and(|expected| (expected - 1.0).abs() < 1e-9));
        let (all, retired) = batch.costs();
        assert_eq!((all.n_pieces, all.cents, all.firings), (4, 33_600, 21 + 22 + 23 + 23));
        assert_eq!((retired.n_pieces, retired.cents, retired.firings), (2, 16_800, 44));
        assert_eq!(retired.cents_per_firing(), Some(16_800.0 / 44.0));
        assert_eq!(Cost::default().cents_per_firing(), None);
    }
}
