//! Reads one layer: its shelves, its posts, its ware. [`edited`] makes the whole plan of the fields; the browser
//! calls it at every touch, to draw and check what is typed.
//!
//! What this does not do: draw or check.
use super::one::alike;
use crate::code::Code;
use crate::event::PlanSaved;
use crate::event::plan::{
    PlacedPiece, PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, PlannedWare,
};
use crate::event::values::{Choice, Use};
use crate::form::quantity::{Feelers, read_length, read_mass};
use crate::form::reader::Bounds;
use crate::form::{FormValues, Problem, Reader, Submission, no_form};
use crate::ids::{PostId, SetId};
use crate::outline::{Outline, Spot};
use crate::settings::SettingKey;
use crate::units::{Length, Mass};
use crate::view::Page;
use crate::view::plans::above::laid_shelves;
use crate::view::plans::layer::{FORM, LayerPage, OPEN};
use crate::view::plans::one::layer_path;
use crate::view::plans::turned::{by_the_inset, usual_spots};
use crate::view::text::LengthUnit;
use crate::world::World;

/// A place in the stack, from its front left corner.
const SPOT: Bounds = Bounds { least_mm: -2_000.0, most_mm: 10_000.0, usual_mm: (-2_000.0, 10_000.0) };
/// The tallest piece. House choice: refused over 3 m, nothing to ask about under.
const TALL: Bounds = Bounds { least_mm: 0.0, most_mm: 3_000.0, usual_mm: (0.0, 3_000.0) };
/// Shims and wads. House choice: refused over 60 mm, asked about over 20.
const THIN: Bounds = Bounds { least_mm: 0.0, most_mm: 60.0, usual_mm: (0.0, 20.0) };
/// The heaviest ware of a shelf. House choice: 500 kg is a slip of the keyboard.
const HEAVIEST: Mass = Mass(500_000_000);
/// The most rows of shelves and of posts read. House choice: two shelves and one to spare; a dozen columns.
const MOST: (usize, usize) = (4, 16);

/// The layer saved, and on to where its button leads.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &LayerPage, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let world = data.bench.world();
    let then = values.get("then");
    let own = layer_path(data.plan.plan, data.stack, data.layer);
    if then == "remove" {
        let mut plan = data.plan.clone();
        if let Some(stack) = plan.stacks.get_mut(data.stack)
            && data.layer < stack.layers.len()
        {
            stack.layers.remove(data.layer);
        }
        return Ok(Submission::new(vec![plan.into()], data.path.clone()));
    }
    let mut plan = edited(&world, data, values, page.unit)?;
    let next = match plan.stacks.get_mut(data.stack) {
        Some(stack) => go_on(&world, data, stack, then),
        None => own,
    };
    Ok(Submission::new(vec![plan.into()], next))
}

/// What the button that was pressed does beside saving, and where it leads.
fn go_on(world: &World, data: &LayerPage, stack: &mut PlannedStack, then: &str) -> String {
    let (at, n_layers) = (data.layer, stack.layers.len());
    let page_of = |layer: usize| layer_path(data.plan.plan, data.stack, layer);
    match then {
        "inset" => {
            let laid = stack.layers.get(at).map(|layer| laid_shelves(world, stack, layer, &data.bench));
            if let (Some(laid), Some(layer)) = (laid, stack.layers.get_mut(at)) {
                layer.supports = by_the_inset(layer, &laid, world.settings.length(SettingKey::Inset));
            }
            page_of(at)
        }
        "twin" => {
            twin(world, data, stack);
            page_of(at)
        }
        "up" | "down" => {
            let other = if then == "up" { at + 1 } else { at.wrapping_sub(1) };
            if other >= n_layers {
                return page_of(at);
            }
            stack.layers.swap(at, other);
            page_of(other)
        }
        "next" => {
            if at + 1 == n_layers
                && let Some(like) = stack.layers.last().map(alike)
            {
                stack.layers.push(like);
            }
            page_of(at + 1)
        }
        _ => data.path.clone(),
    }
}

/// The whole plan with this layer as the fields say.
///
/// # Errors   Every problem at once.
pub fn edited(
    world: &World,
    data: &LayerPage,
    values: &FormValues,
    unit: LengthUnit,
) -> Result<PlanSaved, Vec<Problem>> {
    let mut reader = Reader::new(values, unit, Feelers::of(&world.settings));
    let was = data.planned().cloned().unwrap_or_default();
    let shelves: Vec<PlannedShelf> =
        (1..=MOST.0).filter_map(|n| shelf(&mut reader, world, n, unit)).collect();
    let mut supports: Vec<PlannedSupport> =
        (1..=MOST.1).filter_map(|n| support(&mut reader, world, n)).collect();
    let set = set(&mut reader, world);
    let mut plan = reader.finish(Some(data.plan.clone()))?;
    let Some(stack) = plan.stacks.get_mut(data.stack) else {
        return Err(vec![Problem::new("do", "this plan has no such stack; open it again")]);
    };
    let mut layer = PlannedLayer { set: None, supports: Vec::new(), shelves };
    let laid = laid_shelves(world, stack, &layer, &data.bench);
    follow(world, &was, set, &laid, &mut supports, &data_outlines(world, data, &was));
    layer.set = set.filter(|id| stands(world, *id, &supports));
    layer.supports = supports;
    if let Some(slot) = stack.layers.get_mut(data.layer) {
        *slot = layer;
    }
    Ok(plan)
}

fn data_outlines(world: &World, data: &LayerPage, was: &PlannedLayer) -> Vec<Outline> {
    let Some(stack) = data.plan.stacks.get(data.stack) else { return Vec::new() };
    laid_shelves(world, stack, was, &data.bench).into_iter().map(|(outline, _)| outline).collect()
}

/// Another set brings its posts; another shelf of another outline moves posts that nobody moved by hand.
fn follow(
    world: &World,
    was: &PlannedLayer,
    set: Option<SetId>,
    laid: &[(Outline, PlannedShelf)],
    supports: &mut Vec<PlannedSupport>,
    outlines: &[Outline],
) {
    let inset = world.settings.length(SettingKey::Inset);
    let untouched = supports.len() == was.supports.len()
        && supports.iter().zip(&was.supports).all(|(now, then)| now.at == then.at);
    let is_new_shape = laid.len() != outlines.len()
        || laid.iter().zip(outlines).any(|((outline, _), old)| outline != old)
        || laid
            .iter()
            .zip(&was.shelves)
            .any(|((_, now), then)| now.quarter_turns != then.quarter_turns || now.at != then.at);
    if set != was.set
        && let Some(set) = set.and_then(|id| world.sets.get(&id))
    {
        let n_posts = if set.posts.len() == 4 { 4 } else { 3 };
        let spots = if supports.len() == set.posts.len() && !(untouched && is_new_shape) {
            supports.iter().map(|one| one.at).collect()
        } else {
            usual_spots(laid, if laid.len() > 1 { 3 } else { n_posts }, inset)
        };
        *supports = spots
            .into_iter()
            .enumerate()
            .map(|(at, spot)| PlannedSupport {
                at: spot,
                posts: set.posts.get(at).copied().into_iter().collect(),
                shim_nm: Length::ZERO,
                wad_nm: Length::ZERO,
            })
            .collect();
    } else if untouched && is_new_shape {
        let layer = PlannedLayer { supports: supports.clone(), ..PlannedLayer::default() };
        *supports = by_the_inset(&layer, laid, inset);
    }
}

/// Whether a set's posts are the ones that stand here, one a column.
fn stands(world: &World, set: SetId, supports: &[PlannedSupport]) -> bool {
    let Some(set) = world.sets.get(&set) else { return false };
    let here: Vec<PostId> = supports.iter().flat_map(|one| one.posts.first().copied()).collect();
    here.len() == set.posts.len() && set.posts.iter().all(|post| here.contains(post))
}

fn set(reader: &mut Reader<'_>, world: &World) -> Option<SetId> {
    let code = reader.text("set");
    if code.is_empty() {
        return None;
    }
    let found = world.sets.values().find(|set| set.code.as_str() == code).map(|set| set.id);
    if found.is_none() {
        reader.problem("set", format!("no set of this kiln is called {code}"));
    }
    found
}

/// A row without a shelf and without a word that one is to come is none.
fn shelf(reader: &mut Reader<'_>, world: &World, n: usize, unit: LengthUnit) -> Option<PlannedShelf> {
    let name = |what: &str| format!("{what}{n}");
    let code = reader.text(&name("shelf"));
    if code.is_empty() {
        return None;
    }
    let known = world.shelves.values().find(|shelf| shelf.code.as_str() == code).map(|shelf| shelf.id);
    if known.is_none() && code != OPEN {
        reader.problem(&name("shelf"), format!("no shelf of this kiln has the code {code}"));
    }
    let mut spot =
        |what: &str| reader.optional_length(&name(what), SPOT).map_or(Length::ZERO, |typed| typed.nm);
    let at = Spot { x_nm: spot("sx"), y_nm: spot("sy") };
    let quarter_turns = match reader.text(&name("turn")) {
        "" => 0,
        text => text.parse::<u8>().unwrap_or(0) % 4,
    };
    let used_for = Use::all().iter().copied().find(|one| one.key() == reader.text(&name("use")));
    let tallest_nm = reader.optional_length(&name("tall"), TALL).map_or(Length::ZERO, |typed| typed.nm);
    let mass_mg = mass(reader, &name("mass"));
    let pieces = pieces(reader, &name("pieces"), unit);
    let lidded = reader.ticked(&name("lid"));
    let ware = PlannedWare { used_for, tallest_nm, mass_mg, lidded, pieces };
    Some(PlannedShelf { shelf: known, at, quarter_turns, ware })
}

fn mass(reader: &mut Reader<'_>, field: &str) -> Mass {
    let text = reader.text(field);
    if text.is_empty() {
        return Mass::default();
    }
    match read_mass(text) {
        Ok(mass) if mass <= HEAVIEST => mass,
        Ok(_) => {
            reader.problem(field, "over 500 kg on one shelf cannot be; give its mass in kilograms");
            Mass::default()
        }
        Err(cause) => {
            reader.problem(field, cause);
            Mass::default()
        }
    }
}

/// One piece a line: right, back, across, high, heavy, with semicolons between.
fn pieces(reader: &mut Reader<'_>, field: &str, unit: LengthUnit) -> Vec<PlacedPiece> {
    let mut found = Vec::new();
    for (number, line) in (1..).zip(reader.text(field).lines()) {
        if line.trim().is_empty() {
            continue;
        }
        match piece(line, unit) {
            Ok(piece) => found.push(piece),
            Err(cause) => reader.problem(field, format!("line {number}: {cause}")),
        }
    }
    found
}

fn piece(line: &str, unit: LengthUnit) -> Result<PlacedPiece, String> {
    let parts: Vec<&str> = line.split(';').map(str::trim).collect();
    let [x, y, across, high, heavy] = parts.as_slice() else {
        return Err("give five numbers with semicolons between: 100; 80; 120; 140; 0.9".to_owned());
    };
    let read = |text: &str| read_length(text, unit, &Feelers::default());
    let piece = PlacedPiece {
        at: Spot { x_nm: read(x)?, y_nm: read(y)? },
        diameter_nm: read(across)?,
        height_nm: read(high)?,
        mass_mg: read_mass(heavy)?,
    };
    if piece.diameter_nm <= Length::ZERO || piece.height_nm <= Length::ZERO {
        return Err("give its size, more than nothing".to_owned());
    }
    Ok(piece)
}

/// A row without a place is none.
fn support(reader: &mut Reader<'_>, world: &World, n: usize) -> Option<PlannedSupport> {
    let name = |what: &str| format!("{what}{n}");
    let says = |what: &str| !reader.text(&name(what)).is_empty();
    if !["x", "y", "posts"].into_iter().any(says) {
        return None;
    }
    let x = reader.length(&name("x"), SPOT).map(|typed| typed.nm);
    let y = reader.length(&name("y"), SPOT).map(|typed| typed.nm);
    let mut thin =
        |what: &str| reader.optional_length(&name(what), THIN).map_or(Length::ZERO, |typed| typed.nm);
    let (shim_nm, wad_nm) = (thin("shim"), thin("wad"));
    let posts = posts(reader, &name("posts"), world);
    let at = Spot { x_nm: x?, y_nm: y? };
    Some(PlannedSupport { at, posts, shim_nm, wad_nm })
}

/// "P31", or "P31 + P40": the lower one first.
fn posts(reader: &mut Reader<'_>, field: &str, world: &World) -> Vec<PostId> {
    let text = reader.text(field);
    let codes: Vec<&str> =
        text.split(|c: char| c == '+' || c.is_whitespace()).filter(|part| !part.is_empty()).collect();
    if codes.len() > 2 {
        reader.problem(field, "at most two posts on each other, the lower one first: P31 + P40");
    }
    let mut found = Vec::new();
    for typed in codes.into_iter().take(2) {
        let code = Code::read(typed).ok();
        let post = world.posts.values().find(|post| Some(&post.code) == code.as_ref());
        match post {
            Some(post) => found.push(post.id),
            None => reader.problem(field, format!("no post {typed} is in this kiln\u{2019}s racks")),
        }
    }
    found
}

/// A second shelf behind the first, or beside it where it is deeper than it is long; a half is turned about, so
/// that the straight edges face each other. The posts go where the inset puts them, shared at the seam.
fn twin(world: &World, data: &LayerPage, stack: &mut PlannedStack) {
    let Some(layer) = stack.layers.get(data.layer).cloned() else { return };
    let Some((outline, first)) = laid_shelves(world, stack, &layer, &data.bench).into_iter().next() else {
        return;
    };
    let (long, wide) = crate::view::plans::turned::bounds(&outline, first.quarter_turns);
    let mut layer = layer;
    let mut second = PlannedShelf { shelf: None, ware: PlannedWare::default(), ..first.clone() };
    if let Outline::HalfRound { .. } = outline {
        layer.shelves[0].quarter_turns = 2;
        second.quarter_turns = 0;
        second.at.y_nm = first.at.y_nm + wide;
    } else if long >= wide {
        second.at.y_nm = first.at.y_nm + wide;
    } else {
        second.at.x_nm = first.at.x_nm + long;
    }
    layer.shelves.truncate(1);
    let second_outline = outline;
    let shelves = [(outline, layer.shelves[0].clone()), (second_outline, second.clone())];
    layer.shelves.push(second);
    layer.supports = by_the_inset(&layer, &shelves, world.settings.length(SettingKey::Inset));
    layer.set = None;
    if let Some(slot) = stack.layers.get_mut(data.layer) {
        *slot = layer;
    }
}
