//! Plates on posts and in frames against published and independently computed values.
//!
//! Source (C unless said): tests/reference/data/plate_three_point.csv: three-point supports, quintic
//! triangular elements graded into the supports, two mesh families agreeing (deflection to 1e-8, sagging
//! moment to 1e-6, hogging on the rim of the excluded disc to 1.5e-4). tests/reference/data/plate.json:
//! Timoshenko and Woinowsky-Krieger 1959, tables 8, 23, 35 and 37 and Roark table 11.4 (M) beside the exact
//! series or elements that reproduce them; a square on four corner points; the best three supports.
//!
//! What this does not do: NAFEMS LE6, the 30° rhombic plate: the model is a rectangle. Moments under a point
//! load are singular and not compared.
use crate::Res;
use serde_json::{Value, json};
use tripoise_core::geometry::plate::{
    EdgeHold, Foot, GRAVITY_M_S2, Plate, PlateAnswer, PlateCase, PlateLoad, best_three_supports, solve_plate,
};

const THREE_POINT: &str = include_str!("data/plate_three_point.csv");
const DATA: &str = include_str!("data/plate.json");
/// Short side; with 1 kPa, q b² is 1000 N.
const SHORT_MM: f64 = 1000.0;

fn plate(ratio: f64, poisson: f64) -> Plate {
    Plate {
        length_mm: ratio * SHORT_MM,
        width_mm: SHORT_MM,
        thickness_mm: 10.0,
        youngs_gpa: 100.0,
        poisson,
        density_g_cm3: None,
    }
}

/// q b⁴ / D for 1 kPa, in millimetres.
fn deflection_unit(plate: &Plate) -> f64 {
    0.001 * SHORT_MM * SHORT_MM * SHORT_MM * SHORT_MM / plate.stiffness_n_mm()
}

/// Six times q b² / t² for 1 kPa, in MPa.
fn stress_unit(plate: &Plate) -> f64 {
    6.0 * 0.001 * SHORT_MM * SHORT_MM / (plate.thickness_mm * plate.thickness_mm)
}

fn number(row: &Value, name: &str) -> Res<f64> {
    Ok(row[name].as_f64().ok_or_else(|| format!("no number {name} in {row}"))?)
}

fn rows(table: &str) -> Res<Vec<Value>> {
    let data: Value = serde_json::from_str(DATA)?;
    Ok(data[table]["rows"].as_array().ok_or_else(|| format!("no table {table}"))?.clone())
}

fn check(name: &str, got: f64, want: f64, digits: f64) {
    crate::agree(name, &Value::from(got), want, digits);
}

/// `tripoise calc plate` under 1 kPa on supports given in short sides.
fn on_posts(plate: &Plate, supports: &[(f64, f64)], pad: f64) -> Res<Value> {
    let feet: Vec<Value> = supports
        .iter()
        .map(|(x, y)| json!({"x_mm": x * SHORT_MM, "y_mm": y * SHORT_MM, "pad_mm": pad * SHORT_MM}))
        .collect();
    let input = json!({
        "length_mm": plate.length_mm, "width_mm": plate.width_mm, "thickness_mm": plate.thickness_mm,
        "youngs_gpa": plate.youngs_gpa, "poisson": plate.poisson, "density_g_cm3": null,
        "supports": feet, "pressure_kpa": 1
    });
    crate::calc("plate", &input)
}

fn framed(plate: Plate, edges: EdgeHold, loads: Vec<PlateLoad>) -> Res<PlateAnswer> {
    let pressure_kpa = if loads.is_empty() { 1.0 } else { 0.0 };
    Ok(solve_plate(&PlateCase { plate, supports: Vec::new(), pressure_kpa, loads, edges })?)
}

/// The contract asks for 2.3, 2.0 and 1.3 digits (0.5 %, 1 % and 5 %); what is reached is held.
#[test]
fn three_point_supports() -> Res<()> {
    let mut n_rows = 0;
    for line in THREE_POINT.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [case, ratio, pad, supports, nu, w_centre, w_most, w_least, sagging, hogging] = cells[..] else {
            return Err(format!("not ten columns: {line}").into());
        };
        let mut places = Vec::new();
        for place in supports.split(' ') {
            let (x, y) = place.split_once(':').ok_or("no colon")?;
            places.push((x.parse::<f64>()?, y.parse::<f64>()?));
        }
        let plate = plate(ratio.parse()?, nu.parse()?);
        let answer = on_posts(&plate, &places, pad.parse()?)?;
        let (w, m) = (deflection_unit(&plate), stress_unit(&plate));
        let name = |what: &str| format!("{case} nu {nu} {what}");
        check(&name("w centre"), number(&answer, "centre_deflection_mm")? / w, w_centre.parse()?, 4.0);
        check(&name("w most"), number(&answer, "max_deflection_mm")? / w, w_most.parse()?, 4.0);
        let w_least: f64 = w_least.parse()?;
        if w_least.abs() > 1e-9 {
            check(&name("w least"), -number(&answer, "max_rise_mm")? / w, w_least, 3.8);
        }
        check(&name("sagging"), number(&answer, "max_sagging_stress_mpa")? / m, sagging.parse()?, 3.4);
        let hogging: f64 = hogging.parse()?;
        check(&name("hogging"), number(&answer, "max_hogging_stress_mpa")? / m, -hogging, 2.3);
        for (i, share) in [0.25, 0.25, 0.5].iter().enumerate() {
            let load = number(&answer, "load_n")?;
            check(
                &name("reaction"),
                answer["reactions_n"][i].as_f64().ok_or("no reaction")? / load,
                *share,
                9.0,
            );
        }
        n_rows += 1;
    }
    assert_eq!(n_rows, 12);
    Ok(())
}

#[test]
fn square_on_four_corner_points() -> Res<()> {
    for row in rows("four_corners")? {
        let plate = plate(1.0, number(&row, "nu")?);
        let answer = on_posts(&plate, &[(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)], 0.0)?;
        let (w, m) = (deflection_unit(&plate), stress_unit(&plate));
        check("w centre", number(&answer, "centre_deflection_mm")? / w, number(&row, "w")?, 4.5);
        check("M edge", number(&answer, "max_sagging_stress_mpa")? / m, number(&row, "edge_m")?, 4.0);
    }
    Ok(())
}

/// A frame of posts along all four edges holds as a simply supported edge does.
#[test]
fn posts_along_every_edge_make_a_simple_support() -> Res<()> {
    let row = &rows("simply_supported")?[0];
    let plate = plate(1.0, 0.3);
    let places = (0..20).map(|i| f64::from(i) / 20.0);
    let posts: Vec<(f64, f64)> =
        places.flat_map(|x| [(x, 0.0), (1.0, x), (1.0 - x, 1.0), (0.0, 1.0 - x)]).collect();
    let answer = on_posts(&plate, &posts, 0.0)?;
    let (w, m) = (deflection_unit(&plate), stress_unit(&plate));
    check("w", number(&answer, "centre_deflection_mm")? / w, number(row, "series_w")?, 5.0);
    check("M", number(&answer, "max_sagging_stress_mpa")? / m, number(row, "series_m")?, 4.0);
    Ok(())
}

#[test]
fn simply_supported_rectangles() -> Res<()> {
    for row in rows("simply_supported")? {
        let plate = plate(number(&row, "ratio")?, 0.3);
        let answer = framed(plate, EdgeHold::SimplySupported, Vec::new())?;
        let w = answer.centre_deflection_mm / deflection_unit(&plate);
        let m = answer.sagging_n.ok_or("no sagging")?.value / 1000.0;
        check("w", w, number(&row, "series_w")?, 4.5);
        check("M", m, number(&row, "series_m")?, 3.8);
        // The printed table, to its own digits and the remembered rows' 0.5 %.
        check("table w", w, number(&row, "table_w")?, 2.2);
        check("table M", m, number(&row, "table_m")?, 2.7);
    }
    for row in rows("simply_supported_central_load")? {
        check("P", under_a_central_load(&row, EdgeHold::SimplySupported)?.0, number(&row, "w")?, 3.7);
    }
    Ok(())
}

#[test]
fn clamped_rectangles() -> Res<()> {
    for row in rows("clamped")? {
        let plate = plate(number(&row, "ratio")?, 0.3);
        let answer = framed(plate, EdgeHold::Clamped, Vec::new())?;
        let w = answer.centre_deflection_mm / deflection_unit(&plate);
        let edge = answer.hogging_n.ok_or("no hogging")?.value / 1000.0;
        let m = answer.sagging_n.ok_or("no sagging")?.value / 1000.0;
        check("w", w, number(&row, "fe_w")?, 4.5);
        check("M edge", edge, number(&row, "fe_edge_m")?, 2.7);
        check("M", m, number(&row, "fe_m")?, 3.3);
        // The printed table, to its own digits and the remembered rows' 1 %.
        check("table w", w, number(&row, "table_w")?, 2.0);
        check("table M edge", edge, number(&row, "table_edge_m")?, 2.5);
        check("table M", m, number(&row, "table_m")?, 1.9);
    }
    let data: Value = serde_json::from_str(DATA)?;
    let row = json!({"ratio": 1.0});
    let (w, edge) = under_a_central_load(&row, EdgeHold::Clamped)?;
    check("P", w, number(&data["clamped_central_load"], "w")?, 3.6);
    check("P M edge", edge, number(&data["clamped_central_load"], "edge_m")?, 2.5);
    Ok(())
}

/// Deflection in P a²/D and hogging moment in P under 10 kg at the middle.
fn under_a_central_load(row: &Value, edges: EdgeHold) -> Res<(f64, f64)> {
    let plate = plate(number(row, "ratio")?, 0.3);
    let foot = Foot { x_mm: 0.5 * plate.length_mm, y_mm: 0.5 * SHORT_MM, pad_mm: 0.0 };
    let answer = framed(plate, edges, vec![PlateLoad { foot, mass_kg: 10.0 }])?;
    let force_n = 10.0 * GRAVITY_M_S2;
    let w = answer.centre_deflection_mm * plate.stiffness_n_mm() / (force_n * SHORT_MM * SHORT_MM);
    Ok((w, answer.hogging_n.ok_or("no hogging")?.value / force_n))
}

#[test]
fn roark_simply_supported() -> Res<()> {
    for row in rows("roark")? {
        let plate = plate(number(&row, "ratio")?, 0.3);
        let answer = framed(plate, EdgeHold::SimplySupported, Vec::new())?;
        let stiff = 1000.0 * plate.youngs_gpa * plate.thickness_mm.powi(3);
        let alpha = answer.centre_deflection_mm * stiff / (0.001 * SHORT_MM.powi(4));
        let beta = answer.sagging_n.ok_or("no sagging")?.value * 6.0 / 1000.0;
        check("alpha", alpha, number(&row, "alpha")?, 4.4);
        check("beta", beta, number(&row, "beta")?, 3.8);
        check("table alpha", alpha, number(&row, "table_alpha")?, 2.2);
        check("table beta", beta, number(&row, "table_beta")?, 3.0);
    }
    Ok(())
}

/// A flat optimum: places to 0.012 of the short side, peak to valley to 1 %.
#[test]
fn three_posts_where_they_bend_a_shelf_least() -> Res<()> {
    for row in rows("best_three")? {
        let (ratio, nu) = (number(&row, "ratio")?, number(&row, "nu")?);
        let best = best_three_supports(ratio * SHORT_MM, SHORT_MM, nu, 0.0)?;
        for (name, got) in
            [("s", best.from_end_mm), ("t", best.from_middle_mm), ("r", best.third_from_end_mm)]
        {
            let (got, want) = (got / SHORT_MM, number(&row, name)?);
            assert!((got - want).abs() < 0.012, "{name} of {ratio}, {nu}: {got}, not {want}");
        }
        check("peak to valley", best.peak_to_valley, number(&row, "peak_to_valley")?, 2.2);
        check("at the rim", best.at_the_rim, number(&row, "at_the_rim")?, 2.9);
    }
    Ok(())
}
