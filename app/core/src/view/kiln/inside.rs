//! `/kiln/ID/inside`: the chamber, the places for stacks and what is kept clear, as fields.
//!
//! A button lays out places for shelves of a size: a plain GET that fills the rows and records nothing. What this
//! does not do: read the form; `form::kiln` does, also for that button.
use super::{about, find};
use crate::event::plan::{Chamber, KeepOut, StackPlace};
use crate::event::values::{Choice, KeepOutKind};
use crate::form::{FormValues, kiln};
use crate::ids::KilnId;
use crate::view::add::{Start, put};
use crate::view::route::{Parts, Request};
use crate::view::text::{LengthUnit, length, length_input};
use crate::view::{FormState, PageData, Tab, history};
use crate::world::{KilnInside, World};
use serde::{Deserialize, Serialize};

/// The form's name.
pub const FORM: &str = "inside";
/// Blank rows offered beside those that are filled. House choice: a kiln seldom has more news than that at once,
/// and saving offers as many again.
const BLANK_ROWS: usize = 2;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Inside {
    /// The kiln.
    pub kiln: KilnId,
    /// Its page.
    pub back: String,
    /// Rows of places, the blank ones counted.
    pub n_places: usize,
    /// Rows of parts to keep clear of, the blank ones counted.
    pub n_keep_outs: usize,
    /// "bag wall 115 mm, flue 50 mm, ...": the usual distances.
    pub usual: String,
}

/// The three forms a chamber has in this form.
pub const FORMS: [(&str, &str); 3] = [("box", "box"), ("cylinder", "round"), ("arched", "arched")];

/// The page.
///
/// # Errors   A kiln that is not on record.
pub fn page(world: &World, request: &Request, text: &str) -> Result<Parts, String> {
    let one = find(world, text)?;
    let unit = history::unit_of(world);
    let mut form = FormState { action: FORM.to_owned(), ..FormState::default() };
    if let Some(inside) = &one.inside {
        form.values = values_of(inside, unit);
    } else {
        put(&mut form.values, "form", "box");
    }
    if request.query("then") == "lay_out" {
        let pairs = request.query.iter().map(|(name, value)| (name.clone(), value.clone()));
        let asked = FormValues::from_pairs(pairs);
        form.values = asked.0.clone();
        match kiln::laid_out(&asked, unit) {
            Ok(places) => {
                form.values.retain(|name, _| !name.starts_with("place_"));
                put_places(&mut form.values, &places, unit);
            }
            Err(problems) => form.problems = problems,
        }
    }
    let usual = KeepOutKind::all()
        .iter()
        .map(|kind| format!("{} {}", kind.said(), length(world.settings.clearance(*kind), unit)));
    let data = Inside {
        kiln: one.id,
        back: format!("/kiln/{}", one.id),
        n_places: n_rows(&form.values, "place_", "_name") + BLANK_ROWS,
        n_keep_outs: n_rows(&form.values, "keep_", "_kind") + BLANK_ROWS,
        usual: usual.collect::<Vec<_>>().join(", "),
    };
    Ok(Parts {
        title: format!("Inside {}", one.name),
        subtitle: about(one),
        tab: Tab::Rack,
        data: PageData::KilnInside(data),
        form,
    })
}

/// How many rows are filled: the highest number of a row that says something.
fn n_rows(values: &Start, before: &str, after: &str) -> usize {
    let number = |name: &String| name.strip_prefix(before)?.strip_suffix(after)?.parse::<usize>().ok();
    let filled = values.iter().filter(|(_, typed)| typed.iter().any(|text| !text.is_empty()));
    filled.filter_map(|(name, _)| number(name)).max().unwrap_or(0)
}

/// A chamber as it would be typed.
#[must_use]
pub fn values_of(inside: &KilnInside, unit: LengthUnit) -> Start {
    let mut start = Start::new();
    let (form, sizes) = match inside.chamber {
        Chamber::Box { width_nm, depth_nm, height_nm } => {
            ("box", vec![("width", width_nm), ("depth", depth_nm), ("height", height_nm)])
        }
        Chamber::Cylinder { diameter_nm, height_nm } => {
            ("cylinder", vec![("diameter", diameter_nm), ("height", height_nm)])
        }
        Chamber::Arched { width_nm, depth_nm, height_nm, spring_nm } => (
            "arched",
            vec![("width", width_nm), ("depth", depth_nm), ("height", height_nm), ("spring", spring_nm)],
        ),
    };
    put(&mut start, "form", form);
    for (name, size) in sizes {
        put(&mut start, name, length_input(size, unit));
    }
    put_places(&mut start, &inside.places, unit);
    for (number, one) in (1..).zip(&inside.keep_outs) {
        put_keep_out(&mut start, number, one, unit);
    }
    start
}

fn put_places(start: &mut Start, places: &[StackPlace], unit: LengthUnit) {
    for (number, one) in (1..).zip(places) {
        put(start, &format!("place_{number}_name"), one.name.clone());
        let sizes = [("x", one.at.x_nm), ("y", one.at.y_nm), ("l", one.length_nm), ("w", one.width_nm)];
        for (what, size) in sizes {
            put(start, &format!("place_{number}_{what}"), length_input(size, unit));
        }
    }
}

fn put_keep_out(start: &mut Start, number: usize, one: &KeepOut, unit: LengthUnit) {
    put(start, &format!("keep_{number}_kind"), one.kind.key());
    let sizes = [
        ("x", Some(one.at.x_nm)),
        ("y", Some(one.at.y_nm)),
        ("l", Some(one.length_nm)),
        ("w", Some(one.width_nm)),
        ("from", Some(one.from_nm)),
        ("to", Some(one.to_nm)),
        ("clear", one.clearance_nm),
    ];
    for (what, size) in sizes {
        let typed = size.map_or_else(String::new, |size| length_input(size, unit));
        put(start, &format!("keep_{number}_{what}"), typed);
    }
}
