//! How a stack stands: the plane of every shelf from the floor up, and what it carries from the top down.
//!
//! Model as in `geometry::stack`, for shelves and supports in any number: with G the slope under a support, h its
//! height, t the shelf's thickness and E the lean, G' = G + g and E' = E − G h − G' t; ware with its centre c above
//! its shelf has moved by E' − G' c. A support hands what it carries to what it stands on, at its own place.
//!
//! What this does not do: judge. With one shelf a layer on three posts it gives what `geometry::stack::stand` does.
use super::hull::{Plan, Polygon};
use super::lay::{Footing, LaidShelf, LaidStack, LaidSupport, apart};
use super::order::{self, Step};

/// Where one shelf has come to, and what it carries.
#[derive(Clone, Debug, Default)]
pub(super) struct Stood {
    /// Its top at its middle, over the floor, by its own plane.
    pub top_mm: f64,
    /// Its top over the floor by mean heights and thicknesses, as heights are added up at the bench.
    pub mean_top_mm: f64,
    /// Slope along x and y, everything below added up.
    pub slope: Plan,
    /// How far its top has moved.
    pub lean: Plan,
    /// Its supports' hull, where they stand (moved as what is below has).
    pub polygon: Polygon,
    /// All that its supports carry: kilograms, and their moment about the plan's origin.
    pub carried_kg: f64,
    /// Kilogram millimetres.
    pub moment: Plan,
    /// The margin with everything in place.
    pub margin_mm: Option<f64>,
    /// How far each support's top stays below the shelf, where there are more than three.
    pub gaps_mm: Vec<f64>,
    /// Its own ware, in the order in which it is loaded.
    pub steps: Vec<Step>,
    /// The least margin in any state of loading the stack from the floor up, and what was set down last then.
    pub least: Option<Least>,
}

/// The worst moment of a shelf while the stack is loaded, or unloaded the other way round.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Least {
    /// The margin then.
    pub margin_mm: f64,
    /// What was set down last: "front left of F07"; nothing for the bare shelf.
    pub after: String,
}

/// A stack as it stands.
#[derive(Clone, Debug, Default)]
pub(super) struct Standing {
    /// Of each of [`LaidStack::shelves`].
    pub shelves: Vec<Stood>,
    /// Of each of [`LaidStack::supports`]: the height it stands at.
    pub foot_mm: Vec<f64>,
    /// Of each support, what it carries.
    pub load_kg: Vec<f64>,
}

impl Standing {
    /// Where a layer's supports stand, the highest of them.
    pub fn floor_mm(&self, stack: &LaidStack<'_>, layer: usize) -> f64 {
        stack.supports_of(layer).map(|(idx, _)| self.foot_mm[idx]).fold(0.0, f64::max)
    }
}

/// The length of a vector in plan.
pub(super) fn length_of(v: Plan) -> f64 {
    libm::hypot(v[0], v[1])
}

fn plus(a: Plan, b: Plan, factor: f64) -> Plan {
    [a[0] + factor * b[0], a[1] + factor * b[1]]
}

fn dot(a: Plan, b: Plan) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// What a support stands on: height at its place, slope and lean there.
#[derive(Clone, Copy, Default)]
struct Ground {
    height_mm: f64,
    mean_mm: f64,
    slope: Plan,
    lean: Plan,
}

/// Works a stack out.
pub(super) fn stand(stack: &LaidStack<'_>) -> Standing {
    let mut standing = Standing::default();
    let mut grounds: Vec<Ground> = Vec::with_capacity(stack.supports.len());
    let (mut next_support, mut next_shelf) = (0, 0);
    for layer in 0..stack.n_layers {
        while let Some(support) = stack.supports.get(next_support).filter(|one| one.layer == layer) {
            let ground = ground(stack, &standing.shelves, support);
            standing.foot_mm.push(ground.height_mm);
            grounds.push(ground);
            next_support += 1;
        }
        while let Some(shelf) = stack.shelves.get(next_shelf).filter(|one| one.layer == layer) {
            standing.shelves.push(place(stack, shelf, &grounds));
            next_shelf += 1;
        }
    }
    standing.load_kg = vec![0.0; stack.supports.len()];
    load_up(stack, &grounds, &mut standing);
    standing
}

/// Loads the stack from the floor up: a layer's shelves, then the ware of each, in its order. After each thing set
/// down every shelf that carries part of it is looked at; unloading in the other order passes the same states.
fn load_up(stack: &LaidStack<'_>, grounds: &[Ground], standing: &mut Standing) {
    for layer in 0..stack.n_layers {
        for (idx, shelf) in stack.shelves_of(layer) {
            let stood = &standing.shelves[idx];
            let own = plus(plus(shelf.centre(), stood.lean, 1.0), stood.slope, shelf.thickness_mm() / 2.0);
            let said = format!("{} itself", shelf.code());
            set_down(stack, grounds, standing, idx, (shelf.own_kg, own), &said);
        }
        for (idx, shelf) in stack.shelves_of(layer) {
            let mut ware = order::pieces(shelf);
            order::sort(&standing.shelves[idx], &mut ware);
            for piece in ware {
                let stood = &standing.shelves[idx];
                let moved = plus(plus(piece.at, stood.lean, 1.0), stood.slope, -piece.centre_mm);
                let centre = plus([0.0; 2], stood.moment, 1.0 / stood.carried_kg);
                let tips_at_kg = stood.polygon.tipping_mass(centre, stood.carried_kg, moved);
                let said = format!("{} of {}", piece.place, shelf.code());
                let step = Step { place: piece.place, at: piece.at, kg: piece.kg, tips_at_kg };
                standing.shelves[idx].steps.push(step);
                set_down(stack, grounds, standing, idx, (piece.kg, moved), &said);
            }
        }
    }
}

/// Sets a mass on a shelf, and its parts on all that is below.
fn set_down(
    stack: &LaidStack<'_>,
    grounds: &[Ground],
    standing: &mut Standing,
    on: usize,
    (kg, at): (f64, Plan),
    said: &str,
) {
    let mut parts = std::collections::BTreeMap::from([(on, (kg, plus([0.0; 2], at, kg)))]);
    // From the top down: what is below has a lower place in the list.
    while let Some((idx, (kg, moment))) = parts.pop_last() {
        let shelf = &stack.shelves[idx];
        let stood = &mut standing.shelves[idx];
        stood.carried_kg += kg;
        stood.moment = plus(stood.moment, moment, 1.0);
        stood.margin_mm = stood.polygon.margin(plus([0.0; 2], stood.moment, 1.0 / stood.carried_kg));
        if let Some(margin_mm) = stood.margin_mm
            && stood.least.as_ref().is_none_or(|least| margin_mm < least.margin_mm)
        {
            stood.least = Some(Least { margin_mm, after: said.to_owned() });
        }
        for (share, support) in stood.polygon.shares.iter().zip(&shelf.supports) {
            let share_kg = share.of(kg, moment);
            standing.load_kg[*support] += share_kg;
            let under: &[usize] = match &stack.supports[*support].footing {
                Footing::Shelf(one) => std::slice::from_ref(one),
                Footing::Joint(several) => several,
                Footing::Floor | Footing::Nothing => continue,
            };
            #[expect(clippy::cast_precision_loss, reason = "two or three shelves meet at a place")]
            let part = share_kg / under.len() as f64;
            // It acts where the support stands, which has moved with what is below.
            let at = plus(shelf.bears_at(&stack.supports[*support]), grounds[*support].lean, 1.0);
            for below in under {
                let handed = parts.entry(*below).or_default();
                handed.0 += part;
                handed.1 = plus(handed.1, at, part);
            }
        }
    }
}

fn ground(stack: &LaidStack<'_>, below: &[Stood], support: &LaidSupport<'_>) -> Ground {
    let under: &[usize] = match &support.footing {
        Footing::Floor => return Ground::default(),
        Footing::Nothing => {
            // Held up as high as the layer below, so that this fault is told once and not as a slope too.
            let high = |of: fn(&Stood) -> f64| below.iter().map(of).fold(0.0, f64::max);
            let (height_mm, mean_mm) = (high(|stood| stood.top_mm), high(|stood| stood.mean_top_mm));
            return Ground { height_mm, mean_mm, ..Ground::default() };
        }
        Footing::Shelf(one) => std::slice::from_ref(one),
        Footing::Joint(several) => several,
    };
    // On a joint it stands on the higher one.
    let each = under.iter().map(|idx| {
        let (shelf, stood) = (&stack.shelves[*idx], &below[*idx]);
        let off = plus(support.at, shelf.centre(), -1.0);
        Ground {
            height_mm: stood.top_mm + dot(stood.slope, off),
            mean_mm: stood.mean_top_mm,
            slope: stood.slope,
            lean: stood.lean,
        }
    });
    each.reduce(|high, one| if one.height_mm > high.height_mm { one } else { high }).unwrap_or_default()
}

/// The plane of a shelf on its supports.
fn place(stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, grounds: &[Ground]) -> Stood {
    let places: Vec<Plan> = shelf.supports.iter().map(|idx| stack.supports[*idx].at).collect();
    let tops: Vec<f64> =
        shelf.supports.iter().map(|idx| grounds[*idx].height_mm + stack.supports[*idx].height_mm).collect();
    let n = places.len();
    #[expect(clippy::cast_precision_loss, reason = "a shelf has a handful of supports")]
    let each = if n == 0 { 0.0 } else { 1.0 / n as f64 };
    let under = |of: &dyn Fn(&Ground, f64) -> Plan| {
        shelf
            .supports
            .iter()
            .fold([0.0, 0.0], |sum, idx| plus(sum, of(&grounds[*idx], stack.supports[*idx].height_mm), each))
    };
    let ground_slope = under(&|ground, _| ground.slope);
    let (slope, middle_mm, gaps_mm) = plane(&places, &tops, shelf.centre())
        .unwrap_or_else(|| (ground_slope, tops.iter().copied().fold(0.0, f64::max), Vec::new()));
    let thickness = shelf.thickness_mm();
    let foot = under(&|ground, height| plus(ground.lean, ground.slope, -height));
    let lean = plus(foot, slope, -thickness);
    let mean = |idx: &usize| grounds[*idx].mean_mm + stack.supports[*idx].height_mm;
    let mean_top_mm = shelf.supports.iter().map(mean).sum::<f64>() * each + thickness;
    let stands: Vec<Plan> = shelf
        .supports
        .iter()
        .map(|idx| plus(shelf.bears_at(&stack.supports[*idx]), grounds[*idx].lean, 1.0))
        .collect();
    Stood {
        top_mm: middle_mm + thickness,
        mean_top_mm,
        slope,
        lean,
        polygon: Polygon::new(&stands),
        gaps_mm,
        ..Stood::default()
    }
}

/// The plane through the three tops that a rigid shelf comes to rest on, with its middle over their triangle and no
/// other top above it: slope, height at `centre`, and how far each top stays below. Balanced over two tops, the
/// mean of the planes to either side.
fn plane(places: &[Plan], tops: &[f64], centre: Plan) -> Option<(Plan, f64, Vec<f64>)> {
    let n = places.len();
    #[expect(clippy::cast_precision_loss, reason = "a shelf has a handful of supports")]
    let each = 1.0 / n.max(1) as f64;
    let middle = places.iter().fold([0.0, 0.0], |sum, at| plus(sum, *at, each));
    // A shelf whose middle is not over its supports tips; it is drawn as it lay before that.
    let planes = [centre, middle].map(|about| planes_about(places, tops, about));
    let planes = planes.into_iter().find(|planes| !planes.is_empty())?;
    #[expect(clippy::cast_precision_loss, reason = "a handful of supports")]
    let each = 1.0 / planes.len() as f64;
    let slope = planes.iter().fold([0.0, 0.0], |sum, (slope, _)| plus(sum, *slope, each));
    let level = planes.iter().map(|(_, level)| level * each).sum::<f64>();
    let height = |at: Plan| level + dot(slope, at);
    // How far the shelf rocks down to each: the most that it stands off while it rests on three others.
    let off = |at: &Plan, top: f64| {
        planes.iter().map(|(slope, level)| level + dot(*slope, *at) - top).fold(0.0, f64::max)
    };
    let gaps = places.iter().zip(tops).map(|(at, top)| off(at, *top)).collect();
    Some((slope, height(centre), gaps))
}

/// Every plane through three tops with no other top above it and `about` over their triangle: slope, and height at
/// the origin. With three supports, their plane wherever `about` is.
fn planes_about(places: &[Plan], tops: &[f64], about: Plan) -> Vec<(Plan, f64)> {
    // House choice: a top less than a nanometre above a plane is on it, and a place within a nanometre of a
    // triangle's side belongs to both sides.
    const ON_MM: f64 = 1e-6;
    let n = places.len();
    let trios = (0..n).flat_map(|i| (i + 1..n).flat_map(move |j| (j + 1..n).map(move |k| [i, j, k])));
    let through = |trio: [usize; 3]| {
        let inside = Polygon::new(&trio.map(|i| places[i])).margin(about)?;
        let slope = gradient(trio.map(|i| places[i]), trio.map(|i| tops[i]));
        let [first, ..] = trio;
        let level = tops[first] - dot(slope, places[first]);
        let none_above = places.iter().zip(tops).all(|(at, top)| *top <= level + dot(slope, *at) + ON_MM);
        (n == 3 || (none_above && inside >= -ON_MM)).then_some((slope, level))
    };
    trios.filter_map(through).collect()
}

/// The gradient of the plane through three points that are not in one line.
fn gradient([a, b, c]: [Plan; 3], [za, zb, zc]: [f64; 3]) -> Plan {
    let (u, v) = (plus(b, a, -1.0), plus(c, a, -1.0));
    let (du, dv) = (zb - za, zc - za);
    let det = u[0] * v[1] - u[1] * v[0];
    [(du * v[1] - dv * u[1]) / det, (dv * u[0] - du * v[0]) / det]
}

/// The nearest of some places to one, and how far it is.
pub(super) fn nearest_mm(at: Plan, others: impl Iterator<Item = Plan>) -> Option<f64> {
    others.map(|other| apart(at, other)).reduce(f64::min)
}
