//! How the plan's shelves bend, each solved once.
//!
//! What this does not do: bend round shelves (said in the check), or spread a neighbour's load unevenly.
use super::lay::{Footing, LaidShelf, LaidStack};
use super::statics::Standing;
use crate::geometry::plate::{EdgeHold, Foot, GRAVITY_M_S2, PlateCase, PlateLoad, solve_plate};
use crate::judge::shelf::bending::{Against, Slab, held_against};
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
    /// Whether the plate is so thick that shear, which is left out, shows.
    pub is_thick: bool,
}

/// Plates that were solved already, by everything that their answer depends on.
#[derive(Clone, Debug, Default)]
pub struct PlateCache {
    solved: BTreeMap<Vec<u64>, Option<(f64, f64)>>,
}

impl PlateCache {
    /// House choice: 12 layers in 2 columns with every position of a finger over a drag of some seconds.
    const MOST: usize = 4_000;

    fn solve(&mut self, case: &PlateCase) -> Option<(f64, f64)> {
        let key = key(case);
        if let Some(known) = self.solved.get(&key) {
            return *known;
        }
        let answer = solve_plate(case).ok().map(|answer| {
            let moment = answer.sagging_n.into_iter().chain(answer.hogging_n);
            let most = moment.map(|found| found.value.abs()).fold(0.0, f64::max);
            (answer.deflection_mm.value, most * answer.mpa_per_n)
        });
        if self.solved.len() >= Self::MOST {
            self.solved.clear();
        }
        self.solved.insert(key, answer);
        answer
    }
}

fn key(case: &PlateCase) -> Vec<u64> {
    let plate = &case.plate;
    let mut all = vec![
        plate.length_mm,
        plate.width_mm,
        plate.thickness_mm,
        plate.youngs_gpa,
        plate.density_g_cm3.unwrap_or(-1.0),
        case.pressure_kpa,
    ];
    all.extend(case.supports.iter().flat_map(|foot| [foot.x_mm, foot.y_mm, foot.pad_mm]));
    all.push(f64::INFINITY);
    all.extend(
        case.loads.iter().flat_map(|load| [load.foot.x_mm, load.foot.y_mm, load.foot.pad_mm, load.mass_kg]),
    );
    all.into_iter().map(f64::to_bits).collect()
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
    let (length, width) = shelf.shelf.outline.bounds();
    let foot = |support: &usize| {
        let support = &stack.supports[*support];
        let [x_mm, y_mm] = shelf.inward(shelf.nearest(support.at));
        Foot { x_mm, y_mm, pad_mm: 2.0 * support.half_mm() }
    };
    let pressure_kpa =
        shelf.planned.ware.mass_mg.kg().max(0.0) * GRAVITY_M_S2 / shelf.shelf.outline.area_m2() / 1e3;
    let answer = cache.solve(&PlateCase {
        plate: slab.plate(),
        supports: shelf.supports.iter().map(foot).collect(),
        pressure_kpa,
        loads: loads(stack, standing, shelf, idx, length.mm(), width.mm()),
        edges: EdgeHold::Free,
    });
    let (deflection_mm, stress_mpa) = answer?;
    Some(BentShelf {
        deflection_mm,
        stress_mpa,
        against: held_against(&slab, stress_mpa),
        allowed_mpa: slab.allowed_mpa(),
        strength_mpa: slab.strength_mpa(),
        is_thick: slab.is_thick(),
    })
}

/// Pieces placed by hand, and the posts that stand on the shelf.
fn loads(
    stack: &LaidStack<'_>,
    standing: &Standing,
    shelf: &LaidShelf<'_>,
    idx: usize,
    length_mm: f64,
    width_mm: f64,
) -> Vec<PlateLoad> {
    let on = |at: [f64; 2], pad_mm: f64, kg: f64| {
        let [x, y] = shelf.inward(shelf.nearest(at));
        // The pad stays on the plate, as what presses on its edge does.
        let half = (pad_mm / 2.0).min(length_mm / 2.0).min(width_mm / 2.0);
        let (x_mm, y_mm) = (x.clamp(half, length_mm - half), y.clamp(half, width_mm - half));
        PlateLoad { foot: Foot { x_mm, y_mm, pad_mm: 2.0 * half }, mass_kg: kg }
    };
    let pieces = shelf.planned.ware.pieces.iter().filter(|piece| piece.mass_mg.0 > 0);
    let mut all: Vec<PlateLoad> = pieces
        .map(|piece| {
            on(super::lay::plan(piece.at), piece.diameter_nm.mm().max(1.0) / 2.0, piece.mass_mg.kg())
        })
        .collect();
    for (support, load_kg) in stack.supports.iter().zip(&standing.load_kg) {
        let n_under = match &support.footing {
            Footing::Shelf(one) if *one == idx => 1.0,
            Footing::Joint(several) if several.contains(&idx) => {
                #[expect(clippy::cast_precision_loss, reason = "two or three shelves meet at a place")]
                let n = several.len() as f64;
                n
            }
            _ => continue,
        };
        if *load_kg > 0.0 {
            all.push(on(support.at, 2.0 * support.half_mm(), load_kg / n_under));
        }
    }
    all
}
