//! Reads a kiln's inside: the chamber, the places for stacks, what is kept clear.
use super::quantity::Feelers;
use super::reader::Bounds;
use super::{FormValues, Problem, Reader, Submission, no_form};
use crate::event::KilnChamberSet;
use crate::event::plan::{Chamber, KeepOut, StackPlace};
use crate::event::values::KeepOutKind;
use crate::outline::Spot;
use crate::units::Length;
use crate::view::Page;
use crate::view::kiln::inside::{FORM, Inside};
use crate::view::kiln::lay_out::lay_out;
use crate::view::text::LengthUnit;

/// A chamber's sides. House choice: from a test kiln of 50 mm to a car kiln of 10 m; asked about under 200 mm and
/// over 3 m.
const SIDE: Bounds = Bounds { least_mm: 50.0, most_mm: 10_000.0, usual_mm: (200.0, 3_000.0) };
/// A place in the chamber, or a size in it: nothing to ask about.
const WITHIN: Bounds = Bounds { least_mm: 0.0, most_mm: 10_000.0, usual_mm: (0.0, 10_000.0) };
/// The most rows read. House choice: a car kiln of 12 stacks, four times over.
const MOST_ROWS: usize = 48;

/// The whole inside, and back to the kiln's page.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &Inside, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let chamber = chamber(&mut reader);
    let places: Vec<StackPlace> = (1..=MOST_ROWS).filter_map(|row| place(&mut reader, row)).collect();
    let keep_outs: Vec<KeepOut> = (1..=MOST_ROWS).filter_map(|row| keep_out(&mut reader, row)).collect();
    for (row, one) in (1..).zip(&places) {
        if places[..row - 1].iter().any(|other| other.name == one.name) {
            let said = format!("another place is called {}; give each a name of its own", one.name);
            reader.problem(&format!("place_{row}_name"), said);
        }
    }
    let chamber = reader.finish(chamber)?;
    let body = KilnChamberSet { kiln: data.kiln, chamber, places, keep_outs };
    Ok(Submission::new(vec![body.into()], data.back.clone()))
}

fn chamber(reader: &mut Reader<'_>) -> Option<Chamber> {
    let height = reader.length("height", SIDE).map(|typed| typed.nm);
    match reader.text("form") {
        "cylinder" => {
            let diameter_nm = reader.length("diameter", SIDE)?.nm;
            Some(Chamber::Cylinder { diameter_nm, height_nm: height? })
        }
        form @ ("box" | "arched") => {
            let width = reader.length("width", SIDE).map(|typed| typed.nm);
            let depth = reader.length("depth", SIDE).map(|typed| typed.nm);
            let spring =
                if form == "arched" { reader.length("spring", SIDE).map(|typed| typed.nm) } else { None };
            let (width_nm, depth_nm, height_nm) = (width?, depth?, height?);
            if form == "box" {
                return Some(Chamber::Box { width_nm, depth_nm, height_nm });
            }
            let spring_nm = spring?;
            if spring_nm >= height_nm {
                reader.problem("spring", "the spring line lies below the crown; measure both from the floor");
            }
            Some(Chamber::Arched { width_nm, depth_nm, height_nm, spring_nm })
        }
        _ => {
            reader.problem("form", "choose one");
            None
        }
    }
}

/// The lengths of a row, in the order of their names; none and a problem at each that cannot be read.
fn lengths<const N: usize>(reader: &mut Reader<'_>, row: &str, names: [&str; N]) -> Option<[Length; N]> {
    let read = names.map(|name| reader.length(&format!("{row}_{name}"), WITHIN).map(|typed| typed.nm));
    let mut all = [Length::ZERO; N];
    for (slot, length) in all.iter_mut().zip(read) {
        *slot = length?;
    }
    Some(all)
}

/// A row that says nothing is none; one without a name takes its number.
fn place(reader: &mut Reader<'_>, number: usize) -> Option<StackPlace> {
    let row = format!("place_{number}");
    let says = |what: &str| !reader.text(&format!("{row}_{what}")).is_empty();
    if !["name", "x", "y", "l", "w"].into_iter().any(says) {
        return None;
    }
    let field = format!("{row}_name");
    let name = match reader.text(&field) {
        "" => format!("place {number}"),
        typed => typed.to_owned(),
    };
    if name.chars().count() > super::add::LONGEST_LINE {
        reader.problem(&field, "use a shorter name");
    }
    let [x_nm, y_nm, length_nm, width_nm] = lengths(reader, &row, ["x", "y", "l", "w"])?;
    for (what, side) in [("l", length_nm), ("w", width_nm)] {
        if side <= Length::ZERO {
            reader.problem(&format!("{row}_{what}"), "give its size, more than nothing");
        }
    }
    Some(StackPlace { name, at: Spot { x_nm, y_nm }, length_nm, width_nm })
}

fn keep_out(reader: &mut Reader<'_>, number: usize) -> Option<KeepOut> {
    let row = format!("keep_{number}");
    let kind_field = format!("{row}_kind");
    let says = |what: &str| !reader.text(&format!("{row}_{what}")).is_empty();
    let any = ["x", "y", "l", "w", "from", "to", "clear"].into_iter().any(says);
    if reader.text(&kind_field).is_empty() {
        if any {
            reader.problem(&kind_field, "choose what is there, or empty the row");
        }
        return None;
    }
    let kind = reader.choice::<KeepOutKind>(&kind_field);
    let clearance_nm = reader.optional_length(&format!("{row}_clear"), WITHIN).map(|typed| typed.nm);
    let [x_nm, y_nm, length_nm, width_nm, from_nm, to_nm] =
        lengths(reader, &row, ["x", "y", "l", "w", "from", "to"])?;
    if to_nm <= from_nm {
        reader.problem(&format!("{row}_to"), "it ends above where it begins; measure both from the floor");
    }
    Some(KeepOut { kind: kind?, at: Spot { x_nm, y_nm }, length_nm, width_nm, from_nm, to_nm, clearance_nm })
}

/// The places that the form's button lays out.
///
/// # Errors   The chamber or the sizes cannot be read, or the places do not fit.
pub fn laid_out(values: &FormValues, unit: LengthUnit) -> Result<Vec<StackPlace>, Vec<Problem>> {
    let mut reader = Reader::new(values, unit, Feelers::default());
    let chamber = chamber(&mut reader);
    let n_places = reader.count("lay_n", 1, 24);
    let length = reader.length("lay_l", SIDE).map(|typed| typed.nm);
    let width = reader.length("lay_w", SIDE).map(|typed| typed.nm);
    // What is asked about when it is recorded is not asked about here.
    let asked = reader.finish(chamber.zip(n_places).zip(length.zip(width)));
    let ((chamber, n_places), (length, width)) = asked?;
    lay_out(&chamber, n_places, length, width).map_err(|said| vec![Problem::new("lay_n", said)])
}

#[cfg(test)]
#[path = "kiln_tests.rs"]
mod tests;
