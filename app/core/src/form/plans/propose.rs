//! Reads the button that fills a plan: what the program found, or the search run here to its end.
use super::fill::{as_planned, kept_by_hand};
use crate::event::plan::PlannedStack;
use crate::form::{FormValues, Problem, Submission, no_form};
use crate::planning::propose;
use crate::view::plans::propose::{FORM, Propose};

/// The plan, filled, and back to its page.
///
/// # Errors   No proposal can be made, and why.
pub fn read(data: &Propose, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    // What the program found while it showed its progress; the record's own checks look at it as at any plan.
    let found: Option<Vec<PlannedStack>> = match values.get("found") {
        "" => None,
        text => Some(serde_json::from_str(text).map_err(|_| {
            vec![Problem::new("found", "what was found could not be read; open the page again")]
        })?),
    };
    let stacks = match found {
        Some(stacks) => stacks,
        None => {
            let world = data.bench.world();
            let proposal = propose(&world, &as_planned(&world, &data.plan));
            proposal.map_err(|cause| vec![Problem::new("do", cause.to_string())])?.stacks
        }
    };
    let mut plan = data.plan.clone();
    plan.stacks = kept_by_hand(&data.plan, stacks);
    Ok(Submission::new(vec![plan.into()], data.path.clone()))
}
