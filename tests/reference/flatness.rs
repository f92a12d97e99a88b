//! Flatness: a published surface plate, zones known by construction, and closed forms.
//!
//! Source: tests/reference/data/flatness.json. Rows A4 to A6: provenance O for Moody's printed range, C for
//! the rest (a linear programme and an exhaustive search over all contacts agree with the value built in).
//!
//! What this does not do: the tables of the minimum-zone papers; their points could not be had.
use crate::{Res, agree, calc};
use serde_json::{Value, json};

pub(crate) const DATA: &str = include_str!("data/flatness.json");

/// A microinch in millimetres: 25.4e-6, exact.
pub(crate) const MICROINCH_MM: f64 = 25.4e-6;

fn measured(points: &[[f64; 3]]) -> Res<Value> {
    let points: Vec<Value> =
        points.iter().map(|[x, y, z]| json!({"x_mm": x, "y_mm": y, "z_mm": z})).collect();
    calc("flatness", &json!({ "points": points }))
}

pub(crate) fn numbers(value: &Value) -> Res<Vec<f64>> {
    let list = value.as_array().ok_or("no list")?;
    list.iter().map(|value| value.as_f64().ok_or_else(|| "no number".into())).collect()
}

fn points(value: &Value) -> Res<Vec<[f64; 3]>> {
    let rows = value.as_array().ok_or("no points")?.iter();
    rows.map(|row| numbers(row)?.try_into().map_err(|_| "no point".into())).collect()
}

/// The plan of Moody's eight lines in feet of 4 in: 16 along, 10 across.
pub(crate) fn line_ends(name: &str) -> Option<[[f64; 2]; 2]> {
    let (north_west, north_east, south_east, south_west) =
        ([0.0, 10.0], [16.0, 10.0], [16.0, 0.0], [0.0, 0.0]);
    match name {
        "NW_SE" => Some([north_west, south_east]),
        "NE_SW" => Some([north_east, south_west]),
        "NE_NW" => Some([north_east, north_west]),
        "NE_SE" => Some([north_east, south_east]),
        "SE_SW" => Some([south_east, south_west]),
        "NW_SW" => Some([north_west, south_west]),
        "E_W" => Some([[16.0, 5.0], [0.0, 5.0]]),
        "N_S" => Some([[8.0, 10.0], [8.0, 0.0]]),
        _ => None,
    }
}

/// The same in millimetres, part of the way along a line.
pub(crate) fn station(ends: [[f64; 2]; 2], part: f64) -> [f64; 2] {
    [0, 1].map(|axis| 101.6 * (ends[0][axis] + part * (ends[1][axis] - ends[0][axis])))
}

/// A4: J. C. Moody, How to calibrate surface plates in the plant, The Tool Engineer, October 1955, pp. 15-21,
/// Table 1, with the corrections of B. Allen 2019; 111 stations, crossing points averaged.
#[test]
fn moodys_plate() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let moody = &data["moody"][0];
    let mut stations: Vec<([f64; 2], Vec<f64>)> = Vec::new();
    for (name, heights) in moody["heights_microinch"].as_object().ok_or("no heights")? {
        let ends = line_ends(name).ok_or("no such line")?;
        let heights = numbers(heights)?;
        for (i, height) in heights.iter().enumerate() {
            let place = station(ends, i as f64 / (heights.len() - 1) as f64);
            let same = |other: &[f64; 2]| (0..2).all(|axis| (other[axis] - place[axis]).abs() < 1e-6);
            match stations.iter_mut().find(|(other, _)| same(other)) {
                Some((_, list)) => list.push(*height),
                None => stations.push((place, vec![*height])),
            }
        }
    }
    assert_eq!(stations.len() as u64, moody["n_points"].as_u64().ok_or("no count")?);
    let mean = |list: &[f64]| list.iter().sum::<f64>() / list.len() as f64 * MICROINCH_MM;
    let points: Vec<[f64; 3]> = stations.iter().map(|([x, y], list)| [*x, *y, mean(list)]).collect();
    let found = measured(&points)?;
    let microinch = |value: &Value| json!(value.as_f64().unwrap_or(f64::NAN) / MICROINCH_MM);
    let wanted = |value: &Value| value.as_f64().ok_or("no value");
    let least_squares = &moody["least_squares_all_points"];
    agree("A4 MZ", &microinch(&found["minimum_zone_mm"]), wanted(&moody["minimum_zone_microinch"])?, 8.0);
    agree("A4 FLTt", &microinch(&found["least_squares_mm"]), wanted(&least_squares["FLTt"])?, 8.0);
    agree("A4 FLTp", &microinch(&found["peak_mm"]), wanted(&least_squares["FLTp"])?, 8.0);
    agree("A4 FLTv", &microinch(&found["valley_mm"]), wanted(&least_squares["FLTv"])?, 8.0);
    agree("A4 FLTq", &microinch(&found["rms_mm"]), wanted(&least_squares["FLTq"])?, 8.0);
    // Two points touch above and two below.
    assert_eq!(found["contact"].as_array().map(Vec::len), Some(4), "{}", found["contact"]);
    // Printed in whole 1e-5 in: 18 for a range that the worksheets round to.
    let printed = wanted(&moody["printed_range_1e5in"])? * 10.0;
    agree("A4 printed", &moody["moody_base_plane_range_microinch"], printed, 2.0);
    Ok(())
}

/// A5: grids whose zone is known because two and two, three and one or one and three points were put on its
/// planes and all others between (the idea of null-space data generation, Cox and Forbes, NPL DITC 211/92).
/// The points are rounded to 1e-9 mm and the zone is about 0.4 mm, so nine digits can be asked.
#[test]
fn constructed_grids() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let cases = data["constructed"].as_array().ok_or("no cases")?;
    assert!(cases.len() >= 4);
    for case in cases {
        let id = case["id"].as_str().ok_or("no id")?;
        let found = measured(&points(&case["points"])?)?;
        let wanted = |value: &Value| value.as_f64().ok_or("no value");
        let least_squares = &case["least_squares_orthogonal"];
        let row = |name: &str| format!("A5 {id} {name}");
        agree(&row("MZ"), &found["minimum_zone_mm"], wanted(&case["minimum_zone_orthogonal"])?, 8.5);
        agree(&row("FLTt"), &found["least_squares_mm"], wanted(&least_squares["FLTt"])?, 12.0);
        agree(&row("FLTp"), &found["peak_mm"], wanted(&least_squares["FLTp"])?, 12.0);
        agree(&row("FLTv"), &found["valley_mm"], wanted(&least_squares["FLTv"])?, 12.0);
        agree(&row("FLTq"), &found["rms_mm"], wanted(&least_squares["FLTq"])?, 12.0);
    }
    Ok(())
}

/// A6: closed forms in heights over a plan of unit squares. The published measure is vertical; stretching the
/// plan 30,000 times leaves slopes of at most 1 / 30,000, whose effect is half their square: 6e-10.
#[test]
fn closed_forms() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    for case in data["hand"].as_array().ok_or("no cases")? {
        let name = case["name"].as_str().ok_or("no name")?;
        let stretched = |[x, y, z]: [f64; 3]| [30_000.0 * x, 30_000.0 * y, z];
        let found = measured(&points(&case["P"])?.into_iter().map(stretched).collect::<Vec<_>>())?;
        let wanted = |value: &Value| value.as_f64().ok_or("no value");
        agree(&format!("A6 {name}: MZ"), &found["minimum_zone_mm"], wanted(&case["MZ"])?, 8.9);
        for (ours, theirs) in
            [("least_squares_mm", "FLTt"), ("peak_mm", "FLTp"), ("valley_mm", "FLTv"), ("rms_mm", "FLTq")]
        {
            agree(&format!("A6 {name}: {theirs}"), &found[ours], wanted(&case["LS"][theirs])?, 8.9);
        }
    }
    Ok(())
}

/// Facts of section A: half the twist of a parallelogram, and a zone in space that is not the vertical one.
#[test]
fn facts() -> Res<()> {
    let twist = measured(&[[0.0, 0.0, 0.3], [3e4, 0.0, 0.0], [4e4, 2e4, 0.3], [1e4, 2e4, 0.0]])?;
    agree("A parallelogram", &twist["minimum_zone_mm"], 0.3, 9.0);
    // A regular tetrahedron of edge √2 is 1 thick between opposite edges; on edge in a cube it stands level.
    let tetrahedron = measured(&[[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [0.0, 1.0, 1.0], [1.0, 1.0, 0.0]])?;
    agree("A tetrahedron", &tetrahedron["minimum_zone_mm"], 1.0, 15.0);
    // The same on one face: its height √(2/3)·√2 is more than 1, so the zone is still that of opposite edges.
    let root3 = 3.0_f64.sqrt();
    let edge = 2.0_f64.sqrt();
    let on_face = measured(&[
        [0.0, 0.0, 0.0],
        [edge, 0.0, 0.0],
        [edge / 2.0, edge * root3 / 2.0, 0.0],
        [edge / 2.0, edge * root3 / 6.0, edge * (2.0_f64 / 3.0).sqrt()],
    ])?;
    agree("A tetrahedron on a face", &on_face["minimum_zone_mm"], 1.0, 14.0);
    Ok(())
}
