//! Reads a tick of the loading sheet: one layer stands in the kiln, or no longer.
use crate::event::PlanTicked;
use crate::form::{FormValues, Problem, Submission, no_form};
use crate::view::Page;
use crate::view::plans::sheet::Sheet;

/// One tick, and back to the sheet.
///
/// # Errors   A layer that the sheet does not have.
pub fn read(page: &Page, data: &Sheet, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "tick" {
        return Err(no_form(values));
    }
    let place = values.get("place");
    let number = values.get("layer").parse::<u32>().ok();
    let layer = data
        .stacks
        .iter()
        .filter(|stack| stack.place == place)
        .flat_map(|stack| &stack.layers)
        .find(|layer| Some(layer.number) == number);
    let layer =
        layer.ok_or_else(|| vec![Problem::new("layer", "this sheet has no such layer; open it again")])?;
    let loaded = values.get("loaded") == "yes";
    let body = PlanTicked { plan: data.plan, place: place.to_owned(), layer: layer.number, loaded };
    Ok(Submission::new(vec![body.into()], page.path.clone()))
}
