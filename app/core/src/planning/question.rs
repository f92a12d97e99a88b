//! A plan's question in numbers: which layers there are, what may go into each, and what that costs.
//!
//! Plain data, so that a page can carry it and search it where there is no world.
//!
//! What this does not do: search; [`super::search`] does.
use super::options::{SetOption, ShelfOption, kinds, set_option, shelf_option, shimmed_option, turns};
use super::room::{END_WASH, needed, roof_over};
use super::sets::{HeightSets, SetsForLoad, sets_of};
use super::wanted::{Wanted, tallest};
use super::{options::Cracked, weights};
use crate::event::plan::{PlannedWare, StackPlace};
use crate::event::values::{Piece, Use};
use crate::judge::shelf::fitness;
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::history::unit_of;
use crate::view::text::{LengthUnit, count, length};
use crate::world::{Kiln, World};
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// Why nothing can be proposed.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum NoProposal {
    /// The kiln is not on record.
    #[error("this kiln is not on record; add it first")]
    NoKiln,
    /// Its inside is not.
    #[error("the inside of {0} is not on record; measure it and give it places for stacks first")]
    NoInside(String),
    /// No such place.
    #[error("{kiln} has no place called {place:?}; choose one of its places")]
    NoPlace {
        /// The kiln's name.
        kiln: String,
        /// What was asked for.
        place: String,
    },
    /// A place twice.
    #[error("two stacks are to stand in {0}; give each a place of its own")]
    PlaceTwice(String),
    /// Nothing asked for.
    #[error("no layer is asked for; give at least one")]
    NoLayer,
    /// Too many.
    #[error("{0} layers are more than a plan has; ask for 60 at most")]
    TooMany(usize),
}

/// The most layers of a plan. House choice: as the record takes; a factory's car holds 48.
const MOST_LAYERS: usize = 60;

/// One layer to be filled.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Slot {
    /// Which stack.
    pub stack: usize,
    /// Which layer of it, from 0 at the floor.
    pub layer: usize,
    /// Layers over it.
    pub above: usize,
    /// The nominal height of its posts.
    pub nominal: Length,
    /// What stands on its shelf.
    pub ware: PlannedWare,
    /// The room that the ware under its shelf needs, between its posts; none where there is none or no choice gives it.
    pub needs: Option<Length>,
}

/// One stack to be filled.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct StackSlots {
    /// Where it stands.
    pub place: StackPlace,
    /// Its layers among all.
    pub slots: Range<usize>,
    /// What posts and shelves may add up to; none where no choice is so low.
    pub room: Option<Length>,
}

/// A plan's question in numbers.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Question {
    /// The layers, stack by stack, from the floor up.
    pub slots: Vec<Slot>,
    /// The stacks.
    pub stacks: Vec<StackSlots>,
    /// The shelves, by code.
    pub shelves: Vec<ShelfOption>,
    /// The sets, by height and code.
    pub sets: Vec<SetOption>,
    /// The least outline of each kind of shelf.
    pub kinds: Vec<crate::outline::Outline>,
    /// Points for a shelf in a layer, layer by layer; none where it may not lie there.
    pub shelf_costs: Vec<Option<i64>>,
    /// Points for a set in a layer.
    pub set_costs: Vec<Option<i64>>,
    /// Posts to a set.
    pub n_posts: usize,
    /// How far in from the edge posts stand.
    pub inset: Length,
    /// Demands that no choice meets, and that were dropped.
    pub dropped: usize,
    /// The unit to speak in.
    pub unit: LengthUnit,
    /// Pieces that cannot be chosen for any layer, and why.
    pub left_out: Vec<(Piece, String)>,
    /// What is to be said besides.
    pub said: Vec<String>,
}

impl Question {
    /// The question that a wish makes of what is on record.
    ///
    /// # Errors   [`NoProposal`].
    pub fn of(world: &World, wanted: &Wanted) -> Result<Self, NoProposal> {
        let kiln = world.kilns.get(&wanted.kiln).ok_or(NoProposal::NoKiln)?;
        let (slots, stacks) = slots(&world.settings, kiln, wanted)?;
        let inset = world.settings.length(SettingKey::Inset);
        let mut question = Self {
            slots,
            stacks,
            shelves: Vec::new(),
            sets: Vec::new(),
            kinds: Vec::new(),
            shelf_costs: Vec::new(),
            set_costs: Vec::new(),
            n_posts: wanted.size.posts(),
            inset,
            dropped: 0,
            unit: unit_of(world),
            left_out: Vec::new(),
            said: Vec::new(),
        };
        question.take_shelves(world, wanted, kiln);
        question.take_sets(world, wanted, kiln);
        question.drop_what_cannot_be();
        Ok(question)
    }

    /// Points for a shelf in a layer.
    #[must_use]
    pub fn shelf_cost(&self, slot: usize, shelf: usize) -> Option<i64> {
        self.shelf_costs.get(slot * self.shelves.len() + shelf).copied().flatten()
    }

    /// Points for a set in a layer.
    #[must_use]
    pub fn set_cost(&self, slot: usize, set: usize) -> Option<i64> {
        self.set_costs.get(slot * self.sets.len() + set).copied().flatten()
    }

    fn take_shelves(&mut self, world: &World, wanted: &Wanted, kiln: &Kiln) {
        let mut candidates: Vec<_> = if wanted.shelves.is_empty() {
            world.shelves_in_service().filter(|shelf| shelf.kiln == kiln.id).collect()
        } else {
            wanted.shelves.iter().filter_map(|id| world.shelves.get(id)).collect()
        };
        candidates.sort_by(|one, two| one.code.cmp(&two.code));
        candidates.dedup_by_key(|shelf| shelf.id);
        let mut shelves = Vec::new();
        for shelf in candidates {
            let found = shelf_option(world, wanted, kiln, shelf, self.inset).and_then(|option| {
                let cells: Vec<Result<i64, String>> =
                    self.slots.iter().map(|slot| self.shelf_points(&world.settings, slot, &option)).collect();
                let why = cells.iter().find_map(|cell| cell.as_ref().err()).cloned();
                match cells.iter().all(Result::is_err).then_some(why).flatten() {
                    Some(why) => Err(why),
                    None => Ok((option, cells)),
                }
            });
            match found {
                Ok(found) => shelves.push(found),
                Err(why) => self.left_out.push((Piece::Shelf(shelf.id), why)),
            }
        }
        self.shelf_costs = (0..self.slots.len())
            .flat_map(|slot| {
                shelves.iter().map(move |(_, cells)| cells.get(slot).and_then(|cell| cell.clone().ok()))
            })
            .collect();
        self.shelves = shelves.into_iter().map(|(option, _)| option).collect();
        self.kinds = kinds(&mut self.shelves);
    }

    /// What a shelf costs in a layer, or why it may not lie there.
    fn shelf_points(&self, settings: &Settings, slot: &Slot, shelf: &ShelfOption) -> Result<i64, String> {
        let stack = self.stacks.get(slot.stack).ok_or("no such stack")?;
        let place = &stack.place;
        if turns(&shelf.outline, place.length_nm, place.width_nm).is_none() {
            return Err("larger than the place".to_owned());
        }
        let used_for = slot.ware.used_for;
        if let (Some(used_for), Some(fit_for)) = (used_for, shelf.fit_for)
            && fit_for > used_for
        {
            return Err(format!("fit for {} at most", fit_for.said()));
        }
        match shelf.crack {
            Some(Cracked::UpperHalf) if 2 * slot.layer < stack.slots.len() && slot.above > 0 => {
                return Err("cracked: only in the upper half of a stack".to_owned());
            }
            Some(Cracked::TopForBisque)
                if slot.above > 0 || slot.layer == 0 || used_for.is_some_and(|used| used < Use::Bisque) =>
            {
                return Err("cracked a quarter across or more: only on top, for bisque".to_owned());
            }
            _ => {}
        }
        let mut points = flatness_points(settings, shelf, used_for);
        if shelf.unread {
            points += weights::UNREAD;
        }
        #[expect(clippy::cast_precision_loss, reason = "at most 60 layers")]
        let above = slot.above as f64;
        points += weights::WORN * shelf.worn * above;
        if shelf.crack.is_some() {
            points += weights::CRACKED;
        }
        if shelf.hot {
            points += weights::HOT;
        }
        let covered = shelf.outline.area_m2() / (place.length_nm.mm() * place.width_nm.mm() / 1e6);
        points += weights::BARE * (1.0 - covered).clamp(0.0, 1.0);
        if slot.layer > 0 {
            points += weights::headroom(shelf.sag);
        }
        Ok(weights::points(points))
    }

    fn take_sets(&mut self, world: &World, wanted: &Wanted, kiln: &Kiln) {
        let layers: Vec<(Length, usize)> = self.slots.iter().map(|slot| (slot.nominal, 1)).collect();
        let SetsForLoad { heights, left_out } = sets_of(world, kiln.id, wanted.size, &layers, wanted.fresh);
        self.left_out.extend(left_out);
        for height in &heights {
            let ready = height.sets.iter().chain(&height.spare);
            let ready = ready.map(|set| set_option(world, wanted, kiln, height.nominal, set));
            let shims =
                height.shims.iter().map(|shim| shimmed_option(world, wanted, kiln, height.nominal, shim));
            for option in ready.chain(shims) {
                match option {
                    Ok(option) => self.sets.push(option),
                    Err(why) => self.said.push(format!("a set is left out: {why}")),
                }
            }
            self.say_missing(height);
        }
        self.sets.sort_by(|one, two| (one.nominal, &one.code).cmp(&(two.nominal, &two.code)));
        self.said.dedup();
        self.set_costs =
            self.slots.iter().flat_map(|slot| self.sets.iter().map(|set| set_points(slot, set))).collect();
    }

    fn say_missing(&mut self, height: &HeightSets) {
        let missing = height.missing();
        if missing == 0 {
            return;
        }
        let sets = count(missing as u64, "set", "sets");
        let jobs: Vec<String> = height.dressing.iter().map(|one| one.said(self.unit)).collect();
        let then = if jobs.is_empty() {
            "measure more posts, or take another height".to_owned()
        } else {
            format!("{}; measure them, then propose again", jobs.join("; "))
        };
        self.said.push(format!(
            "{sets} of {} cannot be had as the posts are: {then}",
            length(height.nominal, self.unit)
        ));
    }

    /// Where no choice at all leaves room, the demand is dropped and said, so that the rest is still filled well.
    pub(super) fn drop_what_cannot_be(&mut self) {
        for at in 0..self.slots.len() {
            let low = (0..self.sets.len()).filter(|set| self.set_cost(at, *set).is_some());
            let low = low.map(|set| self.sets[set].low).max();
            let sag = (0..self.shelves.len()).filter(|shelf| self.shelf_cost(at, *shelf).is_some());
            let sag = sag.map(|shelf| self.shelves[shelf].sag).min();
            let (Some(needs), Some(low), Some(sag)) = (self.slots[at].needs, low, sag) else { continue };
            if low - sag < needs {
                let slot = &self.slots[at];
                let place = self.stacks.get(slot.stack).map_or("", |stack| stack.place.name.as_str());
                self.said.push(format!(
                    "{place}, layer {}: its tallest piece needs {} more than any posts over it give",
                    slot.layer,
                    length(needs - (low - sag), self.unit)
                ));
                self.slots[at].needs = None;
                self.dropped += 1;
            }
        }
        for at in 0..self.stacks.len() {
            let least: Length = self.stacks[at]
                .slots
                .clone()
                .map(|slot| self.least_height(slot))
                .fold(Length::ZERO, |sum, one| sum + one);
            if self.stacks[at].room.is_some_and(|room| least > room) {
                let over = least - self.stacks[at].room.unwrap_or_default();
                let place = &self.stacks[at].place.name;
                self.said.push(format!(
                    "{place}: too high for the kiln by {} at least; take a layer out or take lower posts",
                    length(over, self.unit)
                ));
                self.stacks[at].room = None;
                self.dropped += 1;
            }
        }
    }

    fn least_height(&self, slot: usize) -> Length {
        let sets = (0..self.sets.len()).filter(|set| self.set_cost(slot, *set).is_some());
        let shelves = (0..self.shelves.len()).filter(|shelf| self.shelf_cost(slot, *shelf).is_some());
        let posts = sets.map(|set| self.sets[set].high).min().unwrap_or_default();
        posts + shelves.map(|shelf| self.shelves[shelf].thickness).min().unwrap_or_default()
    }
}

/// How near a shelf's flatness is to the limit of the use it is put to.
fn flatness_points(settings: &Settings, shelf: &ShelfOption, used_for: Option<Use>) -> f64 {
    let Some((_, limit)) = used_for.and_then(fitness::keys) else { return 0.0 };
    let limit = fitness::on_span(settings, limit, shelf.outline.span());
    let share = shelf.flatness.map_or(1.0, |flatness| flatness.mm() / limit.mm().max(f64::MIN_POSITIVE));
    weights::AT_LIMIT * share.min(weights::MOST_OVER)
}

/// What a set costs in a layer; none where it is of another height.
fn set_points(slot: &Slot, set: &SetOption) -> Option<i64> {
    if set.nominal != slot.nominal {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 60 layers")]
    let layers = (slot.above + 1) as f64;
    let mut points = weights::SPREAD * set.spread.mm() * layers;
    if slot.layer > 0 {
        points += weights::headroom(slot.nominal - set.low);
    }
    if set.shim.0 > 0 {
        points += weights::SHIM;
    }
    if set.set.is_none() {
        points += weights::NOT_MADE;
    }
    if set.hot {
        points += weights::HOT;
    }
    Some(weights::points(points))
}

/// The layers, ordered, with the room that there is.
fn slots(
    settings: &Settings,
    kiln: &Kiln,
    wanted: &Wanted,
) -> Result<(Vec<Slot>, Vec<StackSlots>), NoProposal> {
    let inside = kiln.inside.as_ref().ok_or_else(|| NoProposal::NoInside(kiln.name.clone()))?;
    let n_layers: usize = wanted.stacks.iter().map(|stack| stack.layers.len()).sum();
    if n_layers == 0 {
        return Err(NoProposal::NoLayer);
    }
    if n_layers > MOST_LAYERS {
        return Err(NoProposal::TooMany(n_layers));
    }
    let (mut slots, mut stacks) = (Vec::new(), Vec::<StackSlots>::new());
    for asked in wanted.stacks.iter().filter(|stack| !stack.layers.is_empty()) {
        let place = inside
            .places
            .iter()
            .find(|place| place.name == asked.place)
            .ok_or_else(|| NoProposal::NoPlace { kiln: kiln.name.clone(), place: asked.place.clone() })?;
        if stacks.iter().any(|stack| stack.place.name == asked.place) {
            return Err(NoProposal::PlaceTwice(asked.place.clone()));
        }
        let layers = asked.in_order(wanted.order);
        let first = slots.len();
        let mut under: Option<&PlannedWare> = None;
        for (at, layer) in layers.iter().enumerate() {
            let needs = under.map(|ware| needed(settings, ware)).filter(|needs| needs.0 > 0);
            let above = layers.len() - 1 - at;
            let (nominal, ware) = (layer.nominal, layer.ware.clone());
            slots.push(Slot { stack: stacks.len(), layer: at, above, nominal, ware, needs });
            under = Some(&layer.ware);
        }
        let top = under.map(tallest).unwrap_or_default();
        let wash = Length(END_WASH.0.saturating_mul(i64::try_from(layers.len()).unwrap_or(i64::MAX)));
        let room = roof_over(&inside.chamber, place) - settings.length(SettingKey::ClearWall) - top - wash;
        stacks.push(StackSlots { place: place.clone(), slots: first..slots.len(), room: Some(room) });
    }
    Ok((slots, stacks))
}
