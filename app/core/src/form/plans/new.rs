//! Reads a new plan: its name, what for, how many layers of which height; and chooses shelves and sets for them.
use super::fill::{Asked, fill};
use crate::event::PlanSaved;
use crate::form::add::line;
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::PlanId;
use crate::view::Page;
use crate::view::plans::new::{FORM, NewPlan};
use crate::view::plans::path;

/// The most layers of one height in one place. House choice: more than any chamber takes.
const MOST: u32 = 40;

/// A plan, and on to its page.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &NewPlan,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    let (Some(kiln), Some(bench), FORM) = (&data.kiln, &data.bench, values.get("do")) else {
        return Err(no_form(values));
    };
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let name = line(&mut reader, "name");
    if name.is_empty() {
        reader.problem("name", "give the plan a name, such as glaze, week 9");
    }
    let (ware, cone) = (reader.choice("ware"), reader.cone("cone"));
    let mut wanted = Vec::new();
    for place in &data.places {
        let mut layers = Vec::new();
        for height in &place.heights {
            let n = reader.optional_count(&height.field, MOST).unwrap_or(0);
            layers.extend((0..n).map(|_| height.nominal));
        }
        wanted.push(Asked { place: place.name.clone(), layers });
    }
    if wanted.iter().all(|one| one.layers.is_empty()) {
        let field = data.places.first().and_then(|place| place.heights.first());
        let field = field.map_or("name", |height| height.field.as_str());
        reader.problem(field, "ask for at least one layer; a set of that height must be in the rack");
    }
    let (ware, cone) = reader.finish(ware.zip(cone))?;
    let plan = PlanId(new_id());
    let proposal =
        fill(bench, ware, cone, &wanted).map_err(|cause| vec![Problem::new("name", cause.to_string())])?;
    let stacks = proposal.stacks;
    let body = PlanSaved { plan, kiln: kiln.id, name, ware, cone, stacks };
    Ok(Submission::new(vec![body.into()], path(plan)))
}
