//! `tripoise calc trend`: wear over firings, and when it meets a limit.
//!
//! What this does not do: choose the limit.
use super::input::{FAR_MM, Node, Quantity, READING};
use super::output::Output;
use super::{CalcError, Kind};
use crate::trend::{Crossing, Line, MOST_READINGS, NoLine, Reading, fit_line, t_quantile, theil_sen_slope};

/// The kind.
pub const KIND: Kind = Kind { name: "trend", run, help: HELP };

const HELP: &str = "\
Fits a line to readings over firings and says when it meets a limit.

Input:
readings        [{firing, value_mm}], 3 to 5000, from at least two firings; a firing may be fractional
limit_mm        the value that matters
confidence      above 0 and below 1, such as 0.95

Output: slope_mm_per_firing, intercept_mm (at firing 0), residual_sd_mm, slope_low, slope_high (ordinary
least squares); theil_sen_slope (median over all pairs from different firings); crosses_at_firing, where
the fitted line meets the limit (null when it is level); crosses_low and crosses_high, Fieller's limits for
the mean line (null when the slope cannot be told from level at this confidence); note (null when there is
nothing to say).

Example:
tripoise calc trend <<'END'
{\"readings\":[{\"firing\":0,\"value_mm\":152.40},{\"firing\":10,\"value_mm\":152.11},{\"firing\":20,\"value_mm\":151.90},
{\"firing\":31,\"value_mm\":151.52},{\"firing\":40,\"value_mm\":151.33}],\"limit_mm\":150.9,\"confidence\":0.95}
END
";

/// House choice: as for the life of pieces.
const MOST_FIRINGS: f64 = 1e6;
const FIRING: Quantity = Quantity::from_zero("a firing", "a number from 0 to 1000000", MOST_FIRINGS);
const LIMIT: Quantity = Quantity::within("a limit", "millimetres between -100000 and 100000", FAR_MM);

fn run(node: &Node<'_>) -> Result<String, CalcError> {
    let fields = node.object(&["readings", "limit_mm", "confidence"])?;
    let list = fields.field("readings", "a list of readings, each {firing, value_mm}")?;
    let readings = list.list("readings", 3, MOST_READINGS)?.read(read_reading)?;
    let limit_mm = fields.number("limit_mm", &LIMIT)?;
    let confidence = fields.field("confidence", "a number above 0 and below 1, such as 0.95")?;
    let confidence = read_confidence(&confidence)?;
    // The list's own bounds leave one cause.
    let refuse = |_: NoLine| list.cannot("all from one firing", "readings from at least two firings");
    let line = fit_line(&readings).map_err(refuse)?;
    let robust = theil_sen_slope(&readings).ok_or(NoLine::OneFiring).map_err(refuse)?;
    let t = t_quantile(confidence, line.degrees_of_freedom());
    let (slope_low, slope_high) = line.slope_limits(t);
    let crossing = line.crossing(limit_mm, t);
    let mut out = Output::new();
    out.number("slope_mm_per_firing", line.slope_mm_per_firing)
        .number("intercept_mm", line.intercept_mm)
        .number("residual_sd_mm", line.residual_sd_mm)
        .number("slope_low", slope_low)
        .number("slope_high", slope_high)
        .number("theil_sen_slope", robust)
        .number_or_null("crosses_at_firing", crossing.at)
        .number_or_null("crosses_low", crossing.between.map(|ends| ends.0))
        .number_or_null("crosses_high", crossing.between.map(|ends| ends.1));
    match note(&readings, &line, &crossing) {
        Some(text) => out.text("note", text),
        None => out.null("note"),
    };
    out.finish()
}

fn read_reading(reading: &Node<'_>) -> Result<Reading, CalcError> {
    let fields = reading.object(&["firing", "value_mm"])?;
    Ok(Reading { firing: fields.number("firing", &FIRING)?, value_mm: fields.number("value_mm", &READING)? })
}

fn read_confidence(node: &Node<'_>) -> Result<f64, CalcError> {
    let (noun, want) = ("a confidence", "a number above 0 and below 1, such as 0.95");
    let confidence = node.number(&Quantity::above_zero(noun, want, 1.0))?;
    if confidence < 1.0 { Ok(confidence) } else { Err(node.refuse(noun, want)) }
}

/// What a person should know before they rely on the crossing.
fn note(readings: &[Reading], line: &Line, crossing: &Crossing) -> Option<&'static str> {
    let firings = readings.iter().map(|reading| reading.firing);
    let first = firings.clone().fold(f64::INFINITY, f64::min);
    let last = firings.fold(f64::NEG_INFINITY, f64::max);
    match crossing.at {
        None if line.slope_mm_per_firing == 0.0 => {
            Some("the fitted line is level: it meets the limit at no one firing")
        }
        None => Some("the fitted line is so nearly level that it meets the limit at no finite firing"),
        Some(_) if crossing.between.is_none() => Some(
            "at this confidence the slope cannot be told from level, so the readings set no finite limits to the crossing: read again after more firings",
        ),
        Some(at) if at < first => {
            Some("the fitted line meets the limit before the first reading: the readings move away from it")
        }
        Some(at) if at <= last => Some("the fitted line has already met the limit at the last reading"),
        Some(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::calc;
    use serde_json::{Value, json};

    fn answer(readings: &[(f64, f64)], limit_mm: f64) -> Value {
        let readings: Vec<Value> =
            readings.iter().map(|(firing, mm)| json!({"firing": firing, "value_mm": mm})).collect();
        let input = json!({"readings": readings, "limit_mm": limit_mm, "confidence": 0.95});
        let text = calc::run("trend", &input.to_string()).unwrap_or_else(|err| panic!("{err}"));
        serde_json::from_str(&text).unwrap_or_else(|err| panic!("{err}"))
    }

    #[test]
    fn the_note_says_what_to_know_of_the_crossing() {
        let falling = [(10.0, 152.0), (20.0, 151.0), (30.0, 150.1), (40.0, 149.0)];
        let check = |readings: &[(f64, f64)], limit_mm, expected: Option<&str>| {
            let found = answer(readings, limit_mm);
            match expected {
                Some(words) => {
                    assert!(found["note"].as_str().is_some_and(|note| note.contains(words)), "{found}")
                }
                None => assert_eq!(found["note"], Value::Null),
            }
        };
        check(&falling, 148.0, None);
        check(&falling, 150.5, Some("already met"));
        check(&falling, 154.0, Some("before the first reading"));
        let noisy = [(0.0, 152.0), (10.0, 151.2), (20.0, 152.3), (30.0, 151.6)];
        check(&noisy, 150.0, Some("cannot be told from level"));
        let level = [(0.0, 152.0), (10.0, 152.0), (20.0, 152.0)];
        check(&level, 150.0, Some("is level"));
        for name in ["crosses_at_firing", "crosses_low", "crosses_high"] {
            assert_eq!(answer(&level, 150.0)[name], Value::Null);
        }
    }

    #[test]
    fn bad_input_names_the_field() {
        let check = |readings: Value, confidence: f64, expected: &str| {
            let input = json!({"readings": readings, "limit_mm": 150, "confidence": confidence});
            let found = calc::run("trend", &input.to_string()).map_err(|err| err.to_string());
            assert_eq!(found, Err(expected.to_owned()));
        };
        let at = |firing: f64| json!({"firing": firing, "value_mm": 1});
        check(
            json!([at(0.0), at(1.0)]),
            0.95,
            "readings: 2 is not the number of readings wanted; give 3 to 5000 of them",
        );
        check(
            json!([at(7.0), at(7.0), at(7.0)]),
            0.95,
            "readings: all from one firing; give readings from at least two firings",
        );
        check(
            json!([at(0.0), at(-1.0), at(2.0)]),
            0.95,
            "readings[1].firing: -1.0 is not a firing; give a number from 0 to 1000000",
        );
        for confidence in [0.0, 1.0, 95.0] {
            let line = format!(
                "confidence: {confidence:?} is not a confidence; give a number above 0 and below 1, such as 0.95"
            );
            check(json!([at(0.0), at(1.0), at(2.0)]), confidence, &line);
        }
    }
}
