//! `/posts`: every post by nominal height, with its comb.
use super::card::list_row;
use super::{nominal_of, nominals};
use crate::ids::SetId;
use crate::judge::post_set::{self, SetJudgement};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::comb::{self, Comb, Group, Tooth};
use crate::view::history::unit_of;
use crate::view::route::{Parts, Request};
use crate::view::text::{count, length};
use crate::view::{FormState, Link, Mark, PageData, Row, Shape, Tab};
use crate::world::{Kiln, Post, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The list.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PostList {
    /// The nominal heights, each a link to its own list; the chosen one is marked.
    pub heights: Vec<(Link, bool)>,
    /// What is shown: one nominal height after the other.
    pub groups: Vec<NominalGroup>,
    /// Those that were set aside.
    pub retired: Vec<Row>,
}

/// The posts of one nominal height.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct NominalGroup {
    /// "150 mm".
    pub title: String,
    /// "12 posts, 3 not measured, 2 sets".
    pub said: String,
    /// The drawing.
    pub comb: Option<Comb>,
    /// Measure them in a run, kiln by kiln where there are several.
    pub measure: Vec<Link>,
    /// Put a set together.
    pub new_set: Link,
    /// The sets of this height.
    pub sets: Vec<Row>,
    /// The posts.
    pub posts: Vec<Row>,
}

/// Every set that is together, judged once.
type Judged = BTreeMap<SetId, (String, SetJudgement)>;

/// The list; with `?nominal=` of one height only.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let unit = unit_of(world);
    let chosen = nominal_of(request.query("nominal"));
    let judged: Judged = world
        .sets_together()
        .map(|set| (set.id, (set.code.to_string(), post_set::judge(world, set))))
        .collect();
    let all = nominals(world);
    let heights = all.iter().map(|nominal| {
        let link = Link { href: format!("/posts?nominal={}", nominal.0), text: length(*nominal, unit) };
        (link, Some(*nominal) == chosen)
    });
    let heights = heights.collect();
    let shown: Vec<Length> =
        all.into_iter().filter(|nominal| chosen.is_none_or(|chosen| chosen == *nominal)).collect();
    let groups: Vec<NominalGroup> = shown.iter().map(|nominal| group(world, &judged, *nominal)).collect();
    let mut retired: Vec<&Post> = world
        .posts
        .values()
        .filter(|post| post.retired.is_some() && chosen.is_none_or(|chosen| chosen == post.nominal))
        .collect();
    retired.sort_by(|a, b| a.code.cmp(&b.code));
    let retired: Vec<Row> = retired.into_iter().map(|post| retired_row(world, post)).collect();
    let title =
        chosen.map_or_else(|| "Posts".to_owned(), |chosen| format!("Posts, {}", length(chosen, unit)));
    let n_posts = shown.iter().map(|nominal| of_nominal(world, *nominal).len() as u64).sum();
    Parts {
        title,
        subtitle: count(n_posts, "post", "posts"),
        tab: Tab::Rack,
        data: PageData::PostList(PostList { heights, groups, retired }),
        form: FormState::default(),
    }
}

fn of_nominal(world: &World, nominal: Length) -> Vec<&Post> {
    let mut posts: Vec<&Post> = world.posts_in_service().filter(|post| post.nominal == nominal).collect();
    posts.sort_by(|a, b| a.code.cmp(&b.code));
    posts
}

fn retired_row(world: &World, post: &Post) -> Row {
    let mut row = list_row(world, post, None);
    row.more = post.retired.as_ref().map_or_else(String::new, |retired| {
        let note = if retired.note.is_empty() { String::new() } else { format!(": {}", retired.note) };
        format!("{}{note}", retired.reason.said())
    });
    row.mark = Mark::new(Shape::Gone, "retired");
    row
}

fn group(world: &World, judged: &Judged, nominal: Length) -> NominalGroup {
    let unit = unit_of(world);
    let posts = of_nominal(world, nominal);
    let mut set_ids: Vec<SetId> = Vec::new();
    for post in &posts {
        if let Some(set) = world.set_of(post.id).filter(|set| !set_ids.contains(&set.id)) {
            set_ids.push(set.id);
        }
    }
    set_ids.sort_by_key(|id| judged.get(id).map(|(code, _)| code.clone()));
    let unmeasured = posts.iter().filter(|post| post.height_reading().is_none()).count() as u64;
    let mut said = count(posts.len() as u64, "post", "posts");
    if unmeasured > 0 {
        said = format!("{said}, {unmeasured} not measured");
    }
    if !set_ids.is_empty() {
        said = format!("{said}, {}", count(set_ids.len() as u64, "set", "sets"));
    }
    let rows = posts.iter().map(|post| {
        let set = world.set_of(post.id).and_then(|set| judged.get(&set.id));
        list_row(world, post, set.map(|(code, judged)| (code.as_str(), judged)))
    });
    let rows = rows.collect();
    let sets = set_ids.iter().filter_map(|id| judged.get(id)).map(|(code, judged)| set_row(code, judged));
    let sets = sets.collect();
    NominalGroup {
        title: length(nominal, unit),
        said,
        comb: comb::draw(&teeth(world, judged, &posts, &set_ids), nominal, unit),
        measure: runs(world, &posts, nominal),
        new_set: Link { href: format!("/sets/new?nominal={}", nominal.0), text: "New set".to_owned() },
        sets,
        posts: rows,
    }
}

/// A run for every kiln that has posts of this height.
fn runs(world: &World, posts: &[&Post], nominal: Length) -> Vec<Link> {
    let mut kilns: Vec<_> = posts.iter().map(|post| post.kiln).collect();
    kilns.sort_unstable();
    kilns.dedup();
    let shown = length(nominal, unit_of(world));
    let all = format!("/posts/measure?nominal={}", nominal.0);
    if kilns.len() < 2 {
        return vec![Link { href: all, text: format!("Measure the {shown} posts") }];
    }
    let one = |kiln: &Kiln| Link {
        href: format!("{all}&kiln={}", kiln.id),
        text: format!("Measure those of {}", kiln.name),
    };
    kilns.iter().filter_map(|id| world.kilns.get(id)).map(one).collect()
}

/// A set as one line of a list.
#[must_use]
pub fn set_row(code: &str, judged: &SetJudgement) -> Row {
    let barred =
        judged.findings.iter().find(|finding| finding.shape == Shape::Stop && finding.said != judged.said);
    let more = match (&judged.drift, barred) {
        (Some(drift), _) => drift.short.clone(),
        (None, Some(barred)) => barred.said.clone(),
        (None, None) if judged.fix == judged.said => String::new(),
        (None, None) => judged.fix.clone(),
    };
    Row {
        href: format!("/set/{code}"),
        code: code.to_owned(),
        said: judged.said.clone(),
        more,
        mark: judged.mark.clone(),
    }
}

/// The posts as the comb is told of them: set by set, then those in no set.
fn teeth(world: &World, judged: &Judged, posts: &[&Post], set_ids: &[SetId]) -> Vec<Group> {
    let band = world.settings.length(SettingKey::SpreadLimit);
    let mut groups = Vec::new();
    for id in set_ids {
        let Some((code, judged)) = judged.get(id) else { continue };
        groups.push(set_group(code, judged, band));
    }
    let loose = posts.iter().filter(|post| world.set_of(post.id).is_none());
    let teeth: Vec<Tooth> = loose
        .map(|post| Tooth {
            code: post.code.to_string(),
            height: post.height_reading().map(|reading| reading.height),
            out: false,
        })
        .collect();
    groups.push(Group { label: String::new(), teeth, band: None });
    groups
}

/// A set's posts as the comb is told of them.
#[must_use]
pub fn set_group(label: &str, judged: &SetJudgement, band: Length) -> Group {
    let teeth = judged.posts.iter().map(|post| Tooth {
        code: post.code.clone(),
        height: post.height,
        out: Some(&post.code) == judged.odd.as_ref(),
    });
    Group { label: label.to_owned(), teeth: teeth.collect(), band: Some(band) }
}
