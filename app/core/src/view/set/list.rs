//! `/sets`: every set with its verdict, the gravest first.
use super::card::gravity;
use crate::judge::post_set;
use crate::view::history::unit_of;
use crate::view::post::list::set_row;
use crate::view::post::nominals;
use crate::view::route::Parts;
use crate::view::text::{count, day, length};
use crate::view::{FormState, Link, PageData, Row, Tab};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The list.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetList {
    /// Those that are together.
    pub together: Vec<Row>,
    /// Those that were taken apart, the newest first.
    pub parted: Vec<Row>,
    /// A new set, by nominal height.
    pub new: Vec<Link>,
}

/// The list.
#[must_use]
pub fn page(world: &World) -> Parts {
    let unit = unit_of(world);
    let row = |set: &crate::world::PostSet| set_row(set.code.as_str(), &post_set::judge(world, set));
    let mut together: Vec<Row> = world.sets_together().map(row).collect();
    together.sort_by(|a, b| gravity(&a.mark).cmp(&gravity(&b.mark)).then_with(|| a.code.cmp(&b.code)));
    let mut parted: Vec<_> =
        world.sets.values().filter_map(|set| set.parted.as_ref().map(|p| (p, set))).collect();
    parted.sort_by_key(|((stamp, _), set)| (std::cmp::Reverse(stamp.at), set.code.clone()));
    let parted = parted.into_iter().map(|((stamp, reason), set)| {
        let mut row = row(set);
        row.said = format!("taken apart on {}", day(stamp.at));
        row.more = reason.clone();
        row
    });
    let parted: Vec<Row> = parted.collect();
    let new = nominals(world).into_iter().map(|nominal| Link {
        href: format!("/sets/new?nominal={}", nominal.0),
        text: length(nominal, unit),
    });
    let n = together.len() as u64;
    Parts {
        title: "Sets".to_owned(),
        subtitle: count(n, "set", "sets"),
        tab: Tab::Rack,
        data: PageData::SetList(SetList { together, parted, new: new.collect() }),
        form: FormState::default(),
    }
}
