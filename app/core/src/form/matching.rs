//! Makes the sets that a match proposed.
use super::{FormValues, NewId, Problem, Submission, no_form};
use crate::event::{Body, SetMade};
use crate::ids::SetId;
use crate::units::Length;
use crate::view::Page;
use crate::view::matching::{Answer, FORM, Match, Proposal};

/// One event a new set that needs no grinding first; present sets that lose a post come apart by it.
///
/// # Errors   Where the page proposes none.
pub fn read(
    page: &Page,
    data: &Match,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let shown = data.answer.as_ref().map(Answer::shown).unwrap_or_default();
    if !shown.is_empty() && values.get("shown") != shown {
        let said = "the posts have changed since this page was shown; look at the sets again, then make them";
        return Err(vec![Problem::new("do", said)]);
    }
    let sets = data.answer.iter().flat_map(|answer| &answer.sets).filter(|set| set.is_made_now());
    let inset_nm = data.inset;
    let bodies: Vec<Body> = sets.map(|set| made(set, inset_nm, new_id)).collect();
    if bodies.is_empty() {
        return Err(vec![Problem::new("do", "there is no new set here that can be made now")]);
    }
    let nominal = data.asked.as_ref().map_or(0, |asked| asked.nominal.0);
    Ok(Submission::new(bodies, format!("{}?nominal={nominal}", page.path)))
}

fn made(set: &Proposal, inset_nm: Length, new_id: NewId<'_>) -> Body {
    let posts = set.posts.iter().map(|(id, _)| *id).collect();
    SetMade { set: SetId(new_id()), code: set.code.clone(), posts, shelf: None, inset_nm }.into()
}
