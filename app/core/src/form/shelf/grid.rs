//! Heights pasted or typed as rows of numbers.
//!
//! What this does not do: know the instrument. One row of text is one row of the grid, from the front; within
//! it numbers stand apart by tabs or semicolons, or by spaces where there are neither; `-` is no surface.
use crate::event::SurfaceReading;
use crate::event::values::Typed;
use crate::form::Reader;
use crate::form::quantity::{Feelers, read_length};
use crate::form::reader::Bounds;
use crate::geometry::SurfacePoint;
use crate::judge::shelf::surface::grid_points;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::view::text::{LengthUnit, length};

/// House choice: 50 by 50 places are hours of work with a dial indicator.
const MOST_SIDE: usize = 50;
/// As for the dips of lines: refused beyond, asked beyond.
const MOST: Length = Length(50_000_000);
const USUAL: Length = Length(10_000_000);
/// House choice: a stand is set down a few millimetres off its place.
const SLACK: Length = Length(10_000_000);
/// House choice: as many wrong numbers are named at once.
const MOST_NAMED: usize = 5;

/// Reads the grid's fields.
pub(super) fn read(
    form: &mut Reader<'_>,
    outline: &Outline,
    unit: LengthUnit,
    feelers: &Feelers,
) -> Option<SurfaceReading> {
    let inset = inset(form, outline);
    let rows: Vec<Vec<&str>> =
        form.text("heights").lines().map(cells).filter(|row| !row.is_empty()).collect();
    let columns = rows.first().map_or(0, Vec::len);
    let sized = check_size(form, &rows, columns);
    let mut heights = Vec::new();
    let mut wrong = Vec::new();
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            match read_cell(cell, unit, feelers) {
                Ok(height) => heights.push(height),
                Err(cause) => wrong.push(format!("row {}, number {}: {cause}", row + 1, column + 1)),
            }
        }
    }
    let more = wrong.len().saturating_sub(MOST_NAMED);
    for cause in wrong.iter().take(MOST_NAMED) {
        form.problem("heights", cause.clone());
    }
    if more > 0 {
        form.problem("heights", format!("and {more} more that are no lengths"));
    }
    if !wrong.is_empty() || !sized || !check_heights(form, &heights, unit) {
        return None;
    }
    let (columns, rows) = (u16::try_from(columns).ok()?, u16::try_from(rows.len()).ok()?);
    let inset_nm = inset?;
    if let Some(idx) = off_the_shelf(outline, (columns, rows), inset_nm, &heights) {
        let (row, column) = (idx / usize::from(columns) + 1, idx % usize::from(columns) + 1);
        form.problem(
            "heights",
            format!("row {row}, number {column}: there is no shelf at this place; put - there"),
        );
        return None;
    }
    Some(SurfaceReading::Grid { columns, rows, inset_nm, heights })
}

/// The first height at a place that the outline does not hold.
fn off_the_shelf(
    outline: &Outline,
    size: (u16, u16),
    inset: Length,
    heights: &[Option<Typed>],
) -> Option<usize> {
    let places = grid_points(outline, size, inset, heights.iter().map(|_| Some(Length::ZERO)));
    let is_off = |place: &SurfacePoint| {
        let spot = Spot { x_nm: Length::from_mm(place.x_mm), y_nm: Length::from_mm(place.y_mm) };
        !outline.holds(spot, SLACK)
    };
    heights.iter().zip(&places).position(|(height, place)| height.is_some() && is_off(place))
}

fn inset(form: &mut Reader<'_>, outline: &Outline) -> Option<Length> {
    let (length, width) = outline.bounds();
    // The outermost places of both sides must not meet.
    let most_mm = length.mm().min(width.mm()) / 2.0 - 1.0;
    form.length("inset", Bounds { least_mm: 0.0, most_mm, usual_mm: (0.0, 100.0) }).map(|typed| typed.nm)
}

fn cells(line: &str) -> Vec<&str> {
    if line.trim().is_empty() {
        return Vec::new();
    }
    match line.contains(['\t', ';']) {
        true => line.split(['\t', ';']).map(str::trim).collect(),
        false => line.split_whitespace().collect(),
    }
}

fn read_cell(cell: &str, unit: LengthUnit, feelers: &Feelers) -> Result<Option<Typed>, String> {
    if matches!(cell, "" | "-" | "\u{2013}" | "\u{2212}") {
        return Ok(None);
    }
    read_length(cell, unit, feelers).map(|nm| Some(Typed { nm, text: cell.to_owned() }))
}

fn check_size(form: &mut Reader<'_>, rows: &[Vec<&str>], columns: usize) -> bool {
    let before = "heights";
    if let Some((idx, row)) = rows.iter().enumerate().find(|(_, row)| row.len() != columns) {
        form.problem(
            before,
            format!(
                "row {} has {} numbers, the first has {columns}; put - where there is no surface",
                idx + 1,
                row.len()
            ),
        );
        return false;
    }
    if rows.len() > MOST_SIDE || columns > MOST_SIDE {
        form.problem(before, format!("at most {MOST_SIDE} rows of {MOST_SIDE} numbers are taken"));
        return false;
    }
    if rows.len() < 2 || columns < 2 {
        form.problem(before, "give at least two rows of two numbers, the front row first");
        return false;
    }
    let mut agrees = true;
    for (field, counted) in [("columns", columns), ("rows", rows.len())] {
        let Ok(most) = u32::try_from(MOST_SIDE) else { continue };
        let Some(said) = form.optional_count(field, most) else { continue };
        if usize::try_from(said) != Ok(counted) {
            form.problem(field, format!("{said} is not what the numbers below have: {counted}"));
            agrees = false;
        }
    }
    agrees
}

/// The heights' zero is anywhere; only how far they lie apart can be wrong.
fn check_heights(form: &mut Reader<'_>, heights: &[Option<Typed>], unit: LengthUnit) -> bool {
    let read: Vec<Length> = heights.iter().flatten().map(|height| height.nm).collect();
    let (Some(low), Some(high)) = (read.iter().min(), read.iter().max()) else {
        form.problem("heights", "give at least four heights");
        return false;
    };
    if read.len() < 4 {
        form.problem("heights", "give at least four heights");
        return false;
    }
    let apart = *high - *low;
    let said = length(apart, unit);
    if apart > MOST {
        form.problem(
            "heights",
            format!("the heights lie {said} apart, which no shelf does; look at the unit"),
        );
        return false;
    }
    if apart > USUAL {
        form.ask("heights", format!("the heights lie {said} apart; tick the box if that is right"));
    }
    true
}
