//! Marching squares: lines of one height on a grid, joined from cell to cell.
//!
//! What this does not do: leave the grid's rectangle; [`super::contour`] cuts the lines to the shelf's outline.
use super::PlanPoint;
use super::contour::Relief;
use std::collections::BTreeMap;

/// A side of a cell: its first node's column and row, and whether it runs along y.
type Side = (usize, usize, bool);

/// The lines at `level_mm`: whether each closes, and its places in order.
pub(super) fn lines(relief: &Relief, level_mm: f64) -> Vec<(bool, Vec<PlanPoint>)> {
    // Which sides a side is joined to: at most one in each of the two cells that share it.
    let mut joined: BTreeMap<Side, Vec<Side>> = BTreeMap::new();
    for row in 0..relief.n_rows.saturating_sub(1) {
        for column in 0..relief.n_columns.saturating_sub(1) {
            for (a, b) in crossings(relief, level_mm, column, row) {
                joined.entry(a).or_default().push(b);
                joined.entry(b).or_default().push(a);
            }
        }
    }
    let mut lines = Vec::new();
    // Open lines first, from an end, so that none is cut in two; what is left closes.
    while let Some(start) = joined.iter().find(|(_, to)| to.len() == 1).map(|(side, _)| *side) {
        lines.push((false, follow(&mut joined, start)));
    }
    while let Some(start) = joined.keys().next().copied() {
        lines.push((true, follow(&mut joined, start)));
    }
    let place = |side: &Side| crossing(relief, level_mm, *side);
    lines.into_iter().map(|(is_closed, sides)| (is_closed, sides.iter().map(place).collect())).collect()
}

fn height(relief: &Relief, column: usize, row: usize) -> f64 {
    relief.heights_mm.get(row * relief.n_columns + column).copied().unwrap_or(0.0)
}

/// The pairs of sides that a line joins in one cell.
fn crossings(relief: &Relief, level_mm: f64, column: usize, row: usize) -> Vec<(Side, Side)> {
    let corners = [(column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1)];
    let heights = corners.map(|(column, row)| height(relief, column, row));
    let above = heights.map(|height| height >= level_mm);
    let sides =
        [(column, row, false), (column + 1, row, true), (column, row + 1, false), (column, row, true)];
    let crossed: Vec<Side> = sides
        .into_iter()
        .enumerate()
        .filter(|(i, _)| above[*i] != above[(i + 1) % 4])
        .map(|(_, side)| side)
        .collect();
    match crossed.as_slice() {
        [a, b] => vec![(*a, *b)],
        // A saddle: the mean of the corners says which pair of opposite corners is joined in the middle.
        [front, right, back, left] => {
            let middle = heights.iter().sum::<f64>() / 4.0 >= level_mm;
            if middle == above[0] {
                vec![(*front, *right), (*back, *left)]
            } else {
                vec![(*left, *front), (*right, *back)]
            }
        }
        _ => Vec::new(),
    }
}

/// Takes a line out of the map, from side to side.
fn follow(joined: &mut BTreeMap<Side, Vec<Side>>, start: Side) -> Vec<Side> {
    let mut line = vec![start];
    let mut here = start;
    while let Some(next) = joined.get(&here).and_then(|to| to.last().copied()) {
        part(joined, here, next);
        part(joined, next, here);
        if next == start {
            break;
        }
        line.push(next);
        here = next;
    }
    line
}

/// Forgets that `from` is joined to `to`.
fn part(joined: &mut BTreeMap<Side, Vec<Side>>, from: Side, to: Side) {
    let Some(others) = joined.get_mut(&from) else { return };
    if let Some(i) = others.iter().position(|other| *other == to) {
        others.remove(i);
    }
    if others.is_empty() {
        joined.remove(&from);
    }
}

/// Where the line crosses a side, by linear interpolation.
fn crossing(relief: &Relief, level_mm: f64, (column, row, along_y): Side) -> PlanPoint {
    let (to_column, to_row) = if along_y { (column, row + 1) } else { (column + 1, row) };
    let (from, to) = (height(relief, column, row), height(relief, to_column, to_row));
    let part = ((level_mm - from) / (to - from)).clamp(0.0, 1.0);
    let between = |from: usize, to: usize, step: f64| {
        #[expect(clippy::cast_precision_loss, reason = "a grid has below 100 nodes a side")]
        let (from, to) = (from as f64, to as f64);
        (from + part * (to - from)) * step
    };
    PlanPoint {
        x_mm: between(column, to_column, relief.step_x_mm),
        y_mm: between(row, to_row, relief.step_y_mm),
    }
}
