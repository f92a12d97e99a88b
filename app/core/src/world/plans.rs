//! Kilns' insides and the plans of loads, as the events add up.
//!
//! What this does not do: check a plan. `crate::judge` does.
use super::check::{Problem, kiln_known, positive, post_known, shelf_known};
use super::pieces::Stamp;
use super::{SkipReason, World};
use crate::cone_name::ConeName;
use crate::event::plan::{Chamber, KeepOut, PlannedStack, StackPlace};
use crate::event::values::Ware;
use crate::event::{KilnChamberSet, PlanDropped, PlanOverruled, PlanSaved, PlanTicked};
use crate::ids::{FiringId, KilnId, PlanId};
use crate::units::Length;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// A kiln's inside.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KilnInside {
    /// Its form and size.
    pub chamber: Chamber,
    /// Where stacks stand.
    pub places: Vec<StackPlace>,
    /// Where nothing may be.
    pub keep_outs: Vec<KeepOut>,
    /// When it was measured.
    pub stamp: Stamp,
}

/// A line of the check that someone overruled.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Overruled {
    /// What the line said then.
    pub said: String,
    /// Why.
    pub reason: String,
    /// When and by which device.
    pub stamp: Stamp,
}

/// A plan of a load.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct LoadPlan {
    /// Its id.
    pub id: PlanId,
    /// The kiln.
    pub kiln: KilnId,
    /// Its name.
    pub name: String,
    /// Bisque or glaze.
    pub ware: Ware,
    /// The cone.
    pub cone: ConeName,
    /// The stacks, as last saved.
    pub stacks: Vec<PlannedStack>,
    /// When it was first saved.
    pub made: Stamp,
    /// When it was last saved.
    pub saved: Stamp,
    /// Lines overruled, by the line's name.
    pub overruled: BTreeMap<String, Overruled>,
    /// What stands in the kiln: place and layer, from 1.
    pub loaded: BTreeSet<(String, u32)>,
    /// When it was given up.
    pub dropped: Option<Stamp>,
    /// The firing that it became.
    pub fired: Option<FiringId>,
}

impl LoadPlan {
    /// The plan as it was last saved.
    #[must_use]
    pub fn as_saved(&self) -> PlanSaved {
        PlanSaved {
            plan: self.id,
            kiln: self.kiln,
            name: self.name.clone(),
            ware: self.ware,
            cone: self.cone,
            stacks: self.stacks.clone(),
        }
    }
}

fn unknown(id: PlanId) -> SkipReason {
    SkipReason::Unknown { what: "plan", id: id.to_string() }
}

/// House choice: a car kiln of 12 places, each 20 layers high, is 240 layers; ten times that is a mistake.
const MOST_LAYERS: usize = 2_400;

/// What is wrong with a chamber that is about to be stored.
pub(super) fn chamber_problems(world: &World, b: &KilnChamberSet, found: &mut Vec<Problem>) {
    kiln_known(world, b.kiln, found);
    let (sides, height) = match b.chamber {
        Chamber::Box { width_nm, depth_nm, height_nm }
        | Chamber::Arched { width_nm, depth_nm, height_nm, .. } => {
            (vec![(width_nm, "width"), (depth_nm, "depth")], height_nm)
        }
        Chamber::Cylinder { diameter_nm, height_nm } => (vec![(diameter_nm, "diameter")], height_nm),
    };
    sides.into_iter().for_each(|(side, field)| positive(side, field, found));
    positive(height, "height", found);
    if let Chamber::Arched { height_nm, spring_nm, .. } = b.chamber
        && !(Length::ZERO..height_nm).contains(&spring_nm)
    {
        found.push(Problem::new(
            "spring",
            "the spring line lies below the crown; measure both from the floor",
        ));
    }
    for place in &b.places {
        if place.name.trim().is_empty()
            || b.places.iter().filter(|other| other.name == place.name).count() > 1
        {
            found.push(Problem::new("places", "give every place a name of its own"));
        }
        positive(place.length_nm, "places", found);
        positive(place.width_nm, "places", found);
    }
    for keep_out in &b.keep_outs {
        if keep_out.to_nm <= keep_out.from_nm {
            found.push(Problem::new("keep_outs", "a part to keep clear ends above where it begins"));
        }
    }
}

/// What is wrong with a plan that is about to be stored: only what could not be drawn. A plan that does not
/// stand is stored all the same, and its check says so.
pub(super) fn plan_problems(world: &World, b: &PlanSaved, found: &mut Vec<Problem>) {
    kiln_known(world, b.kiln, found);
    if b.name.trim().is_empty() {
        found.push(Problem::new("name", "give the plan a name"));
    }
    let layers = || b.stacks.iter().flat_map(|stack| &stack.layers);
    if layers().count() > MOST_LAYERS {
        found.push(Problem::new("stacks", format!("a plan has at most {MOST_LAYERS} layers")));
    }
    layers()
        .flat_map(|layer| &layer.shelves)
        .filter_map(|laid| laid.shelf)
        .for_each(|id| shelf_known(world, id, found));
    let posts = layers().flat_map(|layer| &layer.supports).flat_map(|support| &support.posts);
    posts.for_each(|id| post_known(world, *id, found));
}

impl World {
    pub(super) fn set_chamber(&mut self, b: &KilnChamberSet, stamp: Stamp) -> Result<(), SkipReason> {
        let kiln = self
            .kilns
            .get_mut(&b.kiln)
            .ok_or_else(|| SkipReason::Unknown { what: "kiln", id: b.kiln.to_string() })?;
        kiln.inside = Some(KilnInside {
            chamber: b.chamber,
            places: b.places.clone(),
            keep_outs: b.keep_outs.clone(),
            stamp,
        });
        Ok(())
    }

    pub(super) fn save_plan(&mut self, b: &PlanSaved, stamp: Stamp) -> Result<(), SkipReason> {
        if !self.kilns.contains_key(&b.kiln) {
            return Err(SkipReason::Unknown { what: "kiln", id: b.kiln.to_string() });
        }
        let plan = self.plans.entry(b.plan).or_insert_with(|| LoadPlan {
            id: b.plan,
            kiln: b.kiln,
            name: String::new(),
            ware: b.ware,
            cone: b.cone,
            stacks: Vec::new(),
            made: stamp,
            saved: stamp,
            overruled: BTreeMap::new(),
            loaded: BTreeSet::new(),
            dropped: None,
            fired: None,
        });
        plan.kiln = b.kiln;
        plan.name.clone_from(&b.name);
        plan.ware = b.ware;
        plan.cone = b.cone;
        plan.stacks.clone_from(&b.stacks);
        plan.saved = stamp;
        Ok(())
    }

    fn plan_mut(&mut self, id: PlanId) -> Result<&mut LoadPlan, SkipReason> {
        self.plans.get_mut(&id).ok_or_else(|| unknown(id))
    }

    pub(super) fn overrule(&mut self, b: &PlanOverruled, stamp: Stamp) -> Result<(), SkipReason> {
        let plan = self.plan_mut(b.plan)?;
        if b.reason.is_empty() {
            plan.overruled.remove(&b.line);
        } else {
            let line = Overruled { said: b.said.clone(), reason: b.reason.clone(), stamp };
            plan.overruled.insert(b.line.clone(), line);
        }
        Ok(())
    }

    pub(super) fn tick(&mut self, b: &PlanTicked) -> Result<(), SkipReason> {
        let plan = self.plan_mut(b.plan)?;
        let layer = (b.place.clone(), b.layer);
        if b.loaded {
            plan.loaded.insert(layer);
        } else {
            plan.loaded.remove(&layer);
        }
        Ok(())
    }

    pub(super) fn drop_plan(&mut self, b: &PlanDropped, stamp: Stamp) -> Result<(), SkipReason> {
        self.plan_mut(b.plan).map(|plan| plan.dropped = Some(stamp))
    }
}
