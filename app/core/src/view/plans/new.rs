//! `/plans/new`: which kiln, what for, and how many layers of which height in each place.
//!
//! The fields begin with what fills the chamber: the lowest posts on the floor, then the height of which there
//! are the most sets. What this does not do: choose shelves and sets; `form::plans::fill` does, and every layer
//! can be changed afterwards.
use super::bench::Bench;
use crate::event::values::Ware;
use crate::ids::SetId;
use crate::units::Length;
use crate::view::add::{KilnChoice, Start, kilns, put};
use crate::view::kiln::{draw, find};
use crate::view::route::{Parts, Request};
use crate::view::text::{count, length};
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::{Kiln, PostSet, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's name.
pub const FORM: &str = "plan";
/// A shelf's thickness while it is guessed how many layers a chamber takes. House choice: 20 mm.
const SHELF_MM: f64 = 20.0;
/// Kept free under roof or crown for the ware of the topmost shelf. House choice: 150 mm, a mug and its clearance
/// under the arch's shoulders.
const TOP_MM: f64 = 150.0;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct NewPlan {
    /// The kiln; none where it is still to be chosen.
    pub kiln: Option<KilnChoice>,
    /// The kilns to choose from.
    pub kilns: Vec<KilnChoice>,
    /// Where its inside is entered, where that comes first.
    pub inside_first: Option<Link>,
    /// What it is made from.
    pub bench: Option<Bench>,
    /// One part a place.
    pub places: Vec<PlaceAsked>,
}

/// What is asked for one place.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PlaceAsked {
    /// The place's name.
    pub name: String,
    /// One number a height, the lowest first.
    pub heights: Vec<HeightAsked>,
}

/// How many layers of one nominal height.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct HeightAsked {
    /// The field.
    pub field: String,
    /// The height.
    pub nominal: Length,
    /// "150 mm, 9 sets".
    pub said: String,
}

/// The nominal height of a set: that of its posts where they are of one.
#[must_use]
pub fn nominal_of(world: &World, set: &PostSet) -> Option<Length> {
    let mut heights = set.posts.iter().map(|id| world.posts.get(id).map(|post| post.nominal));
    let first = heights.next()??;
    heights.all(|height| height == Some(first)).then_some(first)
}

/// The sets of three of a kiln whose every post is there, by nominal height. Sets of four are put under a layer on its
/// own page.
#[must_use]
pub fn sets_by_height(world: &World, kiln: &Kiln) -> BTreeMap<Length, Vec<SetId>> {
    let mut by_height: BTreeMap<Length, Vec<SetId>> = BTreeMap::new();
    for set in world.sets_together() {
        let here =
            |id| world.posts.get(id).is_some_and(|post| post.kiln == kiln.id && post.retired.is_none());
        if set.posts.len() == 3
            && set.posts.iter().all(here)
            && let Some(nominal) = nominal_of(world, set)
        {
            by_height.entry(nominal).or_default().push(set.id);
        }
    }
    by_height
}

/// The page.
///
/// # Errors   A kiln that is not on record.
pub fn page(world: &World, request: &Request) -> Result<Parts, String> {
    let kiln = match request.query("kiln") {
        "" if world.kilns.len() == 1 => world.kilns.values().next(),
        "" => None,
        text => Some(find(world, text)?),
    };
    let mut data =
        NewPlan { kiln: None, kilns: kilns(world), inside_first: None, bench: None, places: Vec::new() };
    let mut values = Start::new();
    if let Some(kiln) = kiln {
        data.kiln = Some(KilnChoice { id: kiln.id, name: kiln.name.clone() });
        put(&mut values, "name", format!("load of {}", request.today));
        put(&mut values, "ware", Ware::Glaze.key());
        put(&mut values, "cone", kiln.usual_cone.to_string());
        match &kiln.inside {
            Some(inside) if !inside.places.is_empty() => ask(world, kiln, &mut data, &mut values),
            _ => {
                let href = format!("/kiln/{}/inside", kiln.id);
                data.inside_first = Some(Link { href, text: format!("Enter the inside of {}", kiln.name) });
            }
        }
        data.bench = Some(Bench::of(world, kiln, &[]));
    }
    let title = match kiln {
        Some(kiln) => format!("Plan a load of {}", kiln.name),
        None => "Plan a load of which kiln?".to_owned(),
    };
    Ok(Parts {
        title,
        subtitle: "layers from the floor up; nothing is loaded by planning it".to_owned(),
        tab: Tab::Rack,
        data: PageData::Plans(super::PlansPage::New(Box::new(data))),
        form: FormState { action: FORM.to_owned(), values, problems: Vec::new() },
    })
}

/// One number a place and height, with what fills the chamber.
fn ask(world: &World, kiln: &Kiln, data: &mut NewPlan, values: &mut Start) {
    let Some(inside) = &kiln.inside else { return };
    let unit = history::unit_of(world);
    let by_height = sets_by_height(world, kiln);
    let [_, _, high] = draw::sides_mm(&inside.chamber);
    let mut left: BTreeMap<Length, usize> = by_height.iter().map(|(h, sets)| (*h, sets.len())).collect();
    for (number, place) in (1..).zip(&inside.places) {
        let n_more = inside.places.len() - number;
        let suggested = suggest(&mut left, high - TOP_MM, n_more + 1);
        let mut heights = Vec::new();
        for (at, (nominal, sets)) in (1..).zip(&by_height) {
            let field = format!("count_{number}_{at}");
            let n = suggested.get(nominal).copied().unwrap_or(0);
            put(values, &field, n.to_string());
            let said = format!("{}, {}", length(*nominal, unit), count(sets.len() as u64, "set", "sets"));
            heights.push(HeightAsked { field, nominal: *nominal, said });
        }
        data.places.push(PlaceAsked { name: place.name.clone(), heights });
    }
}

/// One layer of the lowest, then of the height with the most sets, as many as the chamber and the place's share of
/// the sets allow; then of the next.
fn suggest(left: &mut BTreeMap<Length, usize>, room_mm: f64, n_places: usize) -> BTreeMap<Length, usize> {
    let mut asked: BTreeMap<Length, usize> = BTreeMap::new();
    let mut room = room_mm;
    let mut take = |nominal: Length, most: usize, left: &mut BTreeMap<Length, usize>| {
        let step = nominal.mm() + SHELF_MM;
        let Some(n_left) = left.get_mut(&nominal) else { return };
        let mut n = 0;
        while n < most && *n_left > 0 && room >= step {
            room -= step;
            *n_left -= 1;
            n += 1;
        }
        *asked.entry(nominal).or_default() += n;
    };
    if let Some(lowest) = left.keys().next().copied() {
        take(lowest, 1, left);
    }
    let mut order: Vec<(Length, usize)> = left.iter().map(|(h, n)| (*h, *n)).collect();
    order.sort_by_key(|(height, n)| (std::cmp::Reverse(*n), *height));
    for (height, n) in order {
        take(height, n.div_ceil(n_places), left);
    }
    asked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_suggested_fits_the_chamber_and_leaves_sets_for_the_other_places() {
        let mm = Length::from_mm;
        let mut left = BTreeMap::from([(mm(75.0), 5), (mm(150.0), 9), (mm(300.0), 3)]);
        // 1000 less 95 for the lowest leaves 905: five of 170 of the nine sets halved up, 55 left.
        let asked = suggest(&mut left, 1000.0, 2);
        assert_eq!(asked, BTreeMap::from([(mm(75.0), 1), (mm(150.0), 5), (mm(300.0), 0)]));
        assert_eq!(left[&mm(150.0)], 4);
    }
}
