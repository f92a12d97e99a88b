//! `/add/posts`: twelve posts of one height.
use super::{KilnChoice, Start, chosen_kiln, kilns, last_batch, put};
use crate::code::Code;
use crate::event::{Body, PostAdded};
use crate::form::shelf::exact;
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::{LengthUnit, length, money_input};
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The page at `/add/posts`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct AddPosts {
    /// The kilns; where there is none, the page leads to the kiln's form.
    pub kilns: Vec<KilnChoice>,
    /// Every code in use.
    pub taken: Vec<Code>,
    /// The code of the post that is being corrected.
    pub correcting: Option<String>,
    /// Said where the form begins with an earlier batch.
    pub like: String,
    /// Where posts were just entered: the run that measures them.
    pub entered: Option<Link>,
}

/// The form's values for a post on record; its code, where it is to be corrected, is not among them.
#[must_use]
pub fn values_of(post: &PostAdded, unit: LengthUnit) -> Start {
    let mut start = Start::new();
    put(&mut start, "nominal", exact(post.nominal_nm, unit));
    put(&mut start, "material", post.material.key());
    put(&mut start, "section", post.section.key());
    put(&mut start, "width", exact(post.width_nm, unit));
    put(&mut start, "price", post.price_cents.map_or(String::new(), money_input));
    put(&mut start, "bought", post.bought_on.map_or(String::new(), |day| day.to_string()));
    put(&mut start, "firings", post.firings_before.to_string());
    put(&mut start, "kiln", post.kiln.to_string());
    put(&mut start, "place", &post.place);
    start
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let unit = history::unit_of(world);
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::PostAdded(post) => Some(post),
        _ => None,
    });
    let (title, like, values) = match &corrected {
        Some(post) => {
            let mut values = values_of(post, unit);
            put(&mut values, "code", post.code.as_str());
            (format!("Correct {}", post.code), String::new(), values)
        }
        None => {
            let (like, values) = start(world, request, unit);
            ("Posts like this".to_owned(), like, values)
        }
    };
    let data = AddPosts {
        kilns: kilns(world),
        taken: world.codes.keys().cloned().collect(),
        correcting: corrected.map(|post| post.code.to_string()),
        like,
        entered: run(world, request, unit),
    };
    Parts {
        title,
        subtitle: "by the height they were sold as".to_owned(),
        tab: Tab::Rack,
        data: PageData::AddPosts(data),
        form: FormState { action: "posts".to_owned(), values, problems: Vec::new() },
    }
}

/// The run that measures the posts just entered.
fn run(world: &World, request: &Request, unit: LengthUnit) -> Option<Link> {
    let entry = world.entry(request.query("done").parse().ok()?)?;
    let Body::PostAdded(post) = &entry.event.body else { return None };
    let shown = length(post.nominal_nm, unit);
    Some(Link {
        href: format!("/posts/measure?nominal={}", post.nominal_nm.0),
        text: format!("Measure the {shown} posts in a run"),
    })
}

/// The last batch's values, or a first batch's.
fn start(world: &World, request: &Request, unit: LengthUnit) -> (String, Start) {
    let last = last_batch(world, |body| matches!(body, Body::PostAdded(_)));
    let (like, mut values, last_kiln) = match last.as_ref().map(|(event, n)| (&event.body, n)) {
        Some((Body::PostAdded(post), n_batch)) => {
            let mut values = values_of(post, unit);
            put(&mut values, "count", n_batch.to_string());
            (format!("filled in as {} was", post.code), values, Some(post.kiln))
        }
        _ => {
            let mut values = Start::new();
            put(&mut values, "count", "12");
            put(&mut values, "material", "cordierite");
            put(&mut values, "section", "square");
            put(&mut values, "firings", "0");
            (String::new(), values, None)
        }
    };
    if let Some(kiln) = chosen_kiln(world, request, last_kiln) {
        put(&mut values, "kiln", kiln.to_string());
    }
    (like, values)
}
