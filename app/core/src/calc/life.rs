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

pieces          [{firings, retired}], 1 to 1000000; retired true or false
next_firings    how far to look ahead

Answer: kaplan_meier [{firings, at_risk, retired, survival, standard_error, low, high}] at each age at
which a piece was retired (Greenwood; 95 % log interval; where survival is 0 that interval has no value,
and low is 0, high is that of the row before); median_firings, the first age that at most half outlast
(null when more than half are left); weibull {shape, scale, shape_se, scale_se, log_likelihood} by maximum
likelihood, null where there is none, and note says why; expected_retirements among the pieces in service
within next_firings (null without a fit); note (null when there is nothing to say).

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
