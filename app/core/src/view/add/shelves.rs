//! `/add/shelves`: ten shelves like this.
use super::{KilnChoice, Start, chosen_kiln, kilns, last_batch, put};
use crate::code::Code;
use crate::event::{Body, ShelfAdded};
use crate::form::shelf::exact;
use crate::outline::Outline;
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::{LengthUnit, money_input};
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The page at `/add/shelves`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct AddShelves {
    /// The kilns; where there is none, the page leads to the kiln's form.
    pub kilns: Vec<KilnChoice>,
    /// Every code in use.
    pub taken: Vec<Code>,
    /// The code of the shelf that is being corrected.
    pub correcting: Option<String>,
    /// Said where the form begins with an earlier batch: "as the last ones, F01 to F10".
    pub like: String,
    /// Where shelves were just entered: the posts of their kiln.
    pub entered: Option<Link>,
}

/// The form's values for a shelf on record; its code, where it is to be corrected, is not among them.
#[must_use]
pub fn values_of(shelf: &ShelfAdded, unit: LengthUnit) -> Start {
    let mut start = Start::new();
    put(&mut start, "material", shelf.material.key());
    match shelf.outline {
        Outline::Rectangle { length_nm, width_nm } => {
            put(&mut start, "shape", "rectangle");
            put(&mut start, "length", exact(length_nm, unit));
            put(&mut start, "width", exact(width_nm, unit));
        }
        Outline::Round { diameter_nm } => {
            put(&mut start, "shape", "round");
            put(&mut start, "diameter", exact(diameter_nm, unit));
        }
        Outline::HalfRound { diameter_nm } => {
            put(&mut start, "shape", "half_round");
            put(&mut start, "diameter", exact(diameter_nm, unit));
        }
    }
    put(&mut start, "thickness", exact(shelf.thickness_nm, unit));
    put(&mut start, "price", shelf.price_cents.map_or(String::new(), money_input));
    put(&mut start, "bought", shelf.bought_on.map_or(String::new(), |day| day.to_string()));
    put(&mut start, "firings", shelf.firings_before.to_string());
    put(&mut start, "kiln", shelf.kiln.to_string());
    put(&mut start, "place", &shelf.place);
    put(&mut start, "graded", shelf.graded.map_or("", |fit_for| fit_for.key()));
    start
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let unit = history::unit_of(world);
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::ShelfAdded(shelf) => Some(shelf),
        _ => None,
    });
    let (title, like, values) = match &corrected {
        Some(shelf) => {
            let mut values = values_of(shelf, unit);
            put(&mut values, "code", shelf.code.as_str());
            (format!("Correct {}", shelf.code), String::new(), values)
        }
        None => {
            let (like, values) = start(world, request, unit);
            ("Shelves like this".to_owned(), like, values)
        }
    };
    let data = AddShelves {
        kilns: kilns(world),
        taken: world.codes.keys().cloned().collect(),
        correcting: corrected.map(|shelf| shelf.code.to_string()),
        like,
        entered: entered(world, request),
    };
    Parts {
        title,
        subtitle: "from the invoice and by eye; nothing is measured yet".to_owned(),
        tab: Tab::Rack,
        data: PageData::AddShelves(data),
        form: FormState { action: "shelves".to_owned(), values, problems: Vec::new() },
    }
}

/// The way on to the posts, where the page follows a batch of shelves.
fn entered(world: &World, request: &Request) -> Option<Link> {
    let entry = world.entry(request.query("done").parse().ok()?)?;
    let Body::ShelfAdded(shelf) = &entry.event.body else { return None };
    Some(Link { href: format!("/add/posts?kiln={}", shelf.kiln), text: "Now the posts".to_owned() })
}

/// The last batch's values, or a first batch's.
fn start(world: &World, request: &Request, unit: LengthUnit) -> (String, Start) {
    let last = last_batch(world, |body| matches!(body, Body::ShelfAdded(_)));
    let (like, mut values, last_kiln) = match last.as_ref().map(|(event, n)| (&event.body, n)) {
        Some((Body::ShelfAdded(shelf), n_batch)) => {
            let mut values = values_of(shelf, unit);
            put(&mut values, "count", n_batch.to_string());
            (format!("filled in as {} was", shelf.code), values, Some(shelf.kiln))
        }
        _ => {
            let mut values = Start::new();
            put(&mut values, "count", "10");
            put(&mut values, "material", "cordierite");
            put(&mut values, "shape", "rectangle");
            put(&mut values, "firings", "0");
            (String::new(), values, None)
        }
    };
    if let Some(kiln) = chosen_kiln(world, request, last_kiln) {
        put(&mut values, "kiln", kiln.to_string());
    }
    (like, values)
}
