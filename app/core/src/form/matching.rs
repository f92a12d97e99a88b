//! Makes the sets that a match proposed: all new ones of one height, or those ticked for a load.
use super::{FormValues, NewId, Problem, Submission, no_form};
use crate::event::{Body, SetMade};
use crate::ids::SetId;
use crate::units::Length;
use crate::view::Page;
use crate::view::matching::shown::{MadeSet, SetShown};
use crate::view::matching::{Answer, FORM, Match, Proposal, load};

/// One event a new set that needs no grinding first; present sets that lose a post come apart by it.
///
/// # Errors   Where the page proposes none.
pub fn read(
    page: &Page,
    data: &Match,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") == load::FORM {
        return read_load(data, values, new_id);
    }
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

/// One event a ticked set; present sets that lose a post come apart by it.
fn read_load(data: &Match, values: &FormValues, new_id: NewId<'_>) -> Result<Submission, Vec<Problem>> {
    let Some(answer) = data.load.as_ref().and_then(|load| load.answer.as_ref()) else {
        return Err(no_form(values));
    };
    let new: Vec<(&SetShown, &MadeSet)> = answer
        .heights
        .iter()
        .flat_map(|height| &height.sets)
        .filter_map(|set| set.made.as_ref().map(|made| (set, made)))
        .collect();
    let ticked = |set: &SetShown| values.get(&set.field());
    let known = |name: &String| new.iter().any(|(set, _)| set.field() == *name);
    let strange = values.0.keys().any(|name| name.starts_with("set_") && !known(name));
    let changed = |(set, made): &(&SetShown, &MadeSet)| !ticked(set).is_empty() && ticked(set) != made.token;
    if strange || new.iter().any(changed) {
        let said = "the posts have changed since this page was shown; look at the sets again, then make them";
        return Err(vec![Problem::new("sets", said)]);
    }
    let chosen = new.into_iter().filter(|(set, _)| !ticked(set).is_empty());
    let bodies: Vec<Body> = chosen
        .map(|(set, made)| {
            let (code, posts) = (set.code.clone(), made.posts.clone());
            SetMade { set: SetId(new_id()), code, posts, shelf: made.shelf, inset_nm: made.inset }.into()
        })
        .collect();
    if bodies.is_empty() {
        return Err(vec![Problem::new("sets", "tick at least one set to make")]);
    }
    Ok(Submission::new(bodies, answer.here.clone()))
}

fn made(set: &Proposal, inset_nm: Length, new_id: NewId<'_>) -> Body {
    let posts = set.posts.iter().map(|(id, _)| *id).collect();
    SetMade { set: SetId(new_id()), code: set.code.clone(), posts, shelf: None, inset_nm }.into()
}
