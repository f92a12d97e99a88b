//! A shelf on four posts: it rests on three and rocks by the gap at the fourth.
//!
//! What this does not do: bend the shelf. A thin one may close a small gap under its load.
use super::PlanPoint;
use super::three_post::{Post, gradient};
use super::triangle::Triangle;
use thiserror::Error;

/// Which two posts, across from each other, always carry.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Diagonal {
    /// The first and the third.
    FirstThird,
    /// The second and the fourth.
    SecondFourth,
}

/// How a rigid flat shelf sits on four posts.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct FourPosts {
    /// z1 − z2 + z3 − z4: on a parallelogram, what keeps the heads from lying in one plane.
    pub twist_mm: f64,
    /// Per post, the plane through the other three less its height: above 0 it stands free, below 0 it
    /// carries and another stands free.
    pub gaps_mm: [f64; 4],
    /// The greatest gap: how far the shelf rocks down at one post while it rests on the other three.
    pub gap_mm: f64,
    /// The two posts that always carry; nothing where all four do.
    pub resting: Option<Diagonal>,
    /// The gap at each free post when the shelf is balanced over the resting diagonal.
    pub balanced_gap_mm: f64,
}

/// Why the gaps cannot be given.
#[derive(Clone, Copy, PartialEq, Debug, Error)]
pub enum FourPostError {
    /// Three of the four are in one line.
    #[error("three of the four stand in one line; give posts that form a quadrilateral")]
    OneLine,
    /// Not in order around the shelf, or one inside the triangle of the others.
    #[error("the four do not follow each other around the shelf; give them in order around it")]
    NotAround,
}

/// Works out the gaps of four posts, given in order around the shelf.
///
/// # Input    any convex quadrilateral, either way around; finite heights.
/// # Errors   [`FourPostError`]. Never returns NaN.
/// # Source   plane geometry; on a parallelogram every gap is ±twist, whichever the post; checked in
/// tests/reference/support.rs
pub fn judge(posts: &[Post; 4]) -> Result<FourPosts, FourPostError> {
    let [a, b, c, d] = *posts;
    let heights = posts.map(|post| post.height_mm);
    check_around(posts)?;
    let gaps_mm = [gap([b, c, d], a)?, gap([c, d, a], b)?, gap([d, a, b], c)?, gap([a, b, c], d)?];
    let gap_mm = gaps_mm.into_iter().fold(0.0, f64::max);
    // Where the diagonals cross, the higher of the two carries.
    let (first, second) = crossing(posts).ok_or(FourPostError::NotAround)?;
    let along = |from: f64, to: f64, part: f64| from + part * (to - from);
    let over = along(heights[0], heights[2], first) - along(heights[1], heights[3], second);
    let resting = if over > 0.0 {
        Some(Diagonal::FirstThird)
    } else if over < 0.0 {
        Some(Diagonal::SecondFourth)
    } else {
        None
    };
    Ok(FourPosts {
        twist_mm: heights[0] - heights[1] + heights[2] - heights[3],
        gaps_mm,
        gap_mm,
        resting,
        // Balanced, both free posts show one gap g. At the crossing the plane stands `over` above their chord,
        // and a mean of g and g by the crossing's parts is g.
        balanced_gap_mm: over.abs(),
    })
}

/// The plane through three posts at the fourth, less its height.
fn gap(others: [Post; 3], post: Post) -> Result<f64, FourPostError> {
    let triangle = Triangle::new(others.map(|other| other.place())).ok_or(FourPostError::OneLine)?;
    let [x, y] = gradient(&triangle, others.map(|other| other.height_mm));
    let [first, ..] = others;
    Ok(first.height_mm - post.height_mm + x * (post.x_mm - first.x_mm) + y * (post.y_mm - first.y_mm))
}

fn check_around(posts: &[Post; 4]) -> Result<(), FourPostError> {
    let [a, b, c, d] = posts.map(|post| post.place());
    let turn = |a: PlanPoint, b: PlanPoint, c: PlanPoint| {
        Triangle::new([a, b, c]).map(|t| t.area() > 0.0).ok_or(FourPostError::OneLine)
    };
    let turns = [turn(a, b, c)?, turn(b, c, d)?, turn(c, d, a)?, turn(d, a, b)?];
    if turns.iter().all(|left| *left == turns[0]) { Ok(()) } else { Err(FourPostError::NotAround) }
}

/// How far along each diagonal they cross, 0 to 1.
fn crossing(posts: &[Post; 4]) -> Option<(f64, f64)> {
    let [a, b, c, d] = posts.map(|post| post.place());
    let (px, py) = (c.x_mm - a.x_mm, c.y_mm - a.y_mm);
    let (qx, qy) = (d.x_mm - b.x_mm, d.y_mm - b.y_mm);
    let (rx, ry) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let both = px * qy - py * qx;
    let found = ((rx * qy - ry * qx) / both, (rx * py - ry * px) / both);
    (found.0.is_finite() && found.1.is_finite()).then_some(found)
}
