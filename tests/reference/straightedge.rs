//! The straightedge network against a published surface-plate survey and closed forms.
//!
//! Source: tests/reference/data/flatness.json. Rows A1 to A3 (provenance O): J. C. Moody, How to calibrate
//! surface plates in the plant, The Tool Engineer, October 1955, pp. 15-21, Table 1; B. Allen, Comments on
//! Moody's method, 2019. Moody read angles over a foot of 4 in; summed along a line they are heights over the
//! chord of its ends, which is what a straightedge on spacers reads. Row A7 (C): closed form.
//!
//! What this does not do: Moody's centre lines as he fits them; he shifts each to meet the diagonals.
use crate::flatness::{DATA, MICROINCH_MM, line_ends, numbers, station};
use crate::{Res, agree, calc};
use serde_json::{Value, json};

/// 0.1 seconds of arc over a foot of 4 in, in microinch.
const STEP_MICROINCH: f64 = 4e6 * core::f64::consts::PI / (180.0 * 36_000.0);
const EDGES_AND_DIAGONALS: [&str; 6] = ["NW_SE", "NE_SW", "NE_NW", "NE_SE", "SE_SW", "NW_SW"];

/// The heights over the chord along one of Moody's lines, in microinch.
fn over_chord(moody: &Value, name: &str) -> Res<Vec<f64>> {
    let steps = numbers(&moody["lines_0p1_arcsec"][name])?;
    let mut heights = vec![0.0];
    let mut sum = 0.0;
    for step in &steps {
        sum += step * STEP_MICROINCH;
        heights.push(sum);
    }
    let rise = sum / steps.len() as f64;
    Ok(heights.iter().enumerate().map(|(i, height)| height - rise * i as f64).collect())
}

fn moodys_line(moody: &Value, name: &str) -> Res<Value> {
    let ends = line_ends(name).ok_or("no such line")?;
    let place = |part: f64| {
        let [x, y] = station(ends, part);
        json!({"x_mm": x, "y_mm": y})
    };
    let heights = over_chord(moody, name)?;
    let last = heights.len() - 1;
    let reading = |i: usize| json!({"at": i as f64 / last as f64, "dip_mm": -heights[i] * MICROINCH_MM});
    let readings: Vec<Value> = (1..last).map(reading).collect();
    Ok(json!({"from": place(0.0), "to": place(1.0), "readings": readings}))
}

fn network(moody: &Value, names: &[&str]) -> Res<Value> {
    let lines = names.iter().map(|name| moodys_line(moody, name)).collect::<Res<Vec<_>>>()?;
    calc("straightedge", &json!({"length_mm": 1625.6, "width_mm": 1016.0, "lines": lines}))
}

/// The solved height at a place, in microinch.
fn height(found: &Value, place: [f64; 2]) -> Res<f64> {
    let points = found["points"].as_array().ok_or("no points")?;
    let near = |name: &str, point: &Value, value: f64| {
        point[name].as_f64().is_some_and(|found| (found - value).abs() < 0.01)
    };
    let at = points.iter().find(|point| near("x_mm", point, place[0]) && near("y_mm", point, place[1]));
    Ok(at.and_then(|point| point["z_mm"].as_f64()).ok_or("no such place")? / MICROINCH_MM)
}

/// A1 and A2: six lines fix the plate but for its tilt; tilted so that three corners have Moody's heights,
/// every station has.
#[test]
fn moodys_edges_and_diagonals() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let moody = &data["moody"][0];
    let found = network(moody, &EDGES_AND_DIAGONALS)?;
    // Both diagonals are read at the centre: it is checked once.
    assert_eq!(found["undetermined"], 0);
    let published = |name: &str| numbers(&moody["heights_microinch"][name]);
    let corner = |name: &str, part: f64| {
        Ok::<_, Box<dyn std::error::Error>>(station(line_ends(name).ok_or("no line")?, part))
    };
    let (origin, along, across) = (corner("NE_SW", 1.0)?, corner("SE_SW", 0.0)?, corner("NW_SW", 0.0)?);
    let off =
        |place: [f64; 2], wanted: f64| Ok::<_, Box<dyn std::error::Error>>(wanted - height(&found, place)?);
    let level = off(origin, published("NE_SW")?[20])?;
    let slope_x = (off(along, published("SE_SW")?[0])? - level) / along[0];
    let slope_y = (off(across, published("NW_SW")?[0])? - level) / across[1];
    for name in EDGES_AND_DIAGONALS {
        let ends = line_ends(name).ok_or("no such line")?;
        let heights = published(name)?;
        let printed_6 = numbers(&moody["printed_col6"][name])?;
        let printed_8 = numbers(&moody["printed_col8_1e5in"][name])?;
        for (i, wanted) in heights.iter().enumerate() {
            let [x, y] = station(ends, i as f64 / (heights.len() - 1) as f64);
            let ours = height(&found, [x, y])? + level + slope_x * x + slope_y * y;
            // Absolute, in microinch: heights go down to 0.
            assert!((ours - wanted).abs() < 1e-6, "A2 {name} {i}: {ours} for {wanted}");
            assert!(
                (ours / 10.0 - printed_8[i]).abs() <= 1.1,
                "A2 {name} {i}: {ours} printed {}",
                printed_8[i]
            );
            // Column 6 counts from the datum plane through the diagonals' ends, 68 units above the lowest.
            let from_datum = ours / STEP_MICROINCH - 68.0;
            assert!((from_datum - printed_6[i]).abs() <= 2.0, "A1 {name} {i}: {from_datum}");
        }
    }
    Ok(())
}

/// A3: at the centre the line E-W comes out 13.57 microinch from the diagonals, N-S exactly on them.
#[test]
fn moodys_closure() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let moody = &data["moody"][0];
    let found = network(moody, &EDGES_AND_DIAGONALS)?;
    let closure = |name: &str| {
        let ends = line_ends(name).ok_or("no such line")?;
        let over = over_chord(moody, name)?;
        let chord = (height(&found, station(ends, 0.0))? + height(&found, station(ends, 1.0))?) / 2.0;
        Ok::<f64, Box<dyn std::error::Error>>(
            chord + over[over.len() / 2] - height(&found, station(ends, 0.5))?,
        )
    };
    let published = |name: &str| moody["closure_0p1_arcsec"][name].as_f64().ok_or("no closure");
    agree("A3 E-W", &json!(closure("E_W")?), published("E_W")? * STEP_MICROINCH, 6.0);
    agree("A3 E-W in microinch", &json!(closure("E_W")?), -13.57, 3.0);
    assert!(closure("N_S")?.abs() < 1e-6 && published("N_S")? == 0.0);
    let all = network(moody, &["NW_SE", "NE_SW", "NE_NW", "NE_SE", "SE_SW", "NW_SW", "E_W", "N_S"])?;
    let worst = all["closure_worst"]["residual_mm"].as_f64().ok_or("no residual")?.abs() / MICROINCH_MM;
    agree("A3 closure of E-W with the centre lines in the network", &json!(worst), 13.57, 3.0);
    // The misclosure is found where it is: in the line E-W, where it meets the diagonals.
    assert_eq!((&all["closure_worst"]["line"], &all["closure_worst"]["reading"]), (&json!(6), &json!(7)));
    assert_eq!(all["undetermined"], 0);
    Ok(())
}

/// A7: along one line, heights are minus the gap less the chord of the end gaps.
#[test]
fn one_line_in_a_frame() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    for case in data["straightedge"].as_array().ok_or("no cases")? {
        let (at, gaps, wanted) = (numbers(&case["s"])?, numbers(&case["gap"])?, numbers(&case["heights"])?);
        let (first, last) = (gaps[0], gaps[gaps.len() - 1]);
        let chord = |part: f64| first + part * (last - first);
        let readings: Vec<Value> = (1..at.len() - 1)
            .map(|i| json!({"at": at[i] / 400.0, "dip_mm": gaps[i] - chord(at[i] / 400.0)}))
            .collect();
        let place = |x: f64, y: f64| json!({"x_mm": x, "y_mm": y});
        let flat = json!([{"at": 0.5, "dip_mm": 0.0}]);
        // Two diagonals hold the frame flat; the line runs along its front.
        let lines = json!([
            {"from": place(0.0, 0.0), "to": place(400.0, 300.0), "readings": flat},
            {"from": place(0.0, 300.0), "to": place(400.0, 0.0), "readings": flat},
            {"from": place(0.0, 0.0), "to": place(400.0, 0.0), "readings": readings},
        ]);
        let found = calc("straightedge", &json!({"length_mm": 400, "width_mm": 300, "lines": lines}))?;
        let end = |x: f64| height(&found, [x, 0.0]);
        for (x, wanted) in at.iter().zip(&wanted) {
            let over = height(&found, [*x, 0.0])? - (end(0.0)? + x / 400.0 * (end(400.0)? - end(0.0)?));
            agree(&format!("A7 at {x}"), &json!(over * MICROINCH_MM), *wanted, 12.0);
        }
        assert_eq!((&found["closure_rms_mm"], &found["undetermined"]), (&Value::Null, &json!(0)));
    }
    Ok(())
}
