//! A post's height over its firings since it was last dressed, and the limits that it wears down to.
//!
//! What this does not do: foretell the rocking gap of four posts, which hangs on all of them at once.
use super::{Way, Wear};
use crate::judge::decision::uncertainty;
use crate::judge::post::short_limit;
use crate::settings::{SettingKey, Settings};
use crate::trend::{NoLine, Reading};
use crate::units::Length;
use crate::world::{Post, PostSet, World};

/// A height that a post wears down to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HeightLimit {
    /// The height.
    pub at: Length,
    /// What the post does there: "leaves its set K03", "is too short".
    pub does: String,
    /// Why it is there.
    pub why: String,
}

/// The line through a post's readings since its last dressing.
///
/// # Errors   [`NoLine`].
pub fn wear(settings: &Settings, post: &Post) -> Result<Wear, NoLine> {
    let fresh = || post.readings.iter().filter(|reading| !reading.stale);
    let reading = |reading: &crate::world::PostReading| Reading {
        firing: f64::from(reading.firings_then),
        value_mm: reading.height.mm(),
    };
    // Of the coarsest instrument among them.
    let u = fresh().map(|reading| uncertainty(settings, reading.instrument)).max().unwrap_or_default();
    Wear::of(fresh().map(reading).collect(), post.firings(), u)
}

/// The height under which a set of three is further apart than is accepted, given the other posts' present
/// heights; none where one of them has none, or the set has four posts.
#[must_use]
pub fn set_limit(world: &World, post: &Post, set: &PostSet) -> Option<Length> {
    if set.posts.len() != 3 {
        return None;
    }
    let others = set.posts.iter().filter(|id| **id != post.id);
    let heights: Option<Vec<Length>> = others
        .map(|id| world.posts.get(id).and_then(Post::height_reading).map(|reading| reading.height))
        .collect();
    let highest = heights?.into_iter().max()?;
    Some(highest - world.settings.length(SettingKey::SpreadLimit))
}

/// The limits that a post wears down to, its set's first.
#[must_use]
pub fn limits(world: &World, post: &Post, say: impl Fn(Length) -> String) -> Vec<HeightLimit> {
    let mut limits = Vec::new();
    if let Some(set) = world.set_of(post.id)
        && let Some(at) = set_limit(world, post, set)
    {
        let accepted = world.settings.length(SettingKey::SpreadLimit);
        limits.push(HeightLimit {
            at,
            does: format!("leaves its set {}", set.code),
            why: format!(
                "at {}, {} under the highest of the others as they were last measured",
                say(at),
                say(accepted)
            ),
        });
    }
    let short = short_limit(&world.settings, post.nominal);
    limits.push(HeightLimit {
        at: post.nominal - short,
        does: "is too short".to_owned(),
        why: format!("at {}, {} under nominal", say(post.nominal - short), say(short)),
    });
    limits
}

/// Which way heights wear.
pub const WAY: Way = Way::Down;
