//! `/set/CODE/part`: a set is taken apart, with the reason.
use super::find;
use crate::event::{Body, SetParted};
use crate::ids::SetId;
use crate::view::route::{Parts, Request, correcting};
use crate::view::{FormState, PageData, Tab};
use crate::world::World;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's `do` value.
pub const FORM: &str = "part";

/// The page.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetPart {
    /// The set.
    pub set: SetId,
    /// Its code.
    pub code: String,
    /// The codes of its posts, which are free afterwards.
    pub posts: Vec<String>,
    /// Whether it is apart already, so that nothing is to be done.
    pub apart: bool,
}

/// The values of the form for a parting on record.
#[must_use]
pub fn values_of(body: &SetParted) -> BTreeMap<String, Vec<String>> {
    BTreeMap::from([("reason".to_owned(), vec![body.reason.clone()])])
}

/// The page.
///
/// # Errors   What to say where there is no such set.
pub fn page(world: &World, request: &Request, code: &str) -> Result<Parts, String> {
    let set = find(world, code)?;
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::SetParted(body) => Some(body),
        _ => None,
    });
    let values = corrected.as_ref().map(values_of).unwrap_or_default();
    let posts: Vec<String> =
        set.posts.iter().filter_map(|id| world.posts.get(id)).map(|post| post.code.to_string()).collect();
    let data = SetPart {
        set: set.id,
        code: set.code.to_string(),
        apart: set.parted.is_some() && corrected.is_none(),
        posts,
    };
    let action = if values.is_empty() { "" } else { FORM };
    Ok(Parts {
        title: format!("Take {} apart", set.code),
        subtitle: data.posts.join(", "),
        tab: Tab::Rack,
        data: PageData::SetPart(data),
        form: FormState { action: action.to_owned(), values, problems: Vec::new() },
    })
}
