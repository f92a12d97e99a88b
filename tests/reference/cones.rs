//! Every value of the cones' charts, and what is refused.
//!
//! Source: tests/reference/data/cones.csv. Rows 022 to 08 of the recent charts and the whole column of the
//! 1950s were read in two published copies; rows 07 to 14 of the recent charts are from memory, and the
//! answer says so. So this holds the table's copy, not the truth of those rows.
//!
//! What this does not do: the pyrometric cone equivalent of ASTM C24; no calculation here offers it.
use crate::Res;
use serde_json::{Value, json};

const DATA: &str = include_str!("data/cones.csv");

/// Chart and rate of the columns after the cone's name.
const COLUMNS: [(&str, f64); 7] = [
    ("self-supporting", 15.0),
    ("self-supporting", 60.0),
    ("self-supporting", 150.0),
    ("large", 60.0),
    ("large", 150.0),
    ("small", 300.0),
    ("large-1950s", 150.0),
];

fn cone(input: &Value) -> Result<Value, String> {
    let text = crate::run("cone", input).map_err(|err| err.to_string())?;
    serde_json::from_str(&text).map_err(|err| err.to_string())
}

#[test]
fn every_tabulated_value() -> Res<()> {
    let mut n_values = 0;
    for line in DATA.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [name, values @ .., recent, old] = cells.as_slice() else {
            return Err("a row too short".into());
        };
        assert_eq!(values.len(), COLUMNS.len());
        for ((chart, rate), value) in COLUMNS.iter().zip(values) {
            let found = cone(&json!({"cone": name, "rate_c_per_h": rate, "chart": chart}));
            let Ok(expected) = value.parse::<f64>() else {
                assert!(value.is_empty() && found.is_err(), "{name} {chart} {rate}: {found:?}");
                continue;
            };
            let found = found?;
            n_values += 1;
            let provenance = if *chart == "large-1950s" { old } else { recent };
            assert_eq!(found["temperature_c"].as_f64(), Some(expected), "{name} {chart} {rate}");
            assert_eq!(found["from_memory"], provenance.ends_with("from-memory"), "{name} {chart}");
            assert_eq!(found["chart"], *chart);
            assert!(found["source"].as_str().is_some_and(|source| source.contains("chart")));
        }
    }
    assert_eq!(n_values, 240);
    Ok(())
}

#[test]
fn the_charts_disagree_and_the_answer_says_which() -> Res<()> {
    // Cone 6: 1222 old at 150 C/h = self-supporting at 60; 1220 large at 60; 1243 self-supporting at 150.
    let at = |rate: f64, chart: &str| cone(&json!({"cone": "6", "rate_c_per_h": rate, "chart": chart}));
    for (rate, chart, expected) in [
        (150.0, "large-1950s", 1222.0),
        (60.0, "self-supporting", 1222.0),
        (60.0, "large", 1220.0),
        (150.0, "self-supporting", 1243.0),
    ] {
        assert_eq!(at(rate, chart)?["temperature_c"].as_f64(), Some(expected));
    }
    let found = cone(&json!({"cone": "10", "rate_c_per_h": 60}))?;
    assert_eq!((found["temperature_c"].as_f64(), &found["note"]), (Some(1285.0), &Value::Null));
    assert_eq!((&found["chart"], &found["from_memory"]), (&json!("self-supporting"), &json!(true)));
    // 27 F/h = 15 C/h, 108 F/h = 60 C/h and 270 F/h = 150 C/h exactly.
    for (fahrenheit, celsius) in [(27.0, 15.0), (108.0, 60.0), (270.0, 150.0)] {
        assert_eq!(fahrenheit / 1.8, celsius);
    }
    Ok(())
}

#[test]
fn between_two_rates_the_note_says_interpolated_and_elsewhere_it_is_refused() -> Res<()> {
    let found = cone(&json!({"cone": "10", "rate_c_per_h": 78}))?;
    assert_eq!(found["temperature_c"].as_f64(), Some(1289.0));
    assert!(found["note"].as_str().is_some_and(|note| note.starts_with("interpolated")));
    let doubtful = cone(&json!({"cone": "14", "rate_c_per_h": 60, "chart": "large"}))?;
    assert!(doubtful["note"].as_str().is_some_and(|note| note.starts_with("doubtful")));
    let refused = [
        (
            json!({"cone": "10", "rate_c_per_h": 200}),
            "rate_c_per_h: 200 is not a rate tabulated for cone 10; give ",
        ),
        (
            json!({"cone": "10", "rate_c_per_h": 10}),
            "rate_c_per_h: 10 is not a rate tabulated for cone 10; give ",
        ),
        (
            json!({"cone": "022", "rate_c_per_h": 15}),
            "rate_c_per_h: 15 is not a rate tabulated for cone 022; give ",
        ),
        (json!({"cone": "15", "rate_c_per_h": 60}), "cone: \"15\" is not a cone; give "),
        (json!({"cone": "007", "rate_c_per_h": 60}), "cone: \"007\" is not a cone; give "),
        (json!({"cone": " 7", "rate_c_per_h": 60}), "cone: \" 7\" is not a cone; give "),
        (json!({"cone": 10, "rate_c_per_h": 60}), "cone: 10 is not a cone; give "),
        (json!({"cone": "10"}), "rate_c_per_h: missing; give "),
        (json!({"cone": "10", "rate_c_per_h": -60}), "rate_c_per_h: -60 is not a heating rate; give "),
    ];
    for (input, start) in refused {
        let text = cone(&input).err().ok_or("not refused")?;
        assert!(text.starts_with(start), "{text}");
    }
    Ok(())
}
