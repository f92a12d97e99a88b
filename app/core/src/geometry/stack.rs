//! A whole column of shelves: how far it leans, how its slopes add up, and what keeps it from tipping.
//!
//! Rigid parts, small angles, posts square to the plane they stand on, the floor level at height 0.
//!
//! What this does not do: bend shelves, crush posts, or move anything; friction and the kiln's own shake
//! are not in it.
//!
//! Start reading at [`stand`].
use super::PlanPoint;
use super::three_post::{Post, gradient};
use super::triangle::Triangle;
use thiserror::Error;

/// A shelf that lies from the plan's origin to (length, width), its mass at its middle.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct LaidShelf {
    /// Along x.
    pub length_mm: f64,
    /// Along y.
    pub width_mm: f64,
    /// How thick; may be 0 in a thought experiment.
    pub thickness_mm: f64,
    /// Its mass, above 0.
    pub mass_kg: f64,
}

/// Ware on a shelf.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct PlacedLoad {
    /// Where its centre is in plan.
    pub at: PlanPoint,
    /// Its mass.
    pub mass_kg: f64,
    /// How high its centre is above the shelf's top.
    pub centre_height_mm: f64,
}

/// One layer: three posts, the shelf on them, and what stands on it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Layer {
    /// The posts under the shelf.
    pub posts: [Post; 3],
    /// The shelf.
    pub shelf: LaidShelf,
    /// The ware on it.
    pub loads: Vec<PlacedLoad>,
}

/// How one layer stands.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct StandingLayer {
    /// Height of the shelf's top over the floor.
    pub top_mm: f64,
    /// Steepest slope of the shelf.
    pub slope_mm_per_m: f64,
    /// How far the shelf's top has moved sideways.
    pub lean_mm: f64,
    /// Each post's plan distance from the nearest post of the layer below; nothing in the bottom layer.
    pub post_offsets_mm: Option<[f64; 3]>,
    /// Least signed distance from the centre of mass of all that these posts carry to the sides of their
    /// triangle; negative where it tips.
    pub margin_mm: f64,
    /// All that these posts carry.
    pub carried_kg: f64,
}

/// How a stack stands.
#[derive(Clone, PartialEq, Debug)]
pub struct StandingStack {
    /// Each layer, the bottom one first.
    pub layers: Vec<StandingLayer>,
    /// Height of the topmost shelf's top over the floor.
    pub height_mm: f64,
    /// How far that top has moved sideways.
    pub lean_mm: f64,
    /// Everything, posts left out.
    pub mass_kg: f64,
    /// The layer with the least margin; the lowest of equals.
    pub worst_layer: usize,
    /// That margin.
    pub worst_margin_mm: f64,
}

/// Why a stack cannot be worked out.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
pub enum StackError {
    /// Posts that span no triangle.
    #[error("layer {layer}: its three posts stand in one line and hold no shelf; move one of them")]
    PostsInLine {
        /// The layer, from 0 at the bottom.
        layer: usize,
    },
    /// Nothing to weigh.
    #[error("layer {layer}: nothing at or above it has a mass; give the shelf its mass")]
    Weightless {
        /// The layer, from 0 at the bottom.
        layer: usize,
    },
    /// No layer at all.
    #[error("a stack needs at least one layer; add one")]
    Empty,
}

/// A vector in plan.
#[derive(Clone, Copy, Default)]
struct Plan {
    x: f64,
    y: f64,
}

impl Plan {
    fn of(at: PlanPoint) -> Self {
        Self { x: at.x_mm, y: at.y_mm }
    }
    fn plus(self, other: Self, factor: f64) -> Self {
        Self { x: self.x + factor * other.x, y: self.y + factor * other.y }
    }
    fn length(self) -> f64 {
        libm::hypot(self.x, self.y)
    }
    fn point(self) -> PlanPoint {
        PlanPoint { x_mm: self.x, y_mm: self.y }
    }
}

/// Works out how a stack stands.
///
/// # Input    layers from the bottom up, all in one plan; at least one.
/// # Returns
/// With G the slope, g that of the layer's own posts, h their mean height, t the thickness and E the lean:
/// G_i = G_(i−1) + g_i; E_i = E_(i−1) − G_(i−1) h_i − G_i t_i. A load with its centre c above its shelf
/// has moved by E_i − G_i c, a shelf's own centre by E_i + G_i t_i / 2.
/// # Errors   [`StackError`].
/// # Limits   Rigid parts and small angles; friction and knocks are not in it.
/// # Source   Statics from the definitions above; checked in tests/reference/stack.rs.
pub fn stand(layers: &[Layer]) -> Result<StandingStack, StackError> {
    let leanings = lean_up(layers)?;
    let mut standing: Vec<StandingLayer> = Vec::with_capacity(layers.len());
    // From the top down, as each layer carries those above it.
    let (mut carried_kg, mut moment) = (0.0, Plan::default());
    for (layer, own) in layers.iter().enumerate().rev() {
        let above = leanings[layer];
        let below = layer.checked_sub(1).map(|below| leanings[below].lean).unwrap_or_default();
        for (mass_kg, at) in masses(own, &above) {
            carried_kg += mass_kg;
            moment = moment.plus(at, mass_kg);
        }
        if carried_kg <= 0.0 {
            return Err(StackError::Weightless { layer });
        }
        let centre = Plan::default().plus(moment, 1.0 / carried_kg).plus(below, -1.0);
        let under = layer.checked_sub(1).map(|under| &layers[under].posts);
        standing.push(StandingLayer {
            top_mm: above.top_mm,
            slope_mm_per_m: 1000.0 * above.slope.length(),
            lean_mm: above.lean.length(),
            post_offsets_mm: under.map(|under| own.posts.map(|post| nearest_mm(post, under))),
            margin_mm: triangle(own).ok_or(StackError::PostsInLine { layer })?.margin(centre.point()),
            carried_kg,
        });
    }
    standing.reverse();
    let (Some(bottom), Some(top)) = (standing.first(), standing.last()) else {
        return Err(StackError::Empty);
    };
    let mut worst = (0, bottom.margin_mm);
    for (layer, own) in standing.iter().enumerate() {
        if own.margin_mm < worst.1 {
            worst = (layer, own.margin_mm);
        }
    }
    Ok(StandingStack {
        height_mm: top.top_mm,
        lean_mm: top.lean_mm,
        mass_kg: bottom.carried_kg,
        worst_layer: worst.0,
        worst_margin_mm: worst.1,
        layers: standing,
    })
}

/// Where one shelf has come to.
#[derive(Clone, Copy, Default)]
struct Leaning {
    top_mm: f64,
    slope: Plan,
    lean: Plan,
}

fn lean_up(layers: &[Layer]) -> Result<Vec<Leaning>, StackError> {
    let mut now = Leaning::default();
    let mut all = Vec::with_capacity(layers.len());
    for (layer, own) in layers.iter().enumerate() {
        let triangle = triangle(own).ok_or(StackError::PostsInLine { layer })?;
        let heights_mm = own.posts.map(|post| post.height_mm);
        let [one, two, three] = heights_mm;
        let [x, y] = gradient(&triangle, heights_mm);
        let mean_mm = (one + two + three) / 3.0;
        let thickness_mm = own.shelf.thickness_mm;
        let slope = now.slope.plus(Plan { x, y }, 1.0);
        let lean = now.lean.plus(now.slope, -mean_mm).plus(slope, -thickness_mm);
        now = Leaning { top_mm: now.top_mm + mean_mm + thickness_mm, slope, lean };
        all.push(now);
    }
    Ok(all)
}

fn triangle(layer: &Layer) -> Option<Triangle> {
    Triangle::new(layer.posts.map(|post| post.place()))
}

/// Each mass of a layer and where it has come to in plan.
fn masses<'a>(layer: &'a Layer, leaning: &'a Leaning) -> impl Iterator<Item = (f64, Plan)> + 'a {
    let shelf = &layer.shelf;
    let middle = Plan { x: shelf.length_mm / 2.0, y: shelf.width_mm / 2.0 };
    let own = middle.plus(leaning.lean, 1.0).plus(leaning.slope, shelf.thickness_mm / 2.0);
    let loads = layer.loads.iter().map(|load| {
        let moved = Plan::of(load.at).plus(leaning.lean, 1.0);
        (load.mass_kg, moved.plus(leaning.slope, -load.centre_height_mm))
    });
    std::iter::once((shelf.mass_kg, own)).chain(loads)
}

fn nearest_mm(post: Post, under: &[Post; 3]) -> f64 {
    let apart = under.map(|other| Plan::of(post.place()).plus(Plan::of(other.place()), -1.0).length());
    apart.into_iter().fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn a_layer() -> impl Strategy<Value = Layer> {
        let height = 40.0..300.0;
        let load = (0.0..500.0, 0.0..400.0, 0.0..8.0, 10.0..200.0).prop_map(
            |(x_mm, y_mm, mass_kg, centre_height_mm)| PlacedLoad {
                at: PlanPoint { x_mm, y_mm },
                mass_kg,
                centre_height_mm,
            },
        );
        let post = |x: std::ops::Range<f64>, y: std::ops::Range<f64>| {
            (x, y, height.clone()).prop_map(|(x_mm, y_mm, height_mm)| Post { x_mm, y_mm, height_mm })
        };
        let posts =
            [post(0.0..100.0, 0.0..100.0), post(400.0..500.0, 0.0..100.0), post(200.0..300.0, 300.0..400.0)];
        let shelf = (1.0..20.0, 0.5..12.0).prop_map(|(thickness_mm, mass_kg)| LaidShelf {
            length_mm: 500.0,
            width_mm: 400.0,
            thickness_mm,
            mass_kg,
        });
        (posts, shelf, prop::collection::vec(load, 0..4)).prop_map(|(posts, shelf, loads)| Layer {
            posts,
            shelf,
            loads,
        })
    }

    fn standing(layers: &[Layer]) -> Result<StandingStack, TestCaseError> {
        stand(layers).map_err(|err| TestCaseError::fail(err.to_string()))
    }

    fn near(one: f64, two: f64) -> bool {
        (one - two).abs() <= 1e-8 * one.abs().max(1.0)
    }

    proptest! {
        #[test]
        fn the_same_height_on_all_three_posts_changes_no_slope(
            mut layers in prop::collection::vec(a_layer(), 1..8), which in 0..8_usize, more in 0.0..50.0
        ) {
            let before = standing(&layers)?;
            let which = which % layers.len();
            layers[which].posts.iter_mut().for_each(|post| post.height_mm += more);
            for (one, two) in before.layers.iter().zip(&standing(&layers)?.layers) {
                prop_assert!(near(one.slope_mm_per_m, two.slope_mm_per_m));
            }
        }

        #[test]
        fn the_mirrored_plan_has_the_mirrored_answers(mut layers in prop::collection::vec(a_layer(), 1..8)) {
            let before = standing(&layers)?;
            for layer in &mut layers {
                layer.posts.iter_mut().for_each(|post| post.x_mm = 500.0 - post.x_mm);
                layer.loads.iter_mut().for_each(|load| load.at.x_mm = 500.0 - load.at.x_mm);
            }
            let after = standing(&layers)?;
            for (one, two) in before.layers.iter().zip(&after.layers) {
                prop_assert!(near(one.lean_mm, two.lean_mm) && near(one.margin_mm, two.margin_mm));
                prop_assert!(near(one.slope_mm_per_m, two.slope_mm_per_m) && near(one.carried_kg, two.carried_kg));
            }
        }

        #[test]
        fn the_order_of_posts_and_loads_changes_nothing(mut layers in prop::collection::vec(a_layer(), 1..8)) {
            let before = standing(&layers)?;
            for layer in &mut layers {
                layer.posts.swap(0, 2);
                layer.loads.reverse();
            }
            for (one, two) in before.layers.iter().zip(&standing(&layers)?.layers) {
                prop_assert!(near(one.lean_mm, two.lean_mm) && near(one.margin_mm, two.margin_mm));
            }
        }

        #[test]
        fn what_stands_above_does_not_move_what_is_below(layers in prop::collection::vec(a_layer(), 2..8)) {
            let (all, fewer) = (standing(&layers)?, standing(&layers[..layers.len() - 1])?);
            for (one, two) in all.layers.iter().zip(&fewer.layers) {
                prop_assert_eq!((one.lean_mm, one.top_mm), (two.lean_mm, two.top_mm));
                prop_assert!(one.carried_kg > two.carried_kg);
            }
        }
    }

    #[test]
    fn says_why_a_stack_cannot_be_worked_out() {
        let post = |x_mm| Post { x_mm, y_mm: 1.0, height_mm: 10.0 };
        let in_line = Layer { posts: [post(0.0), post(1.0), post(2.0)], ..Layer::default() };
        assert_eq!(stand(&[in_line]), Err(StackError::PostsInLine { layer: 0 }));
        assert_eq!(stand(&[]), Err(StackError::Empty));
    }
}
