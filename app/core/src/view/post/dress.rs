//! `/post/CODE/dressed`: an end was rubbed flat and square.
use super::find;
use crate::event::values::{GrindMethod, Mask};
use crate::event::{Body, PostDressed};
use crate::ids::PostId;
use crate::view::remember::Bench;
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::{LengthUnit, length, length_input};
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::World;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's `do` value.
pub const FORM: &str = "dress";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PostDress {
    /// The post.
    pub post: PostId,
    /// Its code.
    pub code: String,
    /// The set it is in, with its verdict: dressing it alone spoils it.
    pub set: Option<Link>,
    /// Wet or dry, mask and minutes of the last dressing of any post.
    pub like: Option<Bench>,
}

/// The values of the form for a dressing on record.
#[must_use]
pub fn values_of(body: &PostDressed, unit: LengthUnit) -> BTreeMap<String, Vec<String>> {
    let one = |name: &str, value: String| (name.to_owned(), vec![value]);
    BTreeMap::from([
        one("removed", body.removed_nm.map_or_else(String::new, |off| length_input(off, unit))),
        one("minutes", body.minutes.map_or_else(String::new, |minutes| minutes.to_string())),
        one("method", body.method.key().to_owned()),
        one("mask", body.mask.key().to_owned()),
    ])
}

/// The page.
///
/// # Errors   What to say where there is no such post.
pub fn page(world: &World, request: &Request, code: &str) -> Result<Parts, String> {
    let post = find(world, code)?;
    let unit = history::unit_of(world);
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::PostDressed(body) => Some(body),
        _ => None,
    });
    let mut values = corrected.as_ref().map(|body| values_of(body, unit)).unwrap_or_default();
    // A match says how much comes off, and leads here with it.
    let told = request.query("removed").trim();
    if corrected.is_none() && !told.is_empty() {
        values.insert("removed".to_owned(), vec![told.to_owned()]);
    }
    let set = world.set_of(post.id).map(|set| {
        let judged = crate::judge::post_set::judge(world, set);
        Link { href: format!("/set/{}", set.code), text: format!("{}, {}", set.code, judged.said) }
    });
    let action = if values.is_empty() { "" } else { FORM };
    Ok(Parts {
        title: format!("{} dressed", post.code),
        subtitle: format!("{} post", length(post.nominal, unit)),
        tab: Tab::Rack,
        data: PageData::PostDress(PostDress {
            post: post.id,
            code: post.code.to_string(),
            set,
            like: Bench::of_dressing(world),
        }),
        form: FormState { action: action.to_owned(), values, problems: Vec::new() },
    })
}

/// How dressing begins: wet, which keeps the dust down, and the mask that dust asks for.
pub const USUAL: (GrindMethod, Mask) = (GrindMethod::Wet, Mask::Fitted);
