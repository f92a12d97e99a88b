//! `tripoise calc plate`: a shelf as a thin plate on its posts.
//!
//! What this does not do: solve; that is [`crate::geometry::plate`].
use super::input::{FAR_MM, LENGTH, MASS, Node, Object, POSITION, Quantity};
use super::output::Output;
use super::{CalcError, Kind};
use crate::geometry::PlanPoint;
use crate::geometry::plate::{
    DISC_SHARE, EdgeHold, Foot, Found, Plate, PlateAnswer, PlateCase, PlateError, PlateLoad, solve_plate,
};

pub(super) const KIND: Kind = Kind { name: "plate", run, help: HELP };

const HELP: &str = r#"plate: how far a shelf bends on its posts, how hard it is stressed, what each post carries

Model: thin plate (Kirchhoff), free edges, one stiffness in all directions, small deflections, supports that
neither sink nor let go. A rectangle from (0, 0) to (length, width).

In:
  length_mm, width_mm, thickness_mm
  youngs_gpa, poisson (0 to 0.5)
  density_g_cm3     null or left out: without its own weight
  supports          3 to 400 of {x_mm, y_mm, pad_mm}: pad_mm is the side of the square it bears on, 0 (or left
                    out) = a point; the part of a pad beyond the shelf's edge carries nothing
  pressure_kpa      all over; left out = 0
  loads             up to 1000 of {x_mm, y_mm, mass_kg, pad_mm}; left out = none

Out:
  max_deflection_mm, at                    downwards from the level of the supports, and where
  max_rise_mm, max_rise_at                 above that level (a free corner can rise); 0 where nothing does
  centre_deflection_mm
  max_sagging_stress_mpa, .._at            lower face stretched: 6 M / t² of the largest principal moment;
                                           outside discs of 0.1 x the short side about loads with pad_mm 0
                                           (and about supports with pad_mm 0 that pull)
  max_hogging_stress_mpa, .._at            upper face stretched, as a size; outside such discs about supports
                                           with pad_mm 0, where the moment is singular
  reactions_n, load_n                      in the order of the supports; load_n is their sum
  lifts                                    supports that would have to pull: figures hold only while it is empty
  unknowns                                 size of the mesh
  warnings                                 what the figures leave out, in words

tripoise calc plate <<'END'
{"length_mm": 600, "width_mm": 300, "thickness_mm": 20, "youngs_gpa": 50, "poisson": 0.2, "density_g_cm3": 2.0,
 "supports": [{"x_mm": 40, "y_mm": 40, "pad_mm": 38}, {"x_mm": 40, "y_mm": 260, "pad_mm": 38},
              {"x_mm": 560, "y_mm": 150, "pad_mm": 38}],
 "pressure_kpa": 0.5, "loads": [{"x_mm": 300, "y_mm": 150, "mass_kg": 4, "pad_mm": 120}]}
END"#;

const FIELDS: [&str; 9] = [
    "length_mm",
    "width_mm",
    "thickness_mm",
    "youngs_gpa",
    "poisson",
    "density_g_cm3",
    "supports",
    "pressure_kpa",
    "loads",
];
/// House choice: diamond has 1,050 GPa.
const YOUNGS: Quantity =
    Quantity::above_zero("a Young's modulus", "gigapascals above 0 (at most 10000)", 1e4);
/// From 0 (cork) to 0.5 (rubber); above 0.5 no body of one stiffness in all directions exists.
const POISSON: Quantity = Quantity::from_zero("a Poisson's ratio", "a number from 0 to 0.5", 0.5);
/// House choice: osmium has 22.6 g/cm³.
const DENSITY: Quantity = Quantity::from_zero("a density", "g/cm3 from 0 to 30, or null for no weight", 30.0);
/// House choice: 1 GPa crushes any shelf.
const PRESSURE: Quantity = Quantity::from_zero("a pressure", "kilopascals from 0 to 1000000", 1e6);
const PAD: Quantity =
    Quantity::from_zero("a pad", "the side of a square in millimetres, 0 for a point", FAR_MM);
/// House choice: more posts than any shelf has; each costs one solution.
const MOST_SUPPORTS: usize = 400;
/// House choice: more pots than any shelf holds.
const MOST_LOADS: usize = 1000;
/// House choice: a shelf thicker than a tenth of its short side is warned about.
const THICK: f64 = 0.1;
/// Small-deflection theory holds while the deflection is small beside the thickness; House choice: half of it
/// (Timoshenko and Woinowsky-Krieger, 2nd ed. 1959, §13, give the order).
const LARGE: f64 = 0.5;

/// Reads the case, bends the shelf, writes the answer.
fn run(input: &Node<'_>) -> Result<String, CalcError> {
    let case = read(input)?;
    let answer = solve_plate(&case).map_err(refusal)?;
    write(&case, &answer)
}

fn read(input: &Node<'_>) -> Result<PlateCase, CalcError> {
    let object = input.object(&FIELDS)?;
    let plate = Plate {
        length_mm: object.number("length_mm", &LENGTH)?,
        width_mm: object.number("width_mm", &LENGTH)?,
        thickness_mm: object.number("thickness_mm", &LENGTH)?,
        youngs_gpa: object.number("youngs_gpa", &YOUNGS)?,
        poisson: object.number("poisson", &POISSON)?,
        density_g_cm3: object.optional_number("density_g_cm3", &DENSITY)?,
    };
    let supports = object
        .field("supports", "a list of at least 3 with x_mm, y_mm, pad_mm")?
        .list("supports", 3, MOST_SUPPORTS)?
        .read(|node| read_foot(&plate, &node.object(&["x_mm", "y_mm", "pad_mm"])?))?;
    let pressure_kpa = object.optional_number("pressure_kpa", &PRESSURE)?.unwrap_or(0.0);
    let loads = match object.optional("loads") {
        None => Vec::new(),
        Some(node) => node.list("loads", 0, MOST_LOADS)?.read(|node| {
            let load = node.object(&["x_mm", "y_mm", "mass_kg", "pad_mm"])?;
            Ok(PlateLoad { foot: read_foot(&plate, &load)?, mass_kg: load.number("mass_kg", &MASS)? })
        })?,
    };
    Ok(PlateCase { plate, supports, pressure_kpa, loads, edges: EdgeHold::Free })
}

fn read_foot(plate: &Plate, object: &Object<'_>) -> Result<Foot, CalcError> {
    let along = |name: &'static str, side: f64, side_name: &str| {
        let node = object.field(name, POSITION.want)?;
        let value = node.number(&POSITION)?;
        if (0.0..=side).contains(&value) {
            Ok(value)
        } else {
            Err(node.cannot(
                format!("{value} is beside the shelf"),
                format!("a place from 0 to its {side_name} of {side}"),
            ))
        }
    };
    Ok(Foot {
        x_mm: along("x_mm", plate.length_mm, "length")?,
        y_mm: along("y_mm", plate.width_mm, "width")?,
        pad_mm: object.optional_number("pad_mm", &PAD)?.unwrap_or(0.0),
    })
}

/// The solver's refusals that reading the fields one by one cannot see.
fn refusal(error: PlateError) -> CalcError {
    let path = match error {
        PlateError::Strip { .. } | PlateError::Sizes => "length_mm".to_owned(),
        PlateError::TooFew { .. }
        | PlateError::OneLine
        | PlateError::Supports
        | PlateError::NoRoom { .. } => "supports".to_owned(),
        PlateError::SupportOff { index } => format!("supports[{index}]"),
        PlateError::LoadOff { index } => format!("loads[{index}]"),
        PlateError::Together { second, .. } => format!("supports[{second}]"),
    };
    let text = error.to_string();
    match text.split_once("; give ") {
        Some((cause, want)) => CalcError::together(path, cause, want),
        None => CalcError::together(path, text, "another layout of supports"),
    }
}

fn write(case: &PlateCase, answer: &PlateAnswer) -> Result<String, CalcError> {
    let mut out = Output::new();
    let mpa = answer.mpa_per_n;
    let middle = PlanPoint { x_mm: 0.5 * case.plate.length_mm, y_mm: 0.5 * case.plate.width_mm };
    let nothing = Found { value: 0.0, at: middle };
    let (sagging, hogging) = (answer.sagging_n.unwrap_or(nothing), answer.hogging_n.unwrap_or(nothing));
    out.number("max_deflection_mm", answer.deflection_mm.value);
    place(&mut out, "at", &answer.deflection_mm);
    out.number("max_rise_mm", answer.rise_mm.value);
    place(&mut out, "max_rise_at", &answer.rise_mm);
    out.number("centre_deflection_mm", answer.centre_deflection_mm);
    out.number("max_sagging_stress_mpa", sagging.value * mpa);
    place(&mut out, "max_sagging_stress_at", &sagging);
    out.number("max_hogging_stress_mpa", hogging.value * mpa);
    place(&mut out, "max_hogging_stress_at", &hogging);
    out.numbers("reactions_n", &answer.reactions_n).number("load_n", answer.load_n);
    out.wholes("lifts", &answer.lifts).whole("unknowns", answer.unknowns);
    out.texts("warnings", &warnings(case, answer));
    out.finish()
}

fn place(out: &mut Output, name: &'static str, found: &Found) {
    out.object(name, |at| {
        at.number("x_mm", found.at.x_mm).number("y_mm", found.at.y_mm);
    });
}

/// What the figures leave out, in the order of how much it matters.
fn warnings(case: &PlateCase, answer: &PlateAnswer) -> Vec<String> {
    let mut warnings = Vec::new();
    if !answer.lifts.is_empty() {
        let list: Vec<String> = answer.lifts.iter().map(usize::to_string).collect();
        warnings.push(format!(
            "the shelf lifts off support {}: the figures hold only while nothing lifts",
            list.join(", ")
        ));
    }
    let short = case.plate.short_mm();
    if answer.deflection_mm.value.max(answer.rise_mm.value) > LARGE * case.plate.thickness_mm {
        warnings.push(
            "it bends by more than half its thickness: small-deflection figures no longer hold".to_owned(),
        );
    }
    if case.plate.thickness_mm > THICK * short {
        warnings.push(
            "it is thicker than a tenth of its short side: shear, left out here, bends it further".to_owned(),
        );
    }
    let discs = format!("{} mm", DISC_SHARE * short);
    if answer.hogging_n.is_none() {
        warnings.push(format!("all of it is within {discs} of point supports: no hogging stress is given"));
    }
    if answer.sagging_n.is_none() {
        warnings.push(format!("all of it is within {discs} of point loads: no sagging stress is given"));
    } else if case.loads.iter().any(|load| load.foot.pad_mm == 0.0 && load.mass_kg > 0.0) {
        warnings
            .push(format!("sagging stress is given outside {discs} about point loads, where it is singular"));
    }
    warnings
}

#[cfg(test)]
mod tests;
