//! One stack from the side, to scale in its chamber: posts, shelves, the height of the ware, what is left over.
use super::bench::Bench;
use super::check::CheckShown;
use super::{above, turned};
use crate::event::plan::{PlannedLayer, PlannedStack};
use crate::judge::stack::{LayerFigures, StackFigures};
use crate::units::Length;
use crate::view::Shape;
use crate::view::figure::{Anchor, Figure, InkKind, Paper, WIDTH};
use crate::view::kiln::{draw, kept};
use crate::view::text::{LengthUnit, length_by_eye};
use crate::world::World;

/// The thickness of a shelf that is not chosen yet. House choice: 20 mm, the middle of what is usual.
const USUAL_THICKNESS_MM: f64 = 20.0;
/// The chamber where none is on record: just over the stack.
const NO_CHAMBER_MM: [f64; 2] = [720.0, 300.0];

/// What one stack is drawn from.
pub struct Seen<'a> {
    /// Where pieces are looked up.
    pub world: &'a World,
    /// The kiln.
    pub bench: &'a Bench,
    /// Its numbers.
    pub figures: &'a StackFigures,
    /// Its lines.
    pub check: &'a CheckShown,
    /// How lengths are said.
    pub unit: LengthUnit,
}

/// Draws one stack.
#[must_use]
pub fn stack(seen: &Seen<'_>, stack: &PlannedStack) -> Figure {
    let inside = seen.bench.kiln.inside.as_ref();
    let [across, high] = match inside {
        Some(inside) => {
            let [across, _, high] = draw::sides_mm(&inside.chamber);
            [across, high]
        }
        None => [NO_CHAMBER_MM[0], seen.figures.height_mm + NO_CHAMBER_MM[1]],
    };
    let paper = Paper::of(across, high, 12.0);
    let mut figure = Figure { size: paper.size(), ..Figure::default() };
    if let Some(inside) = inside {
        figure.ink(InkKind::Wall, draw::walls_before(&inside.chamber, &paper));
        draw::kept_before(
            &mut figure,
            &paper,
            &inside.chamber,
            &kept(&seen.bench.settings, &inside.keep_outs),
        );
    } else {
        figure.ink(InkKind::Line, format!("M0 {}H{WIDTH}", paper.y(0.0)));
    }
    let mut said = Vec::new();
    for ((number, layer), figures) in (1_u32..).zip(&stack.layers).zip(&seen.figures.layers) {
        one_layer(&mut figure, &paper, seen, stack, (number, layer), figures);
        let codes = codes(seen.world, layer).join(" and ");
        let top = length_by_eye(Length::from_mm(figures.top_mm), seen.unit);
        said.push(format!("layer {number}: {codes}, top at {top}"));
    }
    figure.said = format!("{} from the front, from the floor up: {}", stack.place, said.join("; "));
    figure.caption =
        "From the front, to scale. Shaded: the ware as high as its tallest; the number is what is clear over it."
            .to_owned();
    figure
}

fn one_layer(
    figure: &mut Figure,
    paper: &Paper,
    seen: &Seen<'_>,
    stack: &PlannedStack,
    (number, layer): (u32, &PlannedLayer),
    figures: &LayerFigures,
) {
    let left = stack.at.x_nm.mm();
    let shape = seen.check.worst(&stack.place, number);
    let mut ends: Option<(f64, f64)> = None;
    let shelves = above::laid_shelves(seen.world, stack, layer, seen.bench);
    let thickness = |laid: &crate::event::plan::PlannedShelf| {
        let shelf = laid.shelf.and_then(|id| seen.world.shelves.get(&id));
        shelf.map_or(USUAL_THICKNESS_MM, |shelf| shelf.thickness_now().mm())
    };
    let under = shelves.iter().map(|(_, laid)| figures.top_mm - thickness(laid)).fold(f64::MAX, f64::min);
    let under = if under == f64::MAX { figures.top_mm } else { under };
    for support in &layer.supports {
        let x = left + support.at.x_nm.mm();
        let mut foot = figures.floor_mm;
        for (at, id) in support.posts.iter().enumerate() {
            let Some(post) = seen.world.posts.get(id) else { continue };
            let high = post.height_reading().map_or(post.nominal, |reading| reading.height).mm();
            let top = if at + 1 == support.posts.len() { under.max(foot) } else { foot + high };
            let half = post.width.mm() / 2.0;
            figure.ink(InkKind::Post, paper.rect([x - half, foot, x + half, top]));
            foot += high;
        }
        if support.posts.is_empty() {
            figure.ink(InkKind::PostOpen, paper.rect([x - 19.0, foot, x + 19.0, under.max(foot)]));
        }
    }
    for (outline, laid) in &shelves {
        let (long, _) = turned::bounds(outline, laid.quarter_turns);
        let x0 = left + laid.at.x_nm.mm();
        let x1 = x0 + long.mm();
        if laid.ware.tallest_nm > Length::ZERO {
            let top = figures.top_mm + laid.ware.tallest_nm.mm();
            figure.ink(InkKind::Ware, paper.rect([x0 + 8.0, figures.top_mm, x1 - 8.0, top]));
        }
        let kind = match (laid.shelf, shape) {
            (None, _) => InkKind::ShelfOpen,
            (_, Shape::Stop | Shape::Gone) => InkKind::ShelfStop,
            (_, Shape::Look | Shape::Unknown) => InkKind::ShelfLook,
            (_, Shape::Plain) => InkKind::Shelf,
        };
        figure.ink(kind, paper.rect([x0, figures.top_mm - thickness(laid), x1, figures.top_mm]));
        ends = Some(ends.map_or((x0, x1), |(a, b)| (a.min(x0), b.max(x1))));
    }
    let Some((x0, x1)) = ends else { return };
    let mark = match shape {
        Shape::Stop | Shape::Gone => "\u{25a0} ",
        Shape::Look => "\u{25b3} ",
        Shape::Unknown => "\u{25cc} ",
        Shape::Plain => "",
    };
    let y = paper.y(figures.top_mm) + 4.0;
    let codes = codes(seen.world, layer).join(" ");
    // Beside the shelf where there is room for it, else over its end.
    let room = paper.x(x0) - 4.0;
    if room > 34.0 {
        figure.word(room, y, Anchor::End, format!("{mark}{codes}"));
    } else {
        figure.word(paper.x(x0) + 4.0, y - 8.0, Anchor::Start, format!("{mark}{codes}"));
    }
    if let Some(clear) = figures.clear {
        let said = length_by_eye(clear, seen.unit);
        let beside = WIDTH - paper.x(x1) > 52.0;
        let (x, anchor) =
            if beside { (paper.x(x1) + 4.0, Anchor::Start) } else { (paper.x(x1) - 4.0, Anchor::End) };
        figure.small(x, y - 8.0, anchor, said);
    }
}

fn codes(world: &World, layer: &PlannedLayer) -> Vec<String> {
    let code = |laid: &crate::event::plan::PlannedShelf| {
        let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
        shelf.map_or_else(|| "no shelf yet".to_owned(), |shelf| shelf.code.to_string())
    };
    layer.shelves.iter().map(code).collect()
}
