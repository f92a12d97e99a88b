//! `/add/kiln`: a kiln's name, fuel and usual cone.
use super::{Start, put};
use crate::event::{Body, KilnAdded};
use crate::view::route::{Parts, Request, correcting};
use crate::view::{FormState, PageData, Tab};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The page at `/add/kiln`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct AddKiln {
    /// The names of the kilns on record: a new one must differ.
    pub names: Vec<String>,
}

/// What the form begins with: the values of a kiln on record, or those of a first kiln.
#[must_use]
pub fn values_of(kiln: &KilnAdded) -> Start {
    let mut start = Start::new();
    put(&mut start, "name", &kiln.name);
    put(&mut start, "fuel", kiln.fuel.key());
    put(&mut start, "cone", kiln.usual_cone.to_string());
    start
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let correcting = correcting(world, request);
    let (title, values) = match correcting.as_ref().map(|c| &c.body) {
        Some(Body::KilnAdded(kiln)) => (format!("Correct {}", kiln.name), values_of(kiln)),
        _ => ("A kiln".to_owned(), Start::new()),
    };
    Parts {
        title,
        subtitle: "its racks hold shelves and posts".to_owned(),
        tab: Tab::More,
        data: PageData::AddKiln(AddKiln {
            names: world.kilns.values().map(|kiln| kiln.name.clone()).collect(),
        }),
        form: FormState { action: "kiln".to_owned(), values, problems: Vec::new() },
    }
}
