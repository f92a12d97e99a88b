//! What a plan is made from and checked against, small enough to travel with its page: one kiln, what is in its
//! racks, what the plan names, the settings.
//!
//! With it the browser works out the same check as the server while a post is dragged. What this does not do:
//! carry the record. Of each piece's readings only the last few travel; a check asks for no older ones.
use crate::event::plan::PlannedStack;
use crate::ids::{PostId, SetId, ShelfId};
use crate::settings::Settings;
use crate::world::{Kiln, LoadPlan, Post, PostSet, Shelf, World};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Readings that travel with a piece. House choice: both faces' last ones, and one to spare.
const READINGS: usize = 3;

/// A part of the world.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Bench {
    /// The settings in force.
    pub settings: Settings,
    /// The kiln.
    pub kiln: Kiln,
    /// What lies in its racks or was set aside from them, and what the plan names.
    pub shelves: Vec<Shelf>,
    /// Likewise.
    pub posts: Vec<Post>,
    /// The sets that stand together and have a post here.
    pub sets: Vec<PostSet>,
}

/// The pieces that stacks name.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Named {
    /// Shelves.
    pub shelves: BTreeSet<ShelfId>,
    /// Posts.
    pub posts: BTreeSet<PostId>,
    /// Sets.
    pub sets: BTreeSet<SetId>,
}

impl Named {
    /// By these stacks.
    #[must_use]
    pub fn by(stacks: &[PlannedStack]) -> Self {
        let layers = || stacks.iter().flat_map(|stack| &stack.layers);
        Self {
            shelves: layers().flat_map(|layer| &layer.shelves).filter_map(|laid| laid.shelf).collect(),
            posts: layers().flat_map(|layer| &layer.supports).flat_map(|one| &one.posts).copied().collect(),
            sets: layers().filter_map(|layer| layer.set).collect(),
        }
    }
}

impl Bench {
    /// For a kiln and these stacks.
    #[must_use]
    pub fn of(world: &World, kiln: &Kiln, stacks: &[PlannedStack]) -> Self {
        let named = Named::by(stacks);
        let shelves = world
            .shelves
            .values()
            .filter(|one| named.shelves.contains(&one.id) || one.kiln == kiln.id)
            .map(|one| trimmed_shelf(one, named.shelves.contains(&one.id)));
        let posts: Vec<Post> = world
            .posts
            .values()
            .filter(|one| named.posts.contains(&one.id) || one.kiln == kiln.id)
            .map(|one| trimmed_post(one, named.posts.contains(&one.id)))
            .collect();
        let here: BTreeSet<PostId> = posts.iter().map(|post| post.id).collect();
        let sets = world.sets.values().filter(|set| {
            named.sets.contains(&set.id)
                || (set.parted.is_none() && set.posts.iter().any(|post| here.contains(post)))
        });
        Self {
            settings: world.settings.clone(),
            kiln: kiln.clone(),
            shelves: shelves.collect(),
            sets: sets.cloned().collect(),
            posts,
        }
    }

    /// For a plan.
    #[must_use]
    pub fn of_plan(world: &World, plan: &LoadPlan) -> Option<Self> {
        world.kilns.get(&plan.kiln).map(|kiln| Self::of(world, kiln, &plan.stacks))
    }

    /// The part as a world of its own, to be judged by what judges the whole one.
    #[must_use]
    pub fn world(&self) -> World {
        let mut world = World::default();
        world.settings = self.settings.clone();
        world.kilns.insert(self.kiln.id, self.kiln.clone());
        world.shelves.extend(self.shelves.iter().map(|one| (one.id, one.clone())));
        world.posts.extend(self.posts.iter().map(|one| (one.id, one.clone())));
        world.sets.extend(self.sets.iter().map(|one| (one.id, one.clone())));
        world
    }
}

fn last<T: Clone>(all: &[T]) -> Vec<T> {
    all.iter().skip(all.len().saturating_sub(READINGS)).cloned().collect()
}

/// A retired piece that no plan names only tells how long its like have lasted.
fn trimmed_shelf(shelf: &Shelf, is_named: bool) -> Shelf {
    if shelf.retired.is_some() && !is_named {
        let (washes, cracks) = (BTreeMap::new(), BTreeMap::new());
        return Shelf { readings: Vec::new(), washes, cracks, ..shelf.clone() };
    }
    Shelf { readings: last(&shelf.readings), ..shelf.clone() }
}

fn trimmed_post(post: &Post, is_named: bool) -> Post {
    if post.retired.is_some() && !is_named {
        return Post { readings: Vec::new(), ..post.clone() };
    }
    Post { readings: last(&post.readings), ..post.clone() }
}
