//! Reads "save the plan so": a change that was tried becomes the plan's.
use crate::form::{FormValues, Problem, Submission, no_form};
use crate::view::plans::what_if::{Asked, WhatIf};

/// The plan with the change that the form carries.
///
/// # Errors   The change does not go; beside the choice.
pub fn read(data: &WhatIf, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "save" || !data.is_open {
        return Err(no_form(values));
    }
    let of = |name: &str| values.get(name).trim().to_owned();
    let asked = Asked {
        change: of("change"),
        shelf: of("shelf"),
        other: of("other"),
        layer: of("layer"),
        set: of("set"),
    };
    let plan = data.plan_so(&asked).map_err(|problem| vec![Problem::new("change", problem)])?;
    Ok(Submission::new(vec![plan.into()], data.path.clone()))
}
