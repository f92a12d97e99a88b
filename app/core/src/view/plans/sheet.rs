//! `/plan/ID/sheet`: the loading sheet, printed on one page or ticked off layer by layer on the phone.
//!
//! What this does not do: repeat the check. It bears the verdict and what was overruled; the lines are the plan's.
use super::bench::Bench;
use super::{about, above, check, path};
use crate::event::plan::{PlannedLayer, PlannedStack, PlannedSupport};
use crate::event::values::Fuel;
use crate::ids::PlanId;
use crate::judge::stack::{LayerFigures, PlateCache, ShelfFigures, check_plan};
use crate::units::Length;
use crate::view::Mark;
use crate::view::figure::Figure;
use crate::view::history::unit_of;
use crate::view::route::Parts;
use crate::view::text::{LengthUnit, count, fixed, length, length_by_eye};
use crate::world::{LoadPlan, World};
use serde::{Deserialize, Serialize};

/// From this mass a shelf bears a warning about lifting.
///
/// # Source   common practice, no source: from 9 kg when reaching down into a top-loader.
const HEAVY_KG: f64 = 9.0;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Sheet {
    /// The plan.
    pub plan: PlanId,
    /// Its address.
    pub path: String,
    /// "Heron, glaze to cone 10".
    pub about: String,
    /// The check's verdict.
    pub verdict: Mark,
    /// What it comes to.
    pub sentence: String,
    /// The lines overruled, with their reasons.
    pub overruled: Vec<String>,
    /// "4 of 11 layers stand in the kiln".
    pub progress: String,
    /// The stacks.
    pub stacks: Vec<SheetStack>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Where the firing is logged, once everything stands in the kiln; empty where it was fired.
    pub fire: String,
}

/// One stack.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SheetStack {
    /// Its place.
    pub place: String,
    /// From the side.
    pub side: Option<Figure>,
    /// Its layers, the lowest first.
    pub layers: Vec<SheetLayer>,
}

/// One layer.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SheetLayer {
    /// From the floor, from 1.
    pub number: u32,
    /// "F17".
    pub shelves: String,
    /// "K20", or empty for single posts.
    pub set: String,
    /// "front left P31", with shim and wads.
    pub posts: Vec<String>,
    /// "12 mm", or empty where nothing stands on it.
    pub clear: String,
    /// The order of loading, a line a shelf.
    pub loading: Vec<String>,
    /// Whether it stands in the kiln.
    pub is_loaded: bool,
}

/// The page.
///
/// # Errors   The plan's kiln is not on record.
pub fn page(world: &World, plan: &LoadPlan) -> Result<Parts, String> {
    let bench = Bench::of_plan(world, plan).ok_or("this plan\u{2019}s kiln is not on record")?;
    let unit = unit_of(world);
    let checked = check_plan(world, plan, &mut PlateCache::default());
    let shown = check::shown(&checked);
    let stacks: Vec<SheetStack> = plan
        .stacks
        .iter()
        .zip(&checked.stacks)
        .map(|(stack, figures)| SheetStack {
            place: stack.place.clone(),
            side: Some(super::side::stack(
                &super::side::Seen { world, bench: &bench, figures, check: &shown, unit },
                stack,
            )),
            layers: (1_u32..)
                .zip(stack.layers.iter().zip(&figures.layers))
                .map(|(number, (layer, numbers))| {
                    sheet_layer(world, &bench, plan, (stack, layer, numbers), number, unit)
                })
                .collect(),
        })
        .collect();
    let layers = || stacks.iter().flat_map(|stack| &stack.layers);
    let (n_layers, n_loaded) = (layers().count(), layers().filter(|layer| layer.is_loaded).count());
    let overruled = shown
        .lines
        .iter()
        .map(|(_, _, line)| line)
        .filter(|line| !line.overruled.is_empty())
        .map(|line| format!("{}: {} Overruled {}", line.place, line.said, line.overruled));
    let is_open = super::list::is_open(plan);
    let data = Sheet {
        plan: plan.id,
        path: path(plan.id),
        about: about(world, plan),
        overruled: overruled.collect(),
        verdict: shown.verdict.clone(),
        sentence: shown.sentence.clone(),
        progress: format!("{n_loaded} of {} in the kiln", count(n_layers as u64, "layer", "layers")),
        cautions: cautions(
            &bench,
            &checked.stacks.iter().flat_map(|s| &s.layers).flat_map(|l| &l.shelves).collect::<Vec<_>>(),
        ),
        stacks,
        fire: if is_open {
            format!("/firings/new?kiln={}&plan={}", plan.kiln, plan.id)
        } else {
            String::new()
        },
    };
    let title = format!("Loading sheet: {}", plan.name);
    Ok(super::parts(title, about(world, plan), super::PlansPage::Sheet(Box::new(data))))
}

fn sheet_layer(
    world: &World,
    bench: &Bench,
    plan: &LoadPlan,
    (stack, layer, numbers): (&PlannedStack, &PlannedLayer, &LayerFigures),
    number: u32,
    unit: LengthUnit,
) -> SheetLayer {
    let laid = above::laid_shelves(world, stack, layer, bench);
    let shelves = layer.shelves.iter().map(|laid| {
        let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
        shelf.map_or_else(|| "to choose".to_owned(), |shelf| shelf.code.to_string())
    });
    let set = layer.set.and_then(|id| world.sets.get(&id));
    SheetLayer {
        number,
        shelves: shelves.collect::<Vec<_>>().join(" + "),
        set: set.map_or_else(String::new, |set| set.code.to_string()),
        posts: above::columns(&laid, layer)
            .into_iter()
            .zip(&layer.supports)
            .map(|(column, support)| format!("{column} {}", support_said(world, support, unit)))
            .collect(),
        clear: numbers.clear.map_or_else(String::new, |clear| length_by_eye(clear, unit)),
        loading: numbers.shelves.iter().map(|one| loading(one, numbers.shelves.len() > 1)).collect(),
        is_loaded: plan.loaded.contains(&(stack.place.clone(), number)),
    }
}

/// "P31", "P31 with P40 on it, shim 1.5 mm on top".
fn support_said(world: &World, support: &PlannedSupport, unit: LengthUnit) -> String {
    let codes: Vec<&str> =
        support.posts.iter().filter_map(|id| world.posts.get(id)).map(|post| post.code.as_str()).collect();
    let mut said = match codes.as_slice() {
        [] => "to choose".to_owned(),
        [one] => (*one).to_owned(),
        [lower, upper, ..] => format!("{lower} with {upper} on it"),
    };
    if support.shim_nm > Length::ZERO {
        said = format!("{said}, shim {} on top", length(support.shim_nm, unit));
    }
    if support.wad_nm > Length::ZERO {
        said = format!("{said}, wads {}", length(support.wad_nm, unit));
    }
    said
}

/// "left and middle first; last front right, back right; empty, 4.1 kg at its front right tips it": the first two
/// places, then those outside the posts, in their order; a line that a hand can hold while loading.
fn loading(one: &ShelfFigures, is_one_of_several: bool) -> String {
    let names = |free: bool| {
        let mut places: Vec<&str> = Vec::new();
        for step in one.loading.iter().filter(|step| step.tips_at_kg.is_some() == free) {
            if places.last() != Some(&step.place.as_str()) {
                places.push(&step.place);
            }
        }
        places
    };
    let (inside, free) = (names(false), names(true));
    let mut places: Vec<String> = Vec::new();
    if !inside.is_empty() {
        let first: Vec<&str> = inside.iter().copied().take(2).collect();
        places.push(format!("{} first", first.join(" and ")));
    }
    // Of what lies outside the posts the corners are the farthest out, and stand for what is between them.
    let corners: Vec<&str> = free.iter().copied().filter(|place| is_corner(place)).collect();
    let free = if corners.is_empty() { free } else { corners };
    if !free.is_empty() {
        places.push(format!("last {}", free.join(", ")));
    }
    let lightest = one
        .corners
        .iter()
        .filter_map(|corner| corner.bare_kg.map(|kg| (kg, corner.place.as_str())))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let tips = lightest.map_or_else(String::new, |(kg, place)| {
        format!("; empty, {} kg at its {place} tips it", fixed(kg, 1))
    });
    let code = if is_one_of_several { format!("{}: ", one.code) } else { String::new() };
    let order = if places.is_empty() { "no ware".to_owned() } else { places.join("; ") };
    format!("{code}{order}{tips}")
}

fn is_corner(place: &str) -> bool {
    ["front left", "front right", "back left", "back right"].iter().any(|corner| place.starts_with(corner))
}

fn cautions(bench: &Bench, shelves: &[&ShelfFigures]) -> Vec<String> {
    let mut said = Vec::new();
    let heavy: Vec<String> = shelves
        .iter()
        .filter(|one| one.own_kg >= HEAVY_KG)
        .map(|one| format!("{} {} kg", one.code, fixed(one.own_kg, 0)))
        .collect();
    if !heavy.is_empty() {
        said.push(format!(
            "Lifting: {} by their material\u{2019}s density. Two people, or a stand; keep the back straight and \
             follow your local rules.",
            heavy.join(", ")
        ));
    }
    let conducts = shelves.iter().filter_map(|one| {
        bench.shelves.iter().find(|shelf| shelf.id == one.shelf && shelf.material.is_silicon_carbide())
    });
    let conducts: Vec<&str> = conducts.map(|shelf| shelf.code.as_str()).collect();
    if bench.kiln.fuel == Fuel::Electric {
        said.push(
            "Power off at the isolator while the kiln is loaded; nothing loose near an element.".to_owned(),
        );
    }
    if !conducts.is_empty() {
        said.push(format!(
            "Silicon carbide ({}) conducts electricity and must be dry: power off, clear of elements; the \
             supplier\u{2019}s sheet comes first.",
            conducts.join(", ")
        ));
    }
    said.push(
        "Dust of wash and brick: wipe damp, no dry sweeping, a mask as your local rules say.".to_owned(),
    );
    said.push("Load the middle first and free corners last; unload free corners first.".to_owned());
    said
}
