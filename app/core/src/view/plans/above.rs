//! The plan from above: all stacks on the kiln's floor, or one layer with its posts.
//!
//! What this does not do: say whether it stands.
use super::bench::Bench;
use super::turned;
use crate::event::PlanSaved;
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedStack};
use crate::event::values::PostSection;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::view::figure::{Anchor, Figure, InkKind, Paper, WIDTH, tenth};
use crate::view::kiln::{draw, kept};
use crate::view::plan::where_said;
use crate::world::{Post, World};
use serde::{Deserialize, Serialize};

/// Around a layer: half a thumb, so that a post at the edge can be held.
const MARGIN: f64 = 26.0;
/// The side of a post none of which is chosen. House choice: 38 mm, the commonest section.
const USUAL_POST_MM: f64 = 38.0;

/// A place that can be dragged.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Handle {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
    /// What it is called: the post's code, or its number.
    pub said: String,
}

/// One layer from above, with the posts to be dragged.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LayerDrawing {
    /// The drawing.
    pub figure: Figure,
    /// The posts, in the order of the layer's supports.
    pub handles: Vec<Handle>,
    /// The paper, to read a thumb's place back.
    pub paper: Paper,
    /// How far the drawing reaches, in millimetres: left, front, right, back.
    pub reach_mm: [f64; 4],
}

impl LayerDrawing {
    /// The place in the stack of a point on the drawing, given as shares of its width and height; on whole
    /// millimetres, which is as fine as a thumb is.
    #[must_use]
    pub fn back(&self, across: f64, down: f64) -> Spot {
        let (width, height) = self.figure.size;
        let x = self.reach_mm[0] + (across * width - self.paper.left) / self.paper.per_mm;
        let y = self.reach_mm[1] + (self.paper.bottom - down * height) / self.paper.per_mm;
        let whole = |mm: f64, low: f64, high: f64| Length::from_mm(libm::round(mm.clamp(low, high)));
        Spot {
            x_nm: whole(x, self.reach_mm[0], self.reach_mm[2]),
            y_nm: whole(y, self.reach_mm[1], self.reach_mm[3]),
        }
    }
}

/// An outline as a path on paper, as it lies in its stack, whose corner is `at` (in millimetres).
#[must_use]
pub fn outline_path(
    outline: &Outline,
    laid: &PlannedShelf,
    paper: &Paper,
    (left, front): (f64, f64),
) -> String {
    let (x0, y0) = (left + laid.at.x_nm.mm(), front + laid.at.y_nm.mm());
    let (long, wide) = turned::bounds(outline, laid.quarter_turns);
    let (x1, y1) = (x0 + long.mm(), y0 + wide.mm());
    match outline {
        Outline::Rectangle { .. } => paper.rect([x0, y0, x1, y1]),
        Outline::Round { diameter_nm } => {
            let r = diameter_nm.mm() / 2.0;
            paper.circle(x0 + r, y0 + r, r)
        }
        Outline::HalfRound { diameter_nm } => {
            let r = paper.long(diameter_nm.mm() / 2.0);
            // The straight edge's ends, and the arc back over the far side: anticlockwise as it lies.
            let (from, to) = match laid.quarter_turns % 4 {
                0 => ((x1, y0), (x0, y0)),
                1 => ((x1, y1), (x1, y0)),
                2 => ((x0, y1), (x1, y1)),
                _ => ((x0, y0), (x0, y1)),
            };
            format!(
                "M{} {}A{r} {r} 0 0 0 {} {}Z",
                paper.x(from.0),
                paper.y(from.1),
                paper.x(to.0),
                paper.y(to.1)
            )
        }
    }
}

/// A post's foot: square or round as it is on record.
fn foot(paper: &Paper, x: f64, y: f64, post: Option<&Post>) -> String {
    let width = post.map_or(USUAL_POST_MM, |post| post.width.mm());
    match post.map(|post| post.section) {
        Some(PostSection::Round) => paper.circle(x, y, width / 2.0),
        Some(PostSection::Triangular) => {
            // A triangle of this side: its middle is 0.289 of a side over its base (√3/6).
            let (low, half) = (y - width * 0.289, width / 2.0);
            let top = low + width * 0.866;
            format!(
                "M{} {}L{} {}L{} {}Z",
                paper.x(x - half),
                paper.y(low),
                paper.x(x + half),
                paper.y(low),
                paper.x(x),
                paper.y(top)
            )
        }
        Some(PostSection::Square) | None => {
            let half = width / 2.0;
            paper.rect([x - half, y - half, x + half, y + half])
        }
    }
}

/// The outline of a planned shelf; of one not chosen yet, that of its place.
#[must_use]
pub fn outline_of(world: &World, stack: &PlannedStack, laid: &PlannedShelf, bench: &Bench) -> Outline {
    let known = laid.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.outline);
    known.unwrap_or_else(|| {
        let inside = bench.kiln.inside.as_ref();
        let place = inside.and_then(|inside| inside.places.iter().find(|one| one.name == stack.place));
        let (length_nm, width_nm) = place.map_or_else(
            || (Length::from_mm(600.0), Length::from_mm(300.0)),
            |place| (place.length_nm, place.width_nm),
        );
        Outline::Rectangle { length_nm, width_nm }
    })
}

/// The shelves of a layer with their outlines.
#[must_use]
pub fn laid_shelves(
    world: &World,
    stack: &PlannedStack,
    layer: &PlannedLayer,
    bench: &Bench,
) -> Vec<(Outline, PlannedShelf)> {
    layer.shelves.iter().map(|laid| (outline_of(world, stack, laid, bench), laid.clone())).collect()
}

/// One layer from above. The posts of the layer below, whose shelf these stand on, are dotted.
#[must_use]
pub fn layer(world: &World, bench: &Bench, stack: &PlannedStack, number: usize) -> Option<LayerDrawing> {
    let layer = stack.layers.get(number)?;
    let shelves = laid_shelves(world, stack, layer, bench);
    let reach = reach(&shelves, layer);
    let paper = Paper::of(reach[2] - reach[0], reach[3] - reach[1], MARGIN);
    let mut figure = Figure { size: paper.size(), ..Figure::default() };
    let corner = (-reach[0], -reach[1]);
    for (outline, laid) in &shelves {
        let kind = if laid.shelf.is_some() { InkKind::Shelf } else { InkKind::ShelfOpen };
        figure.ink(kind, outline_path(outline, laid, &paper, corner));
        cracks(&mut figure, world, laid, outline, &paper, corner);
    }
    let point = |spot: Spot| (spot.x_nm.mm() + corner.0, spot.y_nm.mm() + corner.1);
    let below = number.checked_sub(1).and_then(|below| stack.layers.get(below));
    for support in below.into_iter().flat_map(|layer| &layer.supports) {
        let (x, y) = point(support.at);
        let top = support.posts.last().and_then(|id| world.posts.get(id));
        figure.ink(InkKind::Below, foot(&paper, x, y, top));
    }
    for piece in layer.shelves.iter().flat_map(|laid| &laid.ware.pieces) {
        let (x, y) = point(piece.at);
        figure.ink(InkKind::Ware, paper.circle(x, y, piece.diameter_nm.mm() / 2.0));
    }
    let mut handles = Vec::new();
    for (at, support) in (1..).zip(&layer.supports) {
        let (x, y) = point(support.at);
        let lower = support.posts.first().and_then(|id| world.posts.get(id));
        let kind = if lower.is_some() { InkKind::Post } else { InkKind::PostOpen };
        figure.ink(kind, foot(&paper, x, y, lower));
        let codes: Vec<&str> = support
            .posts
            .iter()
            .filter_map(|id| world.posts.get(id))
            .map(|post| post.code.as_str())
            .collect();
        let said = if codes.is_empty() { format!("{at}") } else { codes.join(" + ") };
        handles.push(Handle { x: paper.x(x), y: paper.y(y), said });
    }
    name_all(&mut figure, &handles);
    let stand: Vec<String> = handles
        .iter()
        .zip(columns(&shelves, layer))
        .map(|(handle, place)| format!("{} {place}", handle.said))
        .collect();
    let codes: Vec<String> = layer
        .shelves
        .iter()
        .map(|laid| {
            laid.shelf
                .and_then(|id| world.shelves.get(&id))
                .map_or("no shelf yet".to_owned(), |s| s.code.to_string())
        })
        .collect();
    figure.said = format!("{} from above, front below: {}", codes.join(" and "), stand.join(", "));
    figure.caption = if below.is_some() {
        "From above, front at the bottom. Dotted: the posts below.".to_owned()
    } else {
        "From above, front at the bottom.".to_owned()
    };
    Some(LayerDrawing { figure, handles, paper, reach_mm: reach })
}

fn reach(shelves: &[(Outline, PlannedShelf)], layer: &PlannedLayer) -> [f64; 4] {
    let mut reach = [0.0, 0.0, 1.0, 1.0_f64];
    for (outline, laid) in shelves {
        let (long, wide) = turned::bounds(outline, laid.quarter_turns);
        let (x, y) = (laid.at.x_nm.mm(), laid.at.y_nm.mm());
        reach = [reach[0].min(x), reach[1].min(y), reach[2].max(x + long.mm()), reach[3].max(y + wide.mm())];
    }
    for support in &layer.supports {
        let (x, y) = (support.at.x_nm.mm(), support.at.y_nm.mm());
        reach = [reach[0].min(x), reach[1].min(y), reach[2].max(x), reach[3].max(y)];
    }
    reach
}

/// Codes beside their posts: above those in the front half, below the others, so that no edge runs through them.
fn name_all(figure: &mut Figure, handles: &[Handle]) {
    let middle = figure.size.1 / 2.0;
    for handle in handles {
        let y = if handle.y > middle { handle.y - 28.0 } else { handle.y + 38.0 };
        // Long pairs of codes near the side stay on the paper.
        let half = 4.2 * f64::from(u16::try_from(handle.said.len()).unwrap_or(20));
        let x = handle.x.clamp(half, WIDTH - half);
        figure.word(x, y, Anchor::Middle, handle.said.clone());
    }
}

fn cracks(
    figure: &mut Figure,
    world: &World,
    laid: &PlannedShelf,
    outline: &Outline,
    paper: &Paper,
    corner: (f64, f64),
) {
    let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
    for crack in shelf.iter().flat_map(|shelf| shelf.cracks.values()) {
        let ends = [crack.from, crack.to].map(|end| {
            let spot = turned::place(outline, laid, end);
            (paper.x(spot.x_nm.mm() + corner.0), paper.y(spot.y_nm.mm() + corner.1))
        });
        figure.ink(InkKind::Crack, format!("M{} {}L{} {}", ends[0].0, ends[0].1, ends[1].0, ends[1].1));
    }
}

/// Where each support of a layer stands, in words: "front left".
#[must_use]
pub fn columns(shelves: &[(Outline, PlannedShelf)], layer: &PlannedLayer) -> Vec<String> {
    let reach = reach(shelves, layer);
    let whole = Outline::Rectangle {
        length_nm: Length::from_mm(reach[2] - reach[0]),
        width_nm: Length::from_mm(reach[3] - reach[1]),
    };
    let shift = |spot: Spot| Spot {
        x_nm: spot.x_nm - Length::from_mm(reach[0]),
        y_nm: spot.y_nm - Length::from_mm(reach[1]),
    };
    let spots: Vec<Spot> = layer.supports.iter().map(|support| shift(support.at)).collect();
    where_said(&whole, &spots)
}

/// All stacks on the kiln's floor.
#[must_use]
pub fn floor(world: &World, bench: &Bench, plan: &PlanSaved) -> Option<Figure> {
    let inside = bench.kiln.inside.as_ref()?;
    let [across, deep, _] = draw::sides_mm(&inside.chamber);
    let paper = Paper::of(across, deep, 20.0);
    let mut figure = Figure { size: paper.size(), ..Figure::default() };
    figure.ink(InkKind::Wall, draw::walls_above(&inside.chamber, &paper));
    draw::kept_above(&mut figure, &paper, &inside.chamber, &kept(&bench.settings, &inside.keep_outs));
    let mut names = Vec::new();
    for stack in &plan.stacks {
        let corner = (stack.at.x_nm.mm(), stack.at.y_nm.mm());
        let mut words_at = None;
        for layer in &stack.layers {
            for (outline, laid) in laid_shelves(world, stack, layer, bench) {
                figure.ink(InkKind::Shelf, outline_path(&outline, &laid, &paper, corner));
                let (long, wide) = turned::bounds(&outline, laid.quarter_turns);
                let x = corner.0 + laid.at.x_nm.mm() + long.mm() / 2.0;
                words_at = words_at.or(Some((x, corner.1 + laid.at.y_nm.mm() + wide.mm() / 2.0)));
            }
        }
        for support in stack.layers.first().into_iter().flat_map(|layer| &layer.supports) {
            let (x, y) = (corner.0 + support.at.x_nm.mm(), corner.1 + support.at.y_nm.mm());
            let post = support.posts.first().and_then(|id| world.posts.get(id));
            figure.ink(InkKind::Post, foot(&paper, x, y, post));
        }
        if let Some((x, y)) = words_at {
            figure.word(paper.x(x), paper.y(y) + 5.0, Anchor::Middle, stack.place.clone());
        }
        names.push(format!("{} ({} layers)", stack.place, stack.layers.len()));
    }
    let size = paper.size();
    figure.small(tenth(size.0 / 2.0), size.1 - 5.0, Anchor::Middle, "front");
    figure.said =
        format!("The kiln\u{2019}s floor from above, front below, with stacks: {}", names.join(", "));
    figure.caption = "From above, front at the bottom: every shelf, and the bottom posts.".to_owned();
    Some(figure)
}
