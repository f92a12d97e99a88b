//! Three and four posts against independently computed cases and closed forms.
//!
//! Source: tests/reference/data/support.json. Row B (provenance C): closed forms, each checked by a linear
//! programme, a linear solve and 200 random instances. The margin is that of R. B. McGhee and A. A. Frank,
//! On the stability properties of quadruped creeping gaits, Math. Biosci. 3 (1968) 331 (M).
//!
//! What this does not do: bending; see plate.rs.
use crate::flatness::numbers;
use crate::{Res, agree, calc};
use serde_json::{Value, json};

const DATA: &str = include_str!("data/support.json");

/// The posts of a case, on 100 mm where it gives heights from 0.
fn posts(rows: &Value, base_mm: f64) -> Res<Vec<Value>> {
    let rows = rows.as_array().ok_or("no posts")?;
    let post = |row: &Value| {
        let part = numbers(row)?;
        let height_mm = base_mm + part.get(2).copied().unwrap_or(0.0);
        Ok(json!({"x_mm": part[0], "y_mm": part[1], "height_mm": height_mm}))
    };
    rows.iter().map(post).collect()
}

/// The case with a bare shelf whose middle is the load's place.
fn three(rows: &Value, load: &[f64], base_mm: f64) -> Res<Value> {
    let shelf = json!({"length_mm": 2.0 * load[0], "width_mm": 2.0 * load[1], "mass_kg": 1.0});
    calc("three-post", &json!({"posts": posts(rows, base_mm)?, "shelf": shelf, "u_height_mm": 0.05}))
}

fn value(of: &Value) -> Res<f64> {
    of.as_f64().ok_or_else(|| "no value".into())
}

#[test]
fn three_posts() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let cases = data["cases"].as_array().ok_or("no cases")?;
    assert!(cases.len() >= 6);
    for case in cases {
        let id = case["id"].as_str().ok_or("no id")?;
        let row = |name: &str| format!("B {id} {name}");
        let found = three(&case["posts"], &numbers(&case["load_point"])?, 0.0)?;
        // Heights of 150 mm are read to a hundredth; their differences keep about 12 digits.
        agree(&row("tilt"), &found["tilt_deg"], value(&case["tilt_deg"])?, 12.0);
        agree(&row("slope"), &found["slope_mm_per_m"], value(&case["tilt_mm_per_m"])?, 12.0);
        let ascent = value(&case["ascent_azimuth_deg"])?;
        let downhill = if ascent > 0.0 { ascent - 180.0 } else { ascent + 180.0 };
        agree(&row("downhill"), &found["downhill_deg"], downhill, 12.0);
        let gradient = numbers(&case["gradient"])?;
        let from_gradient = 1000.0 * (gradient[0] * gradient[0] + gradient[1] * gradient[1]).sqrt();
        agree(&row("gradient"), &found["slope_mm_per_m"], from_gradient, 12.0);
        for (i, share) in numbers(&case["reaction_shares"])?.into_iter().enumerate() {
            agree(&row("share"), &found["reaction_shares"][i], share, 11.5);
        }
        agree(&row("margin"), &found["margin_mm"], value(&case["stability_margin"])?, 12.0);
        let uncertainty = value(&case["tilt_std_unc_rad_u0p05"])?.to_degrees();
        agree(&row("uncertainty"), &found["tilt_u_deg"], uncertainty, 11.0);
        assert_eq!(found["tips"], value(&case["stability_margin"])? < 0.0);
    }
    Ok(())
}

#[test]
fn four_posts() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    for case in data["cases"].as_array().ok_or("no cases")? {
        let id = case["id"].as_str().ok_or("no id")?;
        let row = |name: &str| format!("B {id} {name}");
        let found = calc("four-post", &json!({"posts": posts(&case["four_posts"], 0.0)?}))?;
        agree(&row("twist"), &found["twist_mm"], value(&case["twist"])?, 13.0);
        agree(&row("gap"), &found["gap_mm"], value(&case["gap_single_leg"])?, 11.5);
        let balanced = value(&case["gap_each_when_balanced_on_diagonal"])?;
        agree(&row("balanced"), &found["balanced_gap_mm"], balanced, 11.5);
        let resting = match case["resting_diagonal"].as_str() {
            Some("posts 1-3") => json!([0, 2]),
            Some("posts 2-4") => json!([1, 3]),
            _ => Value::Null,
        };
        assert_eq!(found["resting_posts"], resting, "{id}");
        let general = calc("four-post", &json!({"posts": posts(&case["quad_posts"], 0.0)?}))?;
        for (i, gap) in numbers(&case["quad_gaps"])?.into_iter().enumerate() {
            agree(&row("quadrilateral"), &general["gaps_mm"][i], gap, 11.0);
        }
    }
    Ok(())
}

#[test]
fn worked_by_hand() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let hand = data["hand"].as_array().ok_or("no cases")?;
    let [slope, equilateral, square] = hand.as_slice() else { return Err("three cases expected".into()) };
    let found = three(&slope["posts"], &[100.0, 400.0 / 3.0], 100.0)?;
    agree("B slope", &found["slope_mm_per_m"], 10.0 * 2.0_f64.sqrt(), 13.0);
    agree("B tilt", &found["tilt_deg"], value(&slope["tilt_rad"])?.to_degrees(), 13.0);
    agree("B margin", &found["margin_mm"], value(&slope["margin"])?, 14.0);
    let found = three(&equilateral["posts"], &numbers(&equilateral["load"])?, 0.0)?;
    agree("B inradius", &found["margin_mm"], value(&equilateral["margin"])?, 14.0);
    assert_eq!(found["downhill_deg"], Value::Null);
    let found = three(&square["posts"], &[0.5, 0.5], 100.0)?;
    agree("B square's margin", &found["margin_mm"], value(&square["margin"])?, 14.0);
    for (i, share) in numbers(&square["shares"])?.into_iter().enumerate() {
        agree("B square's share", &found["reaction_shares"][i], share, 15.0);
    }
    Ok(())
}
