//! How each planned shelf bends under what stands on it, each different plate solved once.
//!
//! A plate's answer is in proportion to its load, and under an even load its shape depends on outline and supports
//! alone; so one solution serves every shelf of a size on posts in the same places, however thick or laden. A post over
//! a post presses straight through and bends nothing: what stands within the good limit over a support is left out.
//!
//! What this does not do: bend round shelves (said in the check), or spread a neighbour's load unevenly.
use super::hull::Plan;
use super::lay::{Footing, LaidShelf, LaidStack, apart, plan};
use super::statics::Standing;
use crate::geometry::plate::{EdgeHold, Foot, GRAVITY_M_S2, Plate, PlateCase, PlateLoad, solve_plate};
use crate::judge::shelf::bending::{Against, POISSON, Slab, held_against};
use crate::settings::SettingKey;
use crate::world::World;
use std::collections::BTreeMap;

/// How a shelf bends in the plan.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct BentShelf {
    /// The greatest deflection below its posts' tops.
    pub deflection_mm: f64,
    /// The greatest stress.
    pub stress_mpa: f64,
    /// What the table says of that.
    pub against: Against,
    /// The stress that may be used, and the strength.
    pub allowed_mpa: f64,
    /// The table's strength.
    pub strength_mpa: f64,
    /// Whether a support would have to pull, so that the figures do not hold.
    pub lifts: bool,
}

/// Plates that were solved already, by everything that their answer depends on. Keep one while a plan is edited.
#[derive(Clone, Debug, Default)]
pub struct PlateCache {
    solved: BTreeMap<Vec<u64>, Option<Unit>>,
}

/// The answer for the reference plate under 1 N in all.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Unit {
    /// Deflection times the stiffness.
    deflection: f64,
    /// The greatest moment.
    moment_n: f64,
    lifts: bool,
}

/// The reference plate: of any thickness and stiffness, since its answer is scaled by both.
const REFERENCE_MM: f64 = 10.0;
const REFERENCE_GPA: f64 = 10.0;
/// House choice: parts of a load are told apart to a millionth, a gram in a ton; what differs by rounding alone is one
/// question.
const PARTS: f64 = 1e6;

impl PlateCache {
    /// House choice: 12 layers in 2 columns with every position of a finger over a drag of some seconds.
    const MOST: usize = 4_000;

    /// How many plates it knows.
    #[must_use]
    pub fn len(&self) -> usize {
        self.solved.len()
    }

    /// Whether it knows none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.solved.is_empty()
    }

    /// Solves a plate whose loads are parts of 1 N, the rest of it spread evenly.
    fn solve(&mut self, sides: Plan, supports: &[Foot], parts: &[(Foot, f64)]) -> Option<Unit> {
        let foot = |foot: &Foot| [foot.x_mm, foot.y_mm, foot.pad_mm];
        let mut key: Vec<f64> = sides.to_vec();
        key.extend(supports.iter().flat_map(foot));
        key.push(f64::INFINITY);
        key.extend(parts.iter().flat_map(|(at, part)| [at.x_mm, at.y_mm, at.pad_mm, *part]));
        let key: Vec<u64> = key.into_iter().map(f64::to_bits).collect();
        if let Some(known) = self.solved.get(&key) {
            return *known;
        }
        let plate = Plate {
            length_mm: sides[0],
            width_mm: sides[1],
            thickness_mm: REFERENCE_MM,
            youngs_gpa: REFERENCE_GPA,
            poisson: POISSON,
            density_g_cm3: None,
        };
        let even = 1.0 - parts.iter().map(|(_, part)| part).sum::<f64>();
        let load = |(at, part): &(Foot, f64)| PlateLoad { foot: *at, mass_kg: part / GRAVITY_M_S2 };
        let answer = solve_plate(&PlateCase {
            plate,
            supports: supports.to_vec(),
            // 1 N/mm² is 1000 kPa.
            pressure_kpa: 1000.0 * even / (sides[0] * sides[1]),
            loads: parts.iter().map(load).collect(),
            edges: EdgeHold::Free,
        });
        let unit = answer.ok().map(|answer| {
            let moments = answer.sagging_n.into_iter().chain(answer.hogging_n);
            Unit {
                deflection: answer.deflection_mm.value * plate.stiffness_n_mm(),
                moment_n: moments.map(|found| found.value.abs()).fold(0.0, f64::max),
                lifts: !answer.lifts.is_empty(),
            }
        });
        if self.solved.len() >= Self::MOST {
            self.solved.clear();
        }
        self.solved.insert(key, unit);
        unit
    }
}

/// Every shelf of every stack; nothing where it is not worked out.
pub(super) fn bend_all(
    world: &World,
    stacks: &[LaidStack<'_>],
    standing: &[Standing],
    cache: &mut PlateCache,
) -> Vec<Vec<Option<BentShelf>>> {
    let each = stacks.iter().zip(standing);
    each.map(|(stack, standing)| {
        (0..stack.shelves.len()).map(|idx| bend(world, stack, standing, idx, cache)).collect()
    })
    .collect()
}

fn bend(
    world: &World,
    stack: &LaidStack<'_>,
    standing: &Standing,
    idx: usize,
    cache: &mut PlateCache,
) -> Option<BentShelf> {
    let shelf = &stack.shelves[idx];
    let slab = Slab::of(world, shelf.shelf).ok()?;
    if shelf.supports.len() < 3 {
        return None;
    }
    let straight_mm = world.settings.length(SettingKey::PostOverGood).mm();
    let loads = loads(stack, standing, shelf, idx, straight_mm);
    // The shelf's own weight and what is spread over it, which is even.
    let even_kg = slab.own_mass().kg() + shelf.planned.ware.mass_mg.kg().max(0.0);
    let total_kg = even_kg + loads.iter().map(|(_, kg)| kg).sum::<f64>();
    let foot = |support: &usize| {
        let support = &stack.supports[*support];
        let [x_mm, y_mm] = shelf.inward(shelf.nearest(support.at));
        Foot { x_mm, y_mm, pad_mm: 2.0 * support.half_mm() }
    };
    let supports: Vec<Foot> = shelf.supports.iter().map(foot).collect();
    let (length, width) = shelf.shelf.outline.bounds();
    let part = |(at, kg): (Foot, f64)| (at, libm::round(kg / total_kg * PARTS) / PARTS);
    let parts: Vec<(Foot, f64)> = loads.into_iter().map(part).collect();
    let unit = cache.solve([length.mm(), width.mm()], &supports, &parts)?;
    let plate = slab.plate();
    let newtons = total_kg * GRAVITY_M_S2;
    let stress_mpa = unit.moment_n * newtons * 6.0 / (plate.thickness_mm * plate.thickness_mm);
    Some(BentShelf {
        deflection_mm: unit.deflection * newtons / plate.stiffness_n_mm(),
        stress_mpa,
        against: held_against(&slab, stress_mpa),
        allowed_mpa: slab.allowed_mpa(),
        strength_mpa: slab.strength_mpa(),
        lifts: unit.lifts,
    })
}

/// Pieces placed by hand, and the posts that stand on the shelf, but those that stand over one of its own.
fn loads(
    stack: &LaidStack<'_>,
    standing: &Standing,
    shelf: &LaidShelf<'_>,
    idx: usize,
    straight_mm: f64,
) -> Vec<(Foot, f64)> {
    let (length, width) = shelf.shelf.outline.bounds();
    let (length_mm, width_mm) = (length.mm(), width.mm());
    let on = |at: Plan, pad_mm: f64| {
        let [x, y] = shelf.inward(shelf.nearest(at));
        // The pad stays on the plate, as what presses on its edge does.
        let half = (pad_mm / 2.0).min(length_mm / 2.0).min(width_mm / 2.0);
        let (x_mm, y_mm) = (x.clamp(half, length_mm - half), y.clamp(half, width_mm - half));
        Foot { x_mm, y_mm, pad_mm: 2.0 * half }
    };
    let pieces = shelf.planned.ware.pieces.iter().filter(|piece| piece.mass_mg.0 > 0);
    let mut all: Vec<(Foot, f64)> = pieces
        .map(|piece| (on(plan(piece.at), piece.diameter_nm.mm().max(1.0) / 2.0), piece.mass_mg.kg()))
        .collect();
    for (support, load_kg) in stack.supports.iter().zip(&standing.load_kg).filter(|(_, kg)| **kg > 0.0) {
        let n_under = match &support.footing {
            Footing::Shelf(one) if *one == idx => 1.0,
            Footing::Joint(several) if several.contains(&idx) => {
                #[expect(clippy::cast_precision_loss, reason = "two or three shelves meet at a place")]
                let n = several.len() as f64;
                n
            }
            _ => continue,
        };
        let straight = |own: &usize| apart(stack.supports[*own].at, support.at) <= straight_mm;
        if !shelf.supports.iter().any(straight) {
            all.push((on(support.at, 2.0 * support.half_mm()), load_kg / n_under));
        }
    }
    all
}
