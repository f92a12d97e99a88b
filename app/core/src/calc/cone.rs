//! `tripoise calc cone`: the temperature a cone stands for, with the chart it is from.
//!
//! What this does not do: choose between charts that disagree without saying which it took.
use super::input::{Node, Quantity};
use super::output::Output;
use super::{CalcError, Kind};
use crate::cone::{Chart, Equivalent, NoEquivalent, temperature};
use crate::cone_name::ConeName;

/// The kind.
pub const KIND: Kind = Kind { name: "cone", run, help: HELP };

const HELP: &str = "\
The temperature that a pyrometric cone stands for at a steady heating rate.

Input:
cone            text, \"022\" to \"01\" and \"1\" to \"14\"; the leading zero counts
rate_c_per_h    a tabulated rate, or one between two tabulated rates
chart           left out, or one of self-supporting (15, 60, 150 C/h), large (60, 150), small (300),
                large-1950s (150); when left out the first of these that has the rate

Output: temperature_c; chart; source; from_memory, true where that row was written down from memory and
not read in a published copy; note (null when there is nothing to say), which says when the value was
interpolated in rate, or is doubtful. The charts disagree by up to 20 C: keep chart and rate with the number.

Example:
tripoise calc cone <<'END'
{\"cone\":\"10\",\"rate_c_per_h\":60}
END
";

/// House choice: no chart goes past 300 °C/h.
const RATE: Quantity = Quantity::above_zero("a heating rate", "degrees Celsius in an hour, above 0", 1e4);
/// The longest name is "022".
const LONGEST_NAME: usize = 3;

fn run(node: &Node<'_>) -> Result<String, CalcError> {
    let fields = node.object(&["cone", "rate_c_per_h", "chart"])?;
    let want = "\"022\" to \"01\" or \"1\" to \"14\", as text with its leading zero where it has one";
    let field = fields.field("cone", want)?;
    let refuse = || field.refuse("a cone", want);
    let text = field.text("a cone", LONGEST_NAME).map_err(|_| refuse())?;
    let cone = ConeName::read(text).map_err(|_| refuse())?;
    if cone.to_string() != text {
        return Err(refuse());
    }
    let rate = fields.field("rate_c_per_h", RATE.want)?;
    let rate_c_per_h = rate.number(&RATE)?;
    let chart = fields.optional("chart").map(|node| read_chart(&node)).transpose()?;
    let found = temperature(cone, rate_c_per_h, chart).map_err(|NoEquivalent { rates, .. }| {
        rate.refuse(&format!("a rate tabulated for cone {cone}"), &rates)
    })?;
    let mut out = Output::new();
    out.number("temperature_c", found.temperature_c)
        .text("chart", found.chart.name())
        .text("source", found.chart.source())
        .boolean("from_memory", found.from_memory);
    match note(&found) {
        Some(text) => out.text("note", &text),
        None => out.null("note"),
    };
    out.finish()
}

fn read_chart(node: &Node<'_>) -> Result<Chart, CalcError> {
    let name = node.word("a chart", &Chart::ALL.map(Chart::name))?;
    let found = Chart::ALL.into_iter().find(|chart| chart.name() == name);
    found.ok_or_else(|| node.refuse("a chart", "one of its names"))
}

fn note(found: &Equivalent) -> Option<String> {
    let mut notes = Vec::new();
    if let Some((slower, faster)) = found.between {
        notes.push(format!(
            "interpolated in rate on the straight line between {} C at {} C/h and {} C at {} C/h; the chart has no value between them",
            slower.temperature_c, slower.rate_c_per_h, faster.temperature_c, faster.rate_c_per_h
        ));
    }
    if found.doubtful {
        notes.push("doubtful: this chart's values for this cone fall as the rate rises".to_owned());
    }
    (!notes.is_empty()).then(|| notes.join("; "))
}
