//! Shelves on posts: three, four, a stack of them, and a shelf that bends.
//!
//! What this does not do: posts in one line or off the shelf; [`crate::spoil`] gets there.
use crate::chance::Chance;
use serde_json::{Value, json};

/// Parts of length and width at which three posts stand.
fn three_places(chance: &mut Chance) -> [(f64, f64); 3] {
    [
        (chance.between(0.05, 0.3), chance.between(0.05, 0.3)),
        (chance.between(0.7, 0.95), chance.between(0.05, 0.3)),
        (chance.between(0.2, 0.8), chance.between(0.7, 0.95)),
    ]
}

fn three_posts(length: f64, width: f64, chance: &mut Chance) -> Vec<Value> {
    let tall = chance.typed(60.0, 300.0);
    let places = three_places(chance);
    places
        .iter()
        .map(|(u, v)| {
            json!({"x_mm": u * length, "y_mm": v * width, "height_mm": tall + chance.typed(-0.6, 0.6)})
        })
        .collect()
}

fn loads(length: f64, width: f64, more: &str, chance: &mut Chance) -> Vec<Value> {
    let n = chance.whole(0, 4);
    let one = |chance: &mut Chance| {
        let mut load = json!({
            "x_mm": chance.typed(0.1 * length, 0.9 * length), "y_mm": chance.typed(0.1 * width, 0.9 * width),
            "mass_kg": chance.typed(0.0, 6.0)
        });
        if !more.is_empty() {
            load[more] = json!(chance.typed(0.0, 120.0));
        }
        load
    };
    (0..n).map(|_| one(chance)).collect()
}

pub(super) fn three_post(chance: &mut Chance) -> Value {
    let length = chance.typed(200.0, 700.0);
    let (shape, width) =
        [("rectangle", chance.typed(150.0, 500.0)), ("disc", length), ("half-disc", length / 2.0)]
            [chance.whole(0, 3)];
    let mut question = json!({
        "posts": three_posts(length, width, chance),
        "shelf": {"length_mm": length, "width_mm": width, "mass_kg": chance.typed(1.0, 12.0), "shape": shape},
        "loads": loads(length, width, "", chance)
    });
    if chance.once_in(2) {
        question["u_height_mm"] = json!(chance.typed(0.0, 0.2));
    }
    question
}

pub(super) fn four_post(chance: &mut Chance) -> Value {
    let (length, width) = (chance.typed(200.0, 700.0), chance.typed(150.0, 500.0));
    let tall = chance.typed(60.0, 300.0);
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let posts: Vec<Value> = corners
        .iter()
        .map(|(u, v)| {
            json!({
                "x_mm": u * length + chance.typed(-20.0, 20.0), "y_mm": v * width + chance.typed(-20.0, 20.0),
                "height_mm": tall + chance.typed(-0.6, 0.6)
            })
        })
        .collect();
    json!({ "posts": posts })
}

pub(super) fn stack(chance: &mut Chance) -> Value {
    let (length, width) = (chance.typed(300.0, 700.0), chance.typed(250.0, 500.0));
    let n_layers = chance.whole(1, 13);
    let layers: Vec<Value> = (0..n_layers)
        .map(|_| {
            json!({
                "posts": three_posts(length, width, chance),
                "shelf": {
                    "length_mm": length, "width_mm": width, "thickness_mm": chance.typed(8.0, 25.0),
                    "mass_kg": chance.typed(3.0, 12.0)
                },
                "loads": loads(length, width, "centre_height_mm", chance)
            })
        })
        .collect();
    json!({ "layers": layers })
}

/// The shelf that the help shows, on three pads.
#[must_use]
pub fn shelf_on_three() -> Value {
    json!({
        "length_mm": 600, "width_mm": 300, "thickness_mm": 20, "youngs_gpa": 50, "poisson": 0.2,
        "density_g_cm3": 2.0, "pressure_kpa": 0.5,
        "supports": [
            {"x_mm": 40, "y_mm": 40, "pad_mm": 38}, {"x_mm": 40, "y_mm": 260, "pad_mm": 38},
            {"x_mm": 560, "y_mm": 150, "pad_mm": 38}
        ],
        "loads": [{"x_mm": 300, "y_mm": 150, "mass_kg": 4, "pad_mm": 120}]
    })
}

pub(super) fn plate(chance: &mut Chance) -> Value {
    let (length, width) = (chance.typed(250.0, 700.0), chance.typed(200.0, 450.0));
    let foot = |(u, v): (f64, f64), pad: f64| json!({"x_mm": u * length, "y_mm": v * width, "pad_mm": pad});
    let pad = chance.one_of(&[0.0, 25.0, 38.0, 50.0], 38.0);
    let mut feet: Vec<Value> = three_places(chance).iter().map(|place| foot(*place, pad)).collect();
    if chance.once_in(3) {
        feet.push(foot((chance.between(0.45, 0.55), chance.between(0.4, 0.6)), pad));
    }
    json!({
        "length_mm": length, "width_mm": width, "thickness_mm": chance.typed(8.0, 25.0),
        "youngs_gpa": chance.typed(20.0, 350.0), "poisson": chance.typed(0.05, 0.35),
        "density_g_cm3": if chance.once_in(3) { Value::Null } else { json!(chance.typed(1.9, 3.1)) },
        "supports": feet, "pressure_kpa": chance.typed(0.0, 1.0),
        "loads": loads(length, width, "pad_mm", chance)
    })
}
