//! Lines, slopes and crossings against certified and published values.
//!
//! Source: tests/reference/data/trend.json: NIST StRD Norris (certified); Toluca Company, Neter and Kutner
//! (from memory, reproduced); Massart et al. 1997, Handbook of Chemometrics A, p. 200 (inverse prediction);
//! Hollander and Wolfe 1999 through statpsych (Theil-Sen); eight made-up series whose crossing limits were
//! worked out twice, as Fieller's closed form and as roots of the band.
//!
//! What this does not do: prediction bands and Theil-Sen intervals; the calculation gives none.
use crate::Res;
use serde_json::{Value, json};
use tripoise_core::trend::{Reading, fit_line, t_quantile, theil_sen_slope};

const DATA: &str = include_str!("data/trend.json");

fn number(value: &Value) -> Res<f64> {
    Ok(value.as_f64().ok_or("not a number")?)
}

fn readings(case: &Value) -> Res<Vec<Reading>> {
    let (x, y) = (case["x"].as_array().ok_or("no x")?, case["y"].as_array().ok_or("no y")?);
    x.iter().zip(y).map(|(x, y)| Ok(Reading { firing: number(x)?, value_mm: number(y)? })).collect()
}

fn trend(case: &Value, limit_mm: f64, confidence: f64) -> Res<Value> {
    let readings: Vec<Value> = readings(case)?
        .iter()
        .map(|reading| json!({"firing": reading.firing, "value_mm": reading.value_mm}))
        .collect();
    let input = json!({"readings": readings, "limit_mm": limit_mm, "confidence": confidence});
    Ok(serde_json::from_str(&crate::run("trend", &input)?)?)
}

#[test]
fn norris_certified() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let certified = &data["norris"]["certified"];
    let found = trend(&data["norris"], 500.0, 0.95)?;
    crate::agree("slope", &found["slope_mm_per_firing"], number(&certified["b"])?, 13.0);
    crate::agree("intercept", &found["intercept_mm"], number(&certified["a"])?, 11.5);
    crate::agree("residual sd", &found["residual_sd_mm"], number(&certified["s"])?, 12.0);
    // The slope's half width is t(34) times its standard error; t(0.975, 34) = 2.032244509.
    let half = (number(&found["slope_high"])? - number(&found["slope_low"])?) / 2.0;
    crate::agree("slope's error", &json!(half / 2.032_244_509), number(&certified["se_b"])?, 9.0);
    Ok(())
}

#[test]
fn toluca() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let case = &data["toluca"];
    let found = trend(case, 300.0, 0.90)?;
    crate::agree("b1", &found["slope_mm_per_firing"], number(&case["b1"])?, 13.0);
    crate::agree("b0", &found["intercept_mm"], number(&case["b0"])?, 13.0);
    crate::agree("sd", &found["residual_sd_mm"], number(&case["mse"])?.sqrt(), 13.0);
    // The book's 90 % band of the mean at 65, 277.4315 to 311.4264: where it holds its own ends, there it
    // crosses them. A limit of 277.4315 has 65 as the end of its interval on the far side.
    for (end, side) in [(0, "crosses_high"), (1, "crosses_low")] {
        let limit = number(&case["ci90_at_65"][end])?;
        crate::agree(side, &trend(case, limit, 0.90)?[side], 65.0, 12.0);
    }
    Ok(())
}

#[test]
fn massart_inverse_prediction() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let case = &data["massart97_ex7"];
    let line = fit_line(&readings(case)?)?;
    let t = t_quantile(0.95, line.degrees_of_freedom());
    for (i, row) in case["cases"].as_array().ok_or("no cases")?.iter().enumerate() {
        let n_readings = u32::try_from(row["k"].as_u64().ok_or("no k")?)?;
        let found = line.crossing_of_readings(number(&row["y0"])?, t, n_readings);
        crate::agree("x0", &json!(found.at), number(&row["x0"])?, 6.5);
        let (low, high) = found.between.ok_or("no limits")?;
        crate::agree("low", &json!(low), number(&case["fieller"][i][0])?, 12.0);
        crate::agree("high", &json!(high), number(&case["fieller"][i][1])?, 12.0);
        // The book's symmetric half width leaves g out; it stays within g = 1 % of Fieller's.
        crate::agree("half", &json!((high - low) / 2.0), number(&row["half95"])?, 2.0);
    }
    Ok(())
}

#[test]
fn firings_to_a_limit() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let cases = data["time_to_threshold"]["cases"].as_array().ok_or("no cases")?;
    assert_eq!(cases.len(), 4);
    for case in cases {
        let limit = number(&case["threshold"])?;
        let found = trend(case, limit, 0.95)?;
        let pairs = [
            ("slope_mm_per_firing", "slope"),
            ("intercept_mm", "intercept"),
            ("residual_sd_mm", "s"),
            ("theil_sen_slope", "theil_slope"),
            ("crosses_at_firing", "x_at_threshold"),
        ];
        for (ours, theirs) in pairs {
            crate::agree(ours, &found[ours], number(&case[theirs])?, 12.0);
        }
        crate::agree("low", &found["crosses_low"], number(&case["ci95_mean_line"][0])?, 9.0);
        crate::agree("high", &found["crosses_high"], number(&case["ci95_mean_line"][1])?, 9.0);
        let line = fit_line(&readings(case)?)?;
        let t = t_quantile(0.95, line.degrees_of_freedom());
        let (low, high) = line.crossing_of_readings(limit, t, 1).between.ok_or("no limits")?;
        crate::agree("low", &json!(low), number(&case["ci95_single_reading"][0])?, 9.0);
        crate::agree("high", &json!(high), number(&case["ci95_single_reading"][1])?, 9.0);
    }
    Ok(())
}

#[test]
fn a_slope_that_cannot_be_told_from_level_gives_no_time() -> Res<()> {
    // g >= 1: the set of firings at which the band holds the limit is not an interval.
    let noisy = json!({"x": [0, 10, 20, 30], "y": [152.0, 151.2, 152.3, 151.6]});
    let found = trend(&noisy, 150.0, 0.95)?;
    assert!(number(&found["slope_low"])? < 0.0 && number(&found["slope_high"])? > 0.0);
    assert_eq!((&found["crosses_low"], &found["crosses_high"]), (&Value::Null, &Value::Null));
    assert!(found["note"].as_str().is_some_and(|note| note.contains("cannot be told from level")));
    // At a lower confidence the same readings do tell.
    assert!(trend(&noisy, 150.0, 0.02)?["crosses_high"].is_f64());
    Ok(())
}

#[test]
fn theil_sen_of_hollander_and_wolfe() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let case = &data["theil_statpsych"];
    let slope = theil_sen_slope(&readings(case)?).ok_or("no slope")?;
    assert_eq!(Some(slope), case["slope"].as_f64());
    // Pairs from the same firing are left out: 101 of 105 remain.
    let x = case["x"].as_array().ok_or("no x")?;
    let pairs =
        (0..x.len()).flat_map(|i| (0..i).map(move |j| (i, j))).filter(|(i, j)| x[*i] != x[*j]).count();
    assert_eq!(Some(pairs as u64), case["n_pairs"].as_u64());
    Ok(())
}

#[test]
fn quantiles_of_students_t() {
    // Abramowitz and Stegun, table 26.10 and its closed forms: tan(pi c / 2) for one degree of freedom,
    // c sqrt(2 / (1 - c^2)) for two; the others to ten digits from scipy 1.17 (scipy.special.stdtrit).
    for confidence in [0.5, 0.9, 0.95, 0.99, 0.999_f64] {
        let one = (std::f64::consts::FRAC_PI_2 * confidence).tan();
        crate::agree("one", &json!(t_quantile(confidence, 1)), one, 12.0);
        let two = confidence * (2.0 / (1.0 - confidence * confidence)).sqrt();
        crate::agree("two", &json!(t_quantile(confidence, 2)), two, 12.0);
    }
    let table = SCIPY_T;
    for (degrees, confidence, expected) in table {
        crate::agree("t", &json!(t_quantile(confidence, degrees)), expected, 11.5);
    }
}

/// Degrees of freedom, two-sided confidence, t.
const SCIPY_T: [(u32, f64, f64); 9] = [
    (3, 0.95, 3.1824463052837078),
    (4, 0.95, 2.7764451051977934),
    (5, 0.99, 4.032142983555228),
    (10, 0.95, 2.228138851986274),
    (13, 0.9, 1.7709333959868725),
    (34, 0.95, 2.0322445093177186),
    (100, 0.999, 3.390491311164263),
    (999, 0.95, 1.9623414611334493),
    (4998, 0.95, 1.9604387416545477),
];
