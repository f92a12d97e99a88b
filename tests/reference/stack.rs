//! A stack worked out by hand.
//!
//! Source: statics from the definitions. The first case is the trade's own sum: layers on a triangle of
//! 254 mm, posts of 171 mm, one of them 1.6 mm short and always in the same column.
//!
//! What this does not do: bend anything.
use crate::Res;
use serde_json::{Value, json};

fn stack(layers: &[Value]) -> Res<Value> {
    let input = json!({"layers": layers});
    Ok(serde_json::from_str(&crate::run("stack", &input)?)?)
}

fn post(x: f64, y: f64, height: f64) -> Value {
    json!({"x_mm": x, "y_mm": y, "height_mm": height})
}

#[test]
fn one_short_post_always_in_the_same_column() -> Res<()> {
    // The triangle stands 254 mm high over its base; the apex post is 1.6 mm short.
    let base = 254.0 * 2.0 / 3.0_f64.sqrt();
    let layer = |height: f64| {
        json!({
            "posts": [post(0.0, 0.0, height), post(base, 0.0, height), post(base / 2.0, 254.0, height - 1.6)],
            "shelf": {"length_mm": base, "width_mm": 254, "thickness_mm": 0, "mass_kg": 5}
        })
    };
    // Posts whose mean is 171 mm, as the sum takes 171 mm for each layer.
    let layers: Vec<Value> = (0..7).map(|_| layer(171.0 + 1.6 / 3.0)).collect();
    let found = stack(&layers)?;
    let slope = 1.6 / 254.0;
    for (i, steps) in [0.0, 1.0, 3.0, 6.0, 10.0, 15.0, 21.0].into_iter().enumerate() {
        let row = &found["layers"][i];
        if i > 0 {
            crate::agree("lean", &row["lean_mm"], steps * 171.0 * slope, 12.0);
        }
        crate::agree("slope", &row["slope_mm_per_m"], (i + 1) as f64 * 1000.0 * slope, 12.0);
        crate::agree("top", &row["top_mm"], (i + 1) as f64 * 171.0, 12.0);
    }
    let lean = |i: usize| found["layers"][i]["lean_mm"].as_f64().ok_or("no lean");
    assert!((lean(5)? - 16.2).abs() < 0.05 && (lean(6)? - 22.6).abs() < 0.05);
    Ok(())
}

#[test]
fn two_layers_by_hand() -> Res<()> {
    // Bottom: right triangle (0,0), (300,0), (0,400) on 100, 103, 104 mm: gradient (0.01, 0.01).
    // Top: the same triangle moved by (30, 40) on 50 mm each: gradient (0, 0), so the slope stays.
    let layers = [
        json!({
            "posts": [post(0.0, 0.0, 100.0), post(300.0, 0.0, 103.0), post(0.0, 400.0, 104.0)],
            "shelf": {"length_mm": 200, "width_mm": 200, "thickness_mm": 20, "mass_kg": 4},
            "loads": [{"x_mm": 50, "y_mm": 60, "mass_kg": 2, "centre_height_mm": 100}]
        }),
        json!({
            "posts": [post(30.0, 40.0, 50.0), post(330.0, 40.0, 50.0), post(30.0, 440.0, 50.0)],
            "shelf": {"length_mm": 200, "width_mm": 200, "thickness_mm": 10, "mass_kg": 2}
        }),
    ];
    let found = stack(&layers)?;
    let (bottom, top) = (&found["layers"][0], &found["layers"][1]);
    // E1 = -G1 t1 = -(0.2, 0.2); E2 = E1 - G1 50 - G2 10 = -(0.8, 0.8).
    let root2 = 2.0_f64.sqrt();
    crate::agree("lean", &bottom["lean_mm"], 0.2 * root2, 12.0);
    crate::agree("lean", &top["lean_mm"], 0.8 * root2, 12.0);
    crate::agree("slope", &top["slope_mm_per_m"], 10.0 * root2, 12.0);
    let mean = 307.0 / 3.0;
    crate::agree("top", &bottom["top_mm"], mean + 20.0, 13.0);
    crate::agree("top", &top["top_mm"], mean + 80.0, 13.0);
    // Each top post is 50 mm from the one below it.
    assert_eq!(top["post_offsets_mm"], json!([50.0, 50.0, 50.0]));
    assert_eq!(bottom["post_offsets_mm"], Value::Null);
    // Top: shelf's centre at (100, 100) + E2 + G2 5 = 100 - 0.8 + 0.05, less E1: 99.45. Sides of its
    // triangle: x = 30, y = 40 and the long one; the nearest is y = 40: 59.45.
    crate::agree("margin", &top["margin_mm"], 59.45, 12.0);
    assert_eq!(top["carried_kg"], 2.0);
    // Bottom: 4 kg at (100, 100) - 0.2 + 0.1; 2 kg at (50, 60) - 0.2 - 1; 2 kg at (100, 100) - 0.75.
    let x = (4.0 * 99.9 + 2.0 * 48.8 + 2.0 * 99.25) / 8.0;
    crate::agree("margin", &bottom["margin_mm"], x, 12.0);
    assert_eq!((&bottom["carried_kg"], &found["mass_kg"]), (&json!(8.0), &json!(8.0)));
    assert_eq!(found["worst_layer"], 1);
    crate::agree("worst", &found["worst_margin_mm"], 59.45, 12.0);
    crate::agree("height", &found["height_mm"], mean + 80.0, 13.0);
    crate::agree("lean", &found["lean_mm"], 0.8 * root2, 12.0);
    Ok(())
}

#[test]
fn a_centre_outside_the_triangle_has_a_negative_margin() -> Res<()> {
    // The middle (100, 100) of the shelf against the triangle (0,0), (60,0), (0,60): the long side is
    // x + y = 60, so the margin is -(200 - 60) / sqrt 2, and a level stack moves nothing.
    let layer = json!({
        "posts": [post(0.0, 0.0, 80.0), post(60.0, 0.0, 80.0), post(0.0, 60.0, 80.0)],
        "shelf": {"length_mm": 200, "width_mm": 200, "thickness_mm": 20, "mass_kg": 4}
    });
    let found = stack(&[layer])?;
    crate::agree("margin", &found["worst_margin_mm"], -140.0 / 2.0_f64.sqrt(), 13.0);
    assert_eq!((&found["lean_mm"], &found["layers"][0]["slope_mm_per_m"]), (&json!(0.0), &json!(0.0)));
    Ok(())
}

#[test]
fn bad_input_names_the_field() {
    let layer = |third: Value| {
        json!({"layers": [{"posts": [post(0.0, 0.0, 80.0), post(60.0, 0.0, 80.0), third],
            "shelf": {"length_mm": 200, "width_mm": 200, "thickness_mm": 20, "mass_kg": 4}}]})
    };
    let check = |input: Value, expected: &str| {
        let found = crate::run("stack", &input).map_err(|err| err.to_string());
        assert_eq!(found, Err(expected.to_owned()));
    };
    check(
        layer(post(120.0, 0.0, 80.0)),
        "layers[0].posts: the three posts stand in one line; give three posts that span a triangle",
    );
    check(
        layer(post(0.0, 60.0, 0.0)),
        "layers[0].posts[2].height_mm: 0.0 is not a height; give a length above 0",
    );
    check(json!({"layers": []}), "layers: 0 is not the number of layers wanted; give 1 to 200 of them");
    check(
        json!({"layers": [{"shelf": {}}]}),
        "layers[0].posts: missing; give three posts, each {x_mm, y_mm, height_mm}",
    );
}
