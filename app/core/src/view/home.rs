//! The first page: what stands between now and the next load, or what to do first.
//!
//! One line a piece, with the gravest finding and its fix; the gravest lines first. What is only unknown
//! (posts never measured) is one line a height, since it is one job at the bench.
use super::route::{Parts, Request};
use super::text::{self, count, length};
use super::{FormState, Mark, PageData, Row, Shape, Tab};
use crate::ids::KilnId;
use crate::judge::stack::PlateCache;
use crate::judge::{Finding, post, post_set, shelf};
use crate::units::Length;
use crate::world::{LoadPlan, Post, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The most lines shown. House choice: three screens of a phone; the rack has them all.
const MOST: usize = 30;

/// The first page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Home {
    /// What is to be done first, where the stock is not entered yet.
    pub begin: Option<Begin>,
    /// One sentence: "3 things stand between you and the next load".
    pub sentence: String,
    /// One line a thing, the gravest first.
    pub jobs: Vec<Row>,
    /// What more there is: "and 12 more in the rack"; may be empty.
    pub more: String,
}

/// How far the stock is entered.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Begin {
    /// Nothing is on record.
    Kiln,
    /// A kiln is.
    Shelves,
    /// A kiln and shelves are.
    Posts,
}

/// The page at `/`.
#[must_use]
pub fn page(world: &World, _request: &Request) -> Parts {
    let shelves = world.shelves_in_service().count();
    let posts = world.posts_in_service().count();
    let begin = match (world.kilns.is_empty(), shelves, posts) {
        (true, _, _) => Some(Begin::Kiln),
        (false, 0, 0) => Some(Begin::Shelves),
        (false, _, 0) => Some(Begin::Posts),
        _ => None,
    };
    let mut jobs = jobs(world);
    let n_jobs = jobs.len();
    jobs.truncate(MOST);
    let more = match n_jobs - jobs.len() {
        0 => String::new(),
        more => format!("and {more} more in the rack"),
    };
    Parts {
        title: "Next load".to_owned(),
        subtitle: format!(
            "{}, {}",
            count(shelves as u64, "shelf", "shelves"),
            count(posts as u64, "post", "posts")
        ),
        tab: Tab::NextLoad,
        data: PageData::Home(Home { begin, sentence: sentence(n_jobs), jobs, more }),
        form: FormState::default(),
    }
}

fn sentence(n_jobs: usize) -> String {
    match n_jobs {
        0 => "Nothing on record stands between you and the next load. Look at the pieces all the same."
            .to_owned(),
        1 => "1 thing stands between you and the next load.".to_owned(),
        n => format!("{n} things stand between you and the next load."),
    }
}

/// Every piece that something was found at, the gravest first; sets before shelves before posts.
#[must_use]
pub fn jobs(world: &World) -> Vec<Row> {
    let mut rows = Vec::new();
    for set in world.sets_together() {
        let judged = post_set::judge(world, set);
        rows.extend(row(format!("/set/{}", set.code), set.code.to_string(), judged.mark, &judged.findings));
    }
    for one in world.shelves_in_service() {
        let judged = shelf::judge(world, one);
        rows.extend(row(format!("/shelf/{}", one.code), one.code.to_string(), judged.mark, &judged.findings));
    }
    let mut unmeasured: BTreeMap<Length, Vec<&Post>> = BTreeMap::new();
    for one in world.posts_in_service() {
        // The set's own line speaks of the set.
        let judged = post::judge_in(world, one, None);
        if judged.mark.shape == Shape::Unknown {
            unmeasured.entry(one.nominal).or_default().push(one);
        } else {
            rows.extend(row(
                format!("/post/{}", one.code),
                one.code.to_string(),
                judged.mark,
                &judged.findings,
            ));
        }
    }
    rows.extend(plans(world));
    rows.sort_by_key(|row| std::cmp::Reverse(row.mark.shape));
    rows.extend(unmeasured.into_iter().map(|(nominal, posts)| run_row(world, nominal, &posts)));
    rows
}

/// One line for each kiln's newest plan, where its check says do not load.
fn plans(world: &World) -> Vec<Row> {
    let mut newest: BTreeMap<KilnId, &LoadPlan> = BTreeMap::new();
    for plan in world.plans.values().filter(|plan| super::plans::list::is_open(plan)) {
        let known = newest.entry(plan.kiln).or_insert(plan);
        if plan.saved.at > known.saved.at {
            *known = plan;
        }
    }
    let mut cache = PlateCache::default();
    let rows = newest.into_values().map(|plan| super::plans::list::row(world, plan, &mut cache));
    rows.filter(|row| row.mark.shape == Shape::Stop)
        .map(|row| Row { code: format!("Plan {}", row.code), more: "open the plan".to_owned(), ..row })
        .collect()
}

/// One line for a piece that something was found at; none for one that passes, or is only not known yet
/// without a fix.
fn row(href: String, code: String, mark: Mark, findings: &[Finding]) -> Option<Row> {
    let worst = findings.first()?;
    let told = match mark.shape {
        Shape::Look | Shape::Stop => true,
        Shape::Unknown => !worst.fix.is_empty(),
        Shape::Plain | Shape::Gone => false,
    };
    told.then(|| Row { href, code, said: text::sentence(&worst.said), more: worst.fix.clone(), mark })
}

/// One line for all posts of a height that want measuring.
fn run_row(world: &World, nominal: Length, posts: &[&Post]) -> Row {
    let unit = super::history::unit_of(world);
    let codes: Vec<&str> = posts.iter().take(3).map(|post| post.code.as_str()).collect();
    let others = match posts.len() - codes.len() {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    let said = format!("{}{others}: no height on record that holds", codes.join(", "));
    Row {
        href: format!("/posts/measure?nominal={}", text::length_input(nominal, unit).replace(' ', "+")),
        code: length(nominal, unit),
        said,
        more: "measure them in one run".to_owned(),
        mark: Mark::new(Shape::Unknown, "not known"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::samples;
    use crate::record::Record;

    fn world(until: &str) -> World {
        let events = samples::events();
        let stop = events.iter().position(|event| event.body.kind() == until).unwrap_or(events.len());
        let records: Vec<Record> = events[..stop].iter().filter_map(|event| event.write().ok()).collect();
        World::fold(&records).0
    }

    #[test]
    fn a_wet_shelf_stands_in_the_way_and_says_what_mends_it() {
        let jobs = jobs(&world("piece_released"));
        let wet = jobs.iter().find(|row| row.code == "F07");
        assert!(wet.is_some_and(|row| row.mark.shape == Shape::Stop && !row.more.is_empty()), "{jobs:?}");
    }

    #[test]
    fn posts_never_measured_are_one_line() {
        let jobs = jobs(&world("shelf_graded"));
        let run: Vec<&Row> = jobs.iter().filter(|row| row.href.starts_with("/posts/measure")).collect();
        assert_eq!(run.len(), 1, "{jobs:?}");
        assert_eq!(run[0].said, "P01, P02, P03: no height on record that holds");
    }

    #[test]
    fn the_gravest_come_first() {
        let shapes: Vec<Shape> = jobs(&world("piece_released")).iter().map(|row| row.mark.shape).collect();
        assert!(shapes.windows(2).all(|pair| pair[0] >= pair[1]), "{shapes:?}");
    }
}
