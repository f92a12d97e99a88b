//! Reads what is done to a plan as a whole: a line overruled or no longer, a layer added on top, the plan given up.
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedSupport, PlannedWare};
use crate::event::{PlanDropped, PlanOverruled};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, Problem, Reader, Submission, no_form};
use crate::view::Page;
use crate::view::plans::one::{OnePlan, layer_path};

/// The longest reason kept. House choice: a few sentences.
const LONGEST_REASON: usize = 500;

/// One change.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &OnePlan, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let plan = data.plan.plan;
    match values.get("do") {
        "overrule" | "restore" => overruled(page, data, values),
        "add" => add(data, values),
        "drop" => Ok(Submission::new(vec![PlanDropped { plan }.into()], data.path.clone())),
        _ => Err(no_form(values)),
    }
}

fn overruled(page: &Page, data: &OnePlan, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let takes_back = values.get("do") == "restore";
    let name = reader.text("line");
    let line = data.seen.check.lines.iter().map(|(_, _, line)| line).find(|line| line.name == name);
    let line = line.filter(|line| if takes_back { !line.overruled.is_empty() } else { line.is_open });
    if line.is_none() {
        reader.problem("line", "choose a line; the check may have changed since the page was opened");
    }
    let reason = if takes_back {
        String::new()
    } else {
        let reason =
            reader.needed_text("reason", "say why it may be loaded all the same; it is kept with the firing");
        if reason.chars().count() > LONGEST_REASON {
            reader.problem("reason", format!("use at most {LONGEST_REASON} characters"));
        }
        reason
    };
    let line = reader.finish(line)?;
    let place = if line.place.is_empty() { String::new() } else { format!("{}: ", line.place) };
    let body = PlanOverruled {
        plan: data.plan.plan,
        line: line.name.clone(),
        said: format!("{place}{}", line.said),
        reason,
    };
    Ok(Submission::new(vec![body.into()], data.path.clone()))
}

/// A layer on top, laid out as the one under it, with nothing chosen.
fn add(data: &OnePlan, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let missing = || vec![Problem::new("stack", "this plan has no such stack; open it again")];
    let at = values.get("stack").parse::<usize>().ok().ok_or_else(missing)?;
    let mut plan = data.plan.clone();
    let stack = plan.stacks.get_mut(at).ok_or_else(missing)?;
    let like = stack.layers.last().cloned().unwrap_or_default();
    let number = stack.layers.len();
    stack.layers.push(alike(&like));
    let next = layer_path(plan.plan, at, number);
    Ok(Submission::new(vec![plan.into()], next))
}

/// The same places, nothing in them.
#[must_use]
pub(super) fn alike(layer: &PlannedLayer) -> PlannedLayer {
    let shelf =
        |one: &PlannedShelf| PlannedShelf { shelf: None, ware: PlannedWare::default(), ..one.clone() };
    let support = |one: &PlannedSupport| PlannedSupport {
        posts: Vec::new(),
        shim_nm: crate::units::Length::ZERO,
        wad_nm: crate::units::Length::ZERO,
        ..one.clone()
    };
    PlannedLayer {
        set: None,
        supports: layer.supports.iter().map(support).collect(),
        shelves: layer.shelves.iter().map(shelf).collect(),
    }
}
