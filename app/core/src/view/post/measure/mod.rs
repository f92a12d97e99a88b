//! `/post/CODE/measure` and `/posts/measure`: one post, or many in a run.
//!
//! A run takes those that have no height first, then those whose reading is oldest, so that a post just
//! measured goes to the end by itself. The address carries what the user chose: `nominal`, `kiln` or `set`,
//! `with` (the instrument), `at` (the post whose turn it is), `left` (how many are still to come), `all`.
use super::{find, nominal_of};
use crate::event::Body;
use crate::event::values::Instrument;
use crate::form::quantity::Feelers;
use crate::ids::{KilnId, PostId};
use crate::units::Length;
use crate::view::route::{Parts, Request, correcting};
use crate::view::text::{self, LengthUnit, length, length_input};
use crate::view::{FormState, Link, PageData, Tab, history};
use crate::world::{Post, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's `do` value.
pub const FORM: &str = "measure";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PostMeasure {
    /// The post whose turn it is; in a list of all, every one of the run.
    pub posts: Vec<MeasurePost>,
    /// Whether each post has a field of its own.
    pub all: bool,
    /// The instrument to begin with, by its stored name.
    pub instrument: String,
    /// The thickness of household feelers, which may be typed.
    pub feelers: Feelers,
    /// The run, where it is one.
    pub run: Option<Run>,
    /// Where to go when it is recorded; `with` in it is the instrument to begin with.
    pub next: String,
    /// Where to go when the last entry is taken back: its post comes first again.
    pub after_undo: String,
}

/// One post to be measured.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct MeasurePost {
    /// The post.
    pub post: PostId,
    /// Its code.
    pub code: String,
    /// The height it was sold as.
    pub nominal: Length,
    /// Its height as last read, where that still holds.
    pub last: Option<Length>,
    /// The last reading in words: "149.6 mm by caliper on 2026-03-01"; "never measured".
    pub last_said: String,
}

/// A run through many posts.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Run {
    /// "the 150 mm posts of big gas", "set K03".
    pub of: String,
    /// How many are still to come, this one included.
    pub left: u32,
    /// Passes this post over.
    pub skip: Option<Link>,
    /// The same run as a list with a field for each; or back to one at a time.
    pub other: Link,
    /// What choosing an instrument keeps of the address.
    pub keeps: Vec<(String, String)>,
}

/// The values of the form for a reading on record.
#[must_use]
pub fn values_of(body: &crate::event::PostMeasured) -> BTreeMap<String, Vec<String>> {
    let one = |name: &str, value: &str| (name.to_owned(), vec![value.to_owned()]);
    let square = body.out_of_square.as_ref().map_or("", |typed| typed.text.as_str());
    BTreeMap::from([
        one("height", &body.height.text),
        one("square", square),
        one("instrument", body.instrument.key()),
    ])
}

/// `/post/CODE/measure`
///
/// # Errors   What to say where there is no such post.
pub fn one(world: &World, request: &Request, code: &str) -> Result<Parts, String> {
    let post = find(world, code)?;
    let corrected = correcting(world, request).and_then(|c| match c.body {
        Body::PostMeasured(body) => Some(body),
        _ => None,
    });
    let values = corrected.as_ref().map(values_of).unwrap_or_default();
    let data = PostMeasure {
        posts: vec![to_measure(world, post)],
        all: false,
        instrument: instrument(world, request, &[post]).key().to_owned(),
        feelers: Feelers::of(&world.settings),
        run: None,
        next: format!("/post/{}", post.code),
        after_undo: request.path.clone(),
    };
    let action = if values.is_empty() { "" } else { FORM };
    Ok(Parts {
        title: if corrected.is_some() {
            format!("Correct {}", post.code)
        } else {
            format!("Measure {}", post.code)
        },
        subtitle: format!("{} post", length(post.nominal, history::unit_of(world))),
        tab: Tab::Rack,
        data: PageData::PostMeasure(data),
        form: FormState { action: action.to_owned(), values, problems: Vec::new() },
    })
}

/// `/posts/measure`
///
/// # Errors   What to say where the address names no posts.
pub fn run(world: &World, request: &Request) -> Result<Parts, String> {
    let (of, posts) = chosen(world, request)?;
    let at = posts.iter().position(|post| post.code.as_str() == request.query("at")).unwrap_or(0);
    let current = posts.get(at).copied().ok_or_else(|| format!("there are no posts to measure: {of}"))?;
    let all = !request.query("all").is_empty();
    let following = posts.get(at + 1).copied();
    let count = u32::try_from(posts.len()).unwrap_or(u32::MAX);
    let left = request.query("left").parse::<u32>().unwrap_or(count).clamp(1, count);
    let with = instrument(world, request, &posts).key().to_owned();
    let keeps = keeps(request);
    let step = |post: &Post| {
        address(&keeps, &[("with", &with), ("at", post.code.as_str()), ("left", &(left - 1).to_string())])
    };
    let on = following.filter(|_| left > 1);
    let home = home_of(request, current);
    let other = if all {
        Link { href: address(&keeps, &[("with", &with)]), text: "One at a time".to_owned() }
    } else {
        Link { href: address(&keeps, &[("with", &with), ("all", "1")]), text: "All in one list".to_owned() }
    };
    let shown = if all { posts.clone() } else { vec![current] };
    let skip = on.map(|post| Link { href: step(post), text: format!("Pass over {}", current.code) });
    let next = on.filter(|_| !all).map_or(home, step);
    let again = (left + 1).min(count).to_string();
    let after_undo = address(&keeps, &[("with", &with), ("left", &again)]);
    let title = if all { "Measure posts".to_owned() } else { format!("Measure {}", current.code) };
    let data = PostMeasure {
        posts: shown.into_iter().map(|post| to_measure(world, post)).collect(),
        all,
        instrument: with,
        feelers: Feelers::of(&world.settings),
        run: Some(Run { of: of.clone(), left, skip, other, keeps }),
        next,
        after_undo,
    };
    Ok(Parts {
        title,
        subtitle: of,
        tab: Tab::Rack,
        data: PageData::PostMeasure(data),
        form: FormState::default(),
    })
}

/// The posts that the address names, in the order of the run, and what to call them.
fn chosen<'a>(world: &'a World, request: &Request) -> Result<(String, Vec<&'a Post>), String> {
    let unit = history::unit_of(world);
    let (of, mut posts): (String, Vec<&Post>) = if request.query("set").is_empty() {
        let nominal = nominal_of(request.query("nominal"));
        let kiln = request.query("kiln").parse::<KilnId>().ok().and_then(|id| world.kilns.get(&id));
        let posts = world
            .posts_in_service()
            .filter(|post| nominal.is_none_or(|nominal| post.nominal == nominal))
            .filter(|post| kiln.is_none_or(|kiln| post.kiln == kiln.id));
        let height = nominal.map_or_else(String::new, |nominal| format!("{} ", length(nominal, unit)));
        let whose = kiln.map_or_else(String::new, |kiln| format!(" of {}", kiln.name));
        (format!("the {height}posts{whose}"), posts.collect())
    } else {
        let set = crate::view::set::find(world, request.query("set"))?;
        let posts =
            set.posts.iter().filter_map(|id| world.posts.get(id)).filter(|post| post.retired.is_none());
        (format!("set {}", set.code), posts.collect())
    };
    posts.sort_by_key(|post| {
        let holds = post.height_reading().map(|reading| reading.stamp.at);
        (holds, post.code.clone())
    });
    Ok((of, posts))
}

fn to_measure(world: &World, post: &Post) -> MeasurePost {
    let unit = history::unit_of(world);
    let last_said = match post.last_reading() {
        None => "never measured".to_owned(),
        Some(last) => {
            let since = if last.stale { ", dressed since" } else { "" };
            let (height, day) = (length(last.height, unit), text::day(last.stamp.at));
            format!("{height} by {} on {day}{since}", last.instrument.said())
        }
    };
    MeasurePost {
        post: post.id,
        code: post.code.to_string(),
        nominal: post.nominal,
        last: post.height_reading().map(|reading| reading.height),
        last_said,
    }
}

/// The instrument chosen in this run, or the one that was last used on any of these posts, or a caliper.
fn instrument(world: &World, request: &Request, posts: &[&Post]) -> Instrument {
    let newest = |posts: &mut dyn Iterator<Item = &Post>| {
        posts
            .filter_map(Post::last_reading)
            .max_by_key(|reading| reading.stamp.at)
            .map(|reading| reading.instrument)
    };
    Instrument::from_key(request.query("with"))
        .or_else(|| newest(&mut posts.iter().copied()))
        .or_else(|| newest(&mut world.posts.values()))
        .unwrap_or(Instrument::Caliper)
}

/// What of the address says which posts the run is of.
fn keeps(request: &Request) -> Vec<(String, String)> {
    ["nominal", "kiln", "set"]
        .into_iter()
        .filter(|name| !request.query(name).is_empty())
        .map(|name| (name.to_owned(), request.query(name).to_owned()))
        .collect()
}

fn address(keeps: &[(String, String)], more: &[(&str, &str)]) -> String {
    let kept = keeps.iter().map(|(name, value)| format!("{name}={}", value.replace(' ', "+")));
    let more = more.iter().map(|(name, value)| format!("{name}={value}"));
    format!("/posts/measure?{}", kept.chain(more).collect::<Vec<_>>().join("&"))
}

/// Where a run ends.
fn home_of(request: &Request, post: &Post) -> String {
    match request.query("set") {
        "" => format!("/posts?nominal={}", post.nominal.0),
        set => format!("/set/{set}"),
    }
}

/// A height as it would be typed, for a hint.
#[must_use]
pub fn example(post: &MeasurePost, unit: LengthUnit) -> String {
    length_input(post.last.unwrap_or(post.nominal), unit)
}

#[cfg(test)]
mod tests;
