//! `tripoise calc life`: how long pieces last, and how many will be retired next.
//!
//! What this does not do: split the pieces by material or kiln; the caller gives those that belong together.
use super::input::{Node, Quantity};
use super::output::Output;
use super::{CalcError, Kind};
use crate::life::kaplan_meier::{kaplan_meier, median};
use crate::life::weibull::fit_weibull;
use crate::life::{Piece, by_age};

/// The kind.
pub const KIND: Kind = Kind { name: "life", run, help: HELP };

const HELP: &str = "\
How long pieces last. A piece in service counts for the firings it has had and for nothing after.

Input:
pieces          [{firings, retired}], 1 to 1000000; retired true or false
next_firings    how far to look ahead

Output: kaplan_meier [{firings, at_risk, retired, survival, standard_error, low, high}] at each age at
which a piece was retired (Greenwood; 95 % log interval; where survival is 0 that interval has no value,
and low is 0, high is that of the row before); median_firings, the first age that at most half outlast
(null when more than half are left); weibull {shape, scale, shape_se, scale_se, log_likelihood} by maximum
likelihood, null where there is none, and note says why; expected_retirements among the pieces in service
within next_firings (null without a fit); note (null when there is nothing to say).

Example:
tripoise calc life <<'END'
{\"pieces\":[{\"firings\":62,\"retired\":true},{\"firings\":88,\"retired\":true},{\"firings\":88,\"retired\":false},
{\"firings\":103,\"retired\":true},{\"firings\":41,\"retired\":false}],\"next_firings\":12}
END
";

/// House choice: as many as posts are matched at once.
const MOST_PIECES: usize = 1_000_000;
/// House choice: more firings than any kiln has had; beyond it a slip of the keyboard.
const MOST_FIRINGS: f64 = 1e6;
const FIRINGS: Quantity =
    Quantity::from_zero("a number of firings", "a number from 0 to 1000000", MOST_FIRINGS);

fn run(node: &Node<'_>) -> Result<String, CalcError> {
    let fields = node.object(&["pieces", "next_firings"])?;
    let list = fields.field("pieces", "a list of pieces, each {firings, retired}")?;
    let pieces = list.list("pieces", 1, MOST_PIECES)?.read(read_piece)?;
    let next_firings = fields.number("next_firings", &FIRINGS)?;
    let ages = by_age(&pieces);
    let steps = kaplan_meier(&ages);
    let law = fit_weibull(&ages);
    let mut out = Output::new();
    out.objects("kaplan_meier", &steps, |out, step| {
        out.number("firings", step.firings)
            .whole("at_risk", step.at_risk)
            .whole("retired", step.retired)
            .number("survival", step.survival)
            .number("standard_error", step.standard_error)
            .number("low", step.low)
            .number("high", step.high);
    });
    out.number_or_null("median_firings", median(&steps));
    match law {
        Ok(law) => {
            out.object("weibull", |out| {
                out.number("shape", law.shape)
                    .number("scale", law.scale)
                    .number("shape_se", law.shape_se)
                    .number("scale_se", law.scale_se)
                    .number("log_likelihood", law.log_likelihood);
            });
            let expected = law.expected_retirements(&pieces, next_firings);
            out.number("expected_retirements", expected).null("note");
        }
        Err(why) => {
            out.null("weibull").null("expected_retirements");
            out.text("note", &format!("no Weibull law: {why}"));
        }
    }
    out.finish()
}

fn read_piece(piece: &Node<'_>) -> Result<Piece, CalcError> {
    let fields = piece.object(&["firings", "retired"])?;
    Ok(Piece {
        firings: fields.number("firings", &FIRINGS)?,
        retired: fields.field("retired", "true or false")?.boolean()?,
    })
}

#[cfg(test)]
mod tests {
    use crate::calc;
    use serde_json::{Value, json};

    fn run(pieces: &Value, next_firings: f64) -> Result<Value, String> {
        let input = json!({"pieces": pieces, "next_firings": next_firings});
        let text = calc::run("life", &input.to_string()).map_err(|err| err.to_string())?;
        serde_json::from_str(&text).map_err(|err| err.to_string())
    }

    fn piece(firings: f64, retired: bool) -> Value {
        json!({"firings": firings, "retired": retired})
    }

    #[test]
    fn without_a_fit_the_note_says_why_and_the_rest_stands() {
        let found = run(&json!([piece(60.0, true), piece(60.0, true), piece(90.0, false)]), 12.0);
        let found = found.unwrap_or_else(|err| panic!("{err}"));
        assert_eq!((&found["weibull"], &found["expected_retirements"]), (&Value::Null, &Value::Null));
        assert_eq!(
            found["note"],
            "no Weibull law: it takes retirements at two different ages or more, and there are 1"
        );
        assert_eq!(
            (&found["median_firings"], &found["kaplan_meier"][0]["at_risk"]),
            (&json!(60.0), &json!(3))
        );
        let unfired = run(&json!([piece(0.0, true), piece(60.0, true)]), 12.0);
        assert!(
            unfired
                .is_ok_and(|found| found["note"].as_str().is_some_and(|note| note.contains("at 0 firings")))
        );
    }

    #[test]
    fn no_firings_ahead_expect_no_retirement() {
        let pieces = json!([piece(60.0, true), piece(80.0, true), piece(90.0, false)]);
        assert_eq!(run(&pieces, 0.0).map(|found| found["expected_retirements"].clone()), Ok(json!(0.0)));
    }

    #[test]
    fn bad_input_names_the_field() {
        let check = |pieces: Value, next: f64, expected: &str| {
            assert_eq!(run(&pieces, next), Err(expected.to_owned()));
        };
        check(json!([]), 1.0, "pieces: 0 is not the number of pieces wanted; give 1 to 1000000 of them");
        check(
            json!([piece(-1.0, true)]),
            1.0,
            "pieces[0].firings: -1.0 is not a number of firings; give a number from 0 to 1000000",
        );
        check(
            json!([{"firings": 1, "retired": "no"}]),
            1.0,
            "pieces[0].retired: \"no\" is not true or false; give true or false",
        );
        check(
            json!([piece(1.0, true)]),
            -1.0,
            "next_firings: -1.0 is not a number of firings; give a number from 0 to 1000000",
        );
    }
}
