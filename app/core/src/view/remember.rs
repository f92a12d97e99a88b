//! What a form begins with because the last one was filled in so: the mask and the minutes of a grinding.
//!
//! What this does not do: know which phone it was. It is the studio's last entry, whoever made it.
use crate::event::Body;
use crate::event::values::{GrindMethod, Mask};
use crate::world::World;
use jiff::civil::Date;
use jiff::tz::Offset;
use serde::{Deserialize, Serialize};

/// How the last grinding or dressing was done.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Bench {
    /// Wet or dry.
    pub method: GrindMethod,
    /// What was worn.
    pub mask: Mask,
    /// How long it took, where that was noted.
    pub minutes: Option<u32>,
    /// The day, in UTC.
    pub on: Date,
}

impl Bench {
    /// The last grinding of a shelf.
    #[must_use]
    pub fn of_grinding(world: &World) -> Option<Self> {
        last(world, |body| match body {
            Body::ShelfGround(b) => Some((b.method, b.mask, b.minutes)),
            _ => None,
        })
    }

    /// The last dressing of a post.
    #[must_use]
    pub fn of_dressing(world: &World) -> Option<Self> {
        last(world, |body| match body {
            Body::PostDressed(b) => Some((b.method, b.mask, b.minutes)),
            _ => None,
        })
    }
}

fn last(world: &World, read: impl Fn(&Body) -> Option<(GrindMethod, Mask, Option<u32>)>) -> Option<Bench> {
    world.log.iter().rev().find_map(|entry| {
        let (method, mask, minutes) = read(entry.counting()?)?;
        let on = Offset::UTC.to_datetime(entry.event.observed_at).date();
        Some(Bench { method, mask, minutes, on })
    })
}
