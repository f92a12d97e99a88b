//! The contract of `tripoise calc plate`: what is refused and how, and that nothing else can come out.
use crate::calc::run;
use proptest::prelude::*;
use serde_json::{Value, json};

fn shelf() -> Value {
    json!({
        "length_mm": 600, "width_mm": 300, "thickness_mm": 20, "youngs_gpa": 50, "poisson": 0.2,
        "density_g_cm3": 2,
        "supports": [{"x_mm": 40, "y_mm": 40, "pad_mm": 38}, {"x_mm": 40, "y_mm": 260, "pad_mm": 38},
                     {"x_mm": 560, "y_mm": 150, "pad_mm": 38}],
        "pressure_kpa": 0.5, "loads": [{"x_mm": 300, "y_mm": 150, "mass_kg": 4, "pad_mm": 120}]
    })
}

/// The refusal of the shelf with the field at `pointer` set to `value`.
fn check(pointer: &str, value: Value, message: &str) {
    let mut input = shelf();
    let (parent, name) = pointer.rsplit_once('/').unwrap_or(("", pointer));
    match input.pointer_mut(parent) {
        Some(Value::Object(fields)) => drop(fields.insert(name.to_owned(), value)),
        Some(Value::Array(members)) => members[name.parse::<usize>().unwrap_or(0)] = value,
        _ => panic!("no {parent}"),
    }
    let refused = run("plate", &input.to_string()).map_err(|err| err.to_string());
    assert_eq!(refused, Err(message.to_owned()));
}

#[test]
fn bad_input_names_the_field() {
    check("/width_mm", json!(0), "width_mm: 0 is not a length; give a length above 0");
    check(
        "/length_mm",
        json!(100000),
        "length_mm: the long side is 333 times the short one; give a shelf of at most 50 to 1",
    );
    check("/thickness_mm", json!("20"), "thickness_mm: \"20\" is not a length; give a length above 0");
    check("/poisson", json!(0.51), "poisson: 0.51 is not a Poisson's ratio; give a number from 0 to 0.5");
    check(
        "/density_g_cm3",
        json!(-1),
        "density_g_cm3: -1 is not a density; give g/cm3 from 0 to 30, or null for no weight",
    );
    check(
        "/colour",
        json!("red"),
        "colour: not a known field; give length_mm, width_mm, thickness_mm, youngs_gpa, \
         poisson, density_g_cm3, supports, pressure_kpa, loads",
    );
    check(
        "/supports",
        json!([{}, {}]),
        "supports: 2 is not the number of supports wanted; give 3 to 400 of them",
    );
    check(
        "/supports/2/x_mm",
        json!(600.1),
        "supports[2].x_mm: 600.1 is beside the shelf; give a place from 0 to its length of 600",
    );
    check(
        "/supports/1/pad_mm",
        json!(-1),
        "supports[1].pad_mm: -1 is not a pad; give the side of a square in millimetres, 0 for a point",
    );
    check(
        "/supports/2",
        json!({"x_mm": 40, "y_mm": 40.2}),
        "supports[2]: supports 0 and 2 stand at one place; give different places",
    );
    check(
        "/supports/2",
        json!({"x_mm": 40, "y_mm": 150}),
        "supports: the supports stand on one line, so the shelf tips; give one that stands off it",
    );
    check(
        "/supports/2",
        json!({"x_mm": 40}),
        "supports[2].y_mm: missing; give millimetres between -100000 and 100000",
    );
    check(
        "/loads/0/mass_kg",
        Value::Null,
        "loads[0].mass_kg: null is not a mass; give kilograms from 0 to 100000",
    );
    check(
        "/loads/0/y_mm",
        json!(-0.5),
        "loads[0].y_mm: -0.5 is beside the shelf; give a place from 0 to its width of 300",
    );
}

fn answer(input: &Value) -> Result<Value, String> {
    let text = run("plate", &input.to_string()).map_err(|err| err.to_string())?;
    serde_json::from_str(&text).map_err(|err| err.to_string())
}

#[test]
fn an_overhung_load_lifts_a_support_and_says_so() -> Result<(), String> {
    let mut input = shelf();
    input["loads"] = json!([{"x_mm": 590, "y_mm": 5, "mass_kg": 20}]);
    let answer = answer(&input)?;
    assert_eq!(answer["lifts"], json!([1]));
    assert!(answer["reactions_n"][1].as_f64() < Some(0.0), "{answer}");
    assert_eq!(
        answer["warnings"],
        json!([
            "the shelf lifts off support 1: the figures hold only while nothing lifts",
            "sagging stress is given outside 30 mm about point loads, where it is singular"
        ])
    );
    Ok(())
}

/// 2 g/cm³ × 20 mm × g is 0.392266 kPa: as a weight or as a pressure, the shelf bends the same.
#[test]
fn its_own_weight_is_a_pressure() -> Result<(), String> {
    let (mut weighed, mut pressed) = (shelf(), shelf());
    weighed["pressure_kpa"] = json!(0);
    weighed["loads"] = json!([]);
    pressed["loads"] = Value::Null;
    pressed["density_g_cm3"] = Value::Null;
    pressed["pressure_kpa"] = json!(0.392266);
    let (weighed, pressed) = (answer(&weighed)?, answer(&pressed)?);
    for field in ["max_deflection_mm", "max_sagging_stress_mpa", "max_hogging_stress_mpa", "load_n"] {
        let (a, b) = (weighed[field].as_f64().unwrap_or(0.0), pressed[field].as_f64().unwrap_or(1.0));
        assert!((a - b).abs() < 1e-9 * b, "{field}: {a} and {b}");
    }
    Ok(())
}

#[test]
fn what_the_figures_leave_out_is_said() -> Result<(), String> {
    let mut soft = shelf();
    soft["youngs_gpa"] = json!(0.05);
    let bent = "it bends by more than half its thickness: small-deflection figures no longer hold";
    assert_eq!(answer(&soft)?["warnings"], json!([bent]));
    let mut thick = shelf();
    thick["thickness_mm"] = json!(31);
    let post = |i: u8, j: u8| json!({"x_mm": 40.0 * f64::from(i), "y_mm": 42.0 * f64::from(j)});
    thick["supports"] = (0..=15).flat_map(|i| (0..=7).map(move |j| post(i, j))).collect();
    let thick = answer(&thick)?;
    assert_eq!(
        thick["warnings"],
        json!([
            "it is thicker than a tenth of its short side: shear, left out here, bends it further",
            "all of it is within 30 mm of point supports: no hogging stress is given"
        ])
    );
    assert_eq!(thick["max_hogging_stress_mpa"], json!(0.0));
    Ok(())
}

/// Anything JSON can hold, and numbers of every size.
fn anything() -> impl Strategy<Value = Value> {
    let number = prop_oneof![
        any::<f64>().prop_filter("JSON has no NaN", |v| v.is_finite()),
        -1e3..1e3f64,
        Just(0.0),
        Just(1e-300),
        Just(1e300)
    ];
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        number.prop_map(Value::from),
        ".{0,6}".prop_map(Value::from)
    ];
    leaf.prop_recursive(2, 8, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            prop::collection::btree_map("[a-z_]{1,9}", inner, 0..3)
                .prop_map(|map| Value::Object(map.into_iter().collect()))
        ]
    })
}

/// A shelf of which some fields hold anything, and others any number that fits.
fn nearly_a_shelf() -> impl Strategy<Value = Value> {
    let size = prop_oneof![4 => 1.0..900.0f64, 1 => 1e-6..1e5f64];
    let foot = (0.0..1.0f64, 0.0..1.0f64, 0.0..200.0f64, 0.0..1e4f64);
    let feet = prop::collection::vec(foot, 3..9);
    let spoilt = prop::collection::vec((0usize..14, anything()), 0..2);
    (prop::array::uniform3(size), 1e-3..9e3f64, 0.0..=0.5f64, feet.clone(), feet, spoilt).prop_map(
        |([length, width, thickness], youngs, poisson, supports, loads, spoilt)| {
            let places = |feet: Vec<(f64, f64, f64, f64)>, laden: bool| -> Value {
                let place = |(x, y, pad, mass): (f64, f64, f64, f64)| {
                    let mut foot = json!({"x_mm": x * length, "y_mm": y * width});
                    if pad > 80.0 {
                        foot["pad_mm"] = json!(pad - 80.0);
                    }
                    if laden {
                        foot["mass_kg"] = json!(mass);
                    }
                    foot
                };
                feet.into_iter().map(place).collect()
            };
            let mut input = shelf();
            input["length_mm"] = json!(length);
            input["width_mm"] = json!(width);
            input["thickness_mm"] = json!(thickness);
            input["youngs_gpa"] = json!(youngs);
            input["poisson"] = json!(poisson);
            input["supports"] = places(supports, false);
            input["loads"] = places(loads, true);
            for (which, value) in spoilt {
                let pointers = [
                    "",
                    "/length_mm",
                    "/width_mm",
                    "/thickness_mm",
                    "/youngs_gpa",
                    "/poisson",
                    "/density_g_cm3",
                    "/supports",
                    "/supports/0",
                    "/supports/1/x_mm",
                    "/pressure_kpa",
                    "/loads",
                    "/loads/1",
                    "/loads/2/mass_kg",
                ];
                if let Some(place) = input.pointer_mut(pointers[which]) {
                    *place = value;
                }
            }
            input
        },
    )
}

/// Whether a number is missing anywhere in an answer.
fn holds_null(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(members) => members.iter().any(holds_null),
        Value::Object(fields) => fields.values().any(holds_null),
        _ => false,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn an_answer_without_null_or_one_line(input in prop_oneof![3 => nearly_a_shelf(), 1 => anything()]) {
        match run("plate", &input.to_string()) {
            Ok(text) => {
                let answer: Value = serde_json::from_str(&text)?;
                prop_assert!(!holds_null(&answer), "{}", text);
                let carried: f64 =
                    answer["reactions_n"].as_array().map_or(0.0, |r| r.iter().filter_map(Value::as_f64).sum());
                let load = answer["load_n"].as_f64().unwrap_or(f64::NAN);
                let pulled: f64 = answer["reactions_n"]
                    .as_array()
                    .map_or(0.0, |r| r.iter().filter_map(Value::as_f64).map(f64::abs).sum());
                prop_assert!((carried - load).abs() <= 1e-7 * (load + pulled), "{} of {}", carried, load);
            }
            Err(err) => {
                let line = err.to_string();
                prop_assert!(!line.contains('\n') && line.contains(": ") && line.contains("give "), "{}", line);
            }
        }
    }
}
