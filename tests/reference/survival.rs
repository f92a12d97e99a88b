//! Survival and the Weibull law against published tables.
//!
//! Source: tests/reference/data/survival.json: Freireich et al. 1963 with the published survfit table;
//! NIST/SEMATECH e-Handbook 8.4.1.2 and 8.4.1.3 (two printings of the first time, 54 and 55 h, not to be
//! mixed); Lieblein and Zelen 1956; the New Weibull Handbook's C.5. Published digits stand in the tests,
//! longer ones in the file are recomputed (lifelines, statsmodels) and reproduce them.
//!
//! What this does not do: the plain and log-log intervals in the file; the calculation gives the log one.
use crate::Res;
use serde_json::{Value, json};
use tripoise_core::life::weibull::Weibull;

const DATA: &str = include_str!("data/survival.json");

fn life(case: &Value) -> Res<Value> {
    let (times, events) =
        (case["times"].as_array().ok_or("times")?, case["events"].as_array().ok_or("events")?);
    let pieces: Vec<Value> =
        times.iter().zip(events).map(|(t, event)| json!({"firings": t, "retired": *event == 1})).collect();
    let input = json!({"pieces": pieces, "next_firings": 12});
    Ok(serde_json::from_str(&crate::run("life", &input)?)?)
}

#[test]
fn kaplan_meier_of_6_mercaptopurine() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    let case = &data["km_6mp"];
    let found = life(case)?;
    let (rows, expected) = (&found["kaplan_meier"], case["rows"].as_array().ok_or("no rows")?);
    assert_eq!(rows.as_array().map(Vec::len), Some(expected.len()));
    for (i, row) in expected.iter().enumerate() {
        let step = &rows[i];
        for (name, value) in [("firings", &row["t"]), ("at_risk", &row["n"]), ("retired", &row["d"])] {
            assert_eq!(step[name].as_f64(), value.as_f64(), "row {i} {name}");
        }
        let values = [&row["S"], &row["se"], &row["log"][0], &row["log"][1]];
        for (name, value) in ["survival", "standard_error", "low", "high"].into_iter().zip(values) {
            // The file's intervals were worked out with 1.959963985 for the normal law's 97.5 % point.
            let digits = if name == "low" || name == "high" { 9.0 } else { 13.0 };
            crate::agree(name, &step[name], value.as_f64().ok_or("no value")?, digits);
        }
    }
    // The published table, to its own three digits.
    let published = [
        [0.857, 0.0764, 0.720, 1.0],
        [0.807, 0.0869, 0.653, 0.996],
        [0.753, 0.0963, 0.586, 0.968],
        [0.690, 0.1068, 0.510, 0.935],
        [0.627, 0.1141, 0.439, 0.896],
        [0.538, 0.1282, 0.337, 0.858],
        [0.448, 0.1346, 0.249, 0.807],
    ];
    for (i, row) in published.iter().enumerate() {
        let names = ["survival", "standard_error", "low", "high"];
        for (name, (value, unit)) in names.into_iter().zip(row.iter().zip([0.0005, 0.00005, 0.0005, 0.0005]))
        {
            let found = rows[i][name].as_f64().ok_or("no value")?;
            assert!((found - value).abs() <= unit, "row {i} {name}: {found} is not {value}");
        }
    }
    assert_eq!(found["median_firings"].as_f64(), case["median"].as_f64());
    Ok(())
}

#[test]
fn weibull_fits() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    // Name, then what is published, with half a unit of its last digit: shape, scale, log-likelihood.
    let cases: [(&str, &[(f64, f64)]); 4] = [
        ("weibull_nist_54", &[(1.7208, 5e-5), (606.528, 5e-4), (-75.135, 5e-4)]),
        ("weibull_nist_55", &[(1.72563, 5e-6), (606.005, 5e-4), (-75.122, 5e-4)]),
        ("weibull_ball_bearing", &[(2.10, 5e-3), (81.9, 5e-2)]),
        ("weibull_abernethy_c5", &[(2.257, 5e-4), (4900.1, 5e-2)]),
    ];
    for (name, published) in cases {
        let case = &data[name];
        let found = &life(case)?["weibull"];
        let value = |name: &str| case[name].as_f64().ok_or("no value");
        crate::agree(name, &found["shape"], value("beta")?, 9.0);
        crate::agree(name, &found["scale"], value("eta")?, 9.0);
        crate::agree(name, &found["log_likelihood"], value("loglik")?, 12.0);
        // The file has the errors of the logarithms; to first order error = value x error of the logarithm.
        crate::agree(name, &found["shape_se"], value("beta")? * value("se_log_beta")?, 5.0);
        crate::agree(name, &found["scale_se"], value("eta")? * value("se_log_eta")?, 5.0);
        for (field, (value, half_unit)) in ["shape", "scale", "log_likelihood"].into_iter().zip(published) {
            let found = found[field].as_f64().ok_or("no value")?;
            assert!((found - value).abs() <= half_unit * 1.001, "{name} {field}: {found} is not {value}");
        }
    }
    Ok(())
}

#[test]
fn expected_retirements() -> Res<()> {
    let data: Value = serde_json::from_str(DATA)?;
    for case in data["conditional_replacements"].as_array().ok_or("no cases")? {
        let value = |name: &str| case[name].as_f64().ok_or("no value");
        let law = Weibull {
            shape: value("beta")?,
            scale: value("eta")?,
            shape_se: 0.0,
            scale_se: 0.0,
            log_likelihood: 0.0,
        };
        let ages = case["ages"].as_array().ok_or("no ages")?;
        let mut sum = 0.0;
        for (age, expected) in ages.iter().zip(case["p_fail"].as_array().ok_or("no chances")?) {
            let chance = law.retired_within(age.as_f64().ok_or("no age")?, value("n")?);
            crate::agree("p_fail", &json!(chance), expected.as_f64().ok_or("no chance")?, 13.0);
            sum += chance;
        }
        crate::agree("sum", &json!(sum), value("expected_first_failures")?, 13.0);
    }
    Ok(())
}

#[test]
fn with_shape_one_age_does_not_matter_and_the_whole_answer_adds_up() -> Res<()> {
    // Memoryless: S(a + n) / S(a) = S(n). And the command's own sum is that over the pieces in service.
    let law = Weibull { shape: 1.0, scale: 40.0, shape_se: 0.0, scale_se: 0.0, log_likelihood: 0.0 };
    for age in [0.0, 7.5, 390.0] {
        crate::agree(
            "memoryless",
            &json!(law.retired_within(age, 10.0)),
            law.retired_within(0.0, 10.0),
            13.0,
        );
    }
    let data: Value = serde_json::from_str(DATA)?;
    let found = life(&data["weibull_nist_55"])?;
    let number = |name: &str| found["weibull"][name].as_f64().ok_or("no value");
    let (shape, scale) = (number("shape")?, number("scale")?);
    let outlast = |age: f64| (-(age / scale).powf(shape)).exp();
    // Ten pieces in service at 500 h, twelve more.
    let expected = 10.0 * (1.0 - outlast(512.0) / outlast(500.0));
    crate::agree("expected_retirements", &found["expected_retirements"], expected, 11.0);
    Ok(())
}
