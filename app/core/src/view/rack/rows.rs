//! One row a piece: its code, what is said of it, its mark.
use crate::event::values::Use;
use crate::ids::KilnId;
use crate::judge::Finding;
use crate::judge::post::PostJudgement;
use crate::judge::post_set::SetJudgement;
use crate::judge::shelf::ShelfJudgement;
use crate::outline::Outline;
use crate::view::shelf::path;
use crate::view::text::{LengthUnit, count, length, length_bare};
use crate::view::{Mark, Row, Shape, history};
use crate::world::{Post, PostSet, Retired, Shelf, World};

/// A shelf's row. `judged` is [`crate::judge::shelf::judge`]'s.
#[must_use]
pub fn shelf_row(world: &World, shelf: &Shelf, judged: &ShelfJudgement) -> Row {
    let unit = history::unit_of(world);
    let flatness = judged.flatness.as_ref().filter(|view| !view.stale).map(|view| view.said(unit));
    let fit = judged.fit_for.map(|fit_for| match fit_for {
        Use::NoUse => Use::NoUse.said().to_owned(),
        fit_for => format!("for {}", fit_for.said()),
    });
    let said =
        worst(&judged.findings).or(fit.clone()).unwrap_or_else(|| "nothing known of it yet".to_owned());
    let about = [
        fit.filter(|fit| *fit != said),
        flatness.filter(|flatness| !said.contains(flatness.as_str())),
        Some(format!("{} thick", length(shelf.thickness_now(), unit))),
        some(&shelf.place),
        Some(count(u64::from(shelf.firings()), "firing", "firings")),
    ];
    Row {
        href: path(world, shelf),
        code: shelf.code.to_string(),
        said,
        more: about.into_iter().flatten().collect::<Vec<_>>().join("; "),
        mark: judged.mark.clone(),
    }
}

/// A post's row. `judged` is [`crate::judge::post::judge`]'s.
#[must_use]
pub fn post_row(world: &World, post: &Post, judged: &PostJudgement) -> Row {
    let unit = history::unit_of(world);
    let height = match post.height_reading() {
        Some(reading) => length(reading.height, unit),
        None => format!("sold as {}", length(post.nominal, unit)),
    };
    let about = [
        worst(&judged.findings),
        world.set_of(post.id).map(|set| format!("in set {}", set.code)),
        some(&post.place),
        Some(count(u64::from(post.firings()), "firing", "firings")),
    ];
    Row {
        href: format!("/post/{}", post.code),
        code: post.code.to_string(),
        said: height,
        more: about.into_iter().flatten().collect::<Vec<_>>().join("; "),
        mark: judged.mark.clone(),
    }
}

/// A set's row. `judged` is [`crate::judge::post_set::judge`]'s.
#[must_use]
pub fn set_row(world: &World, set: &PostSet, judged: &SetJudgement) -> Row {
    let codes: Vec<String> =
        set.posts.iter().filter_map(|id| world.posts.get(id)).map(|post| post.code.to_string()).collect();
    let shelf = set.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| format!(" under {}", shelf.code));
    let drift = judged.drift.as_ref().map(|drift| format!("; {}", drift.said));
    Row {
        href: format!("/set/{}", set.code),
        code: set.code.to_string(),
        said: judged.said.clone(),
        more: format!("{}{}{}", codes.join(", "), shelf.unwrap_or_default(), drift.unwrap_or_default()),
        mark: judged.mark.clone(),
    }
}

/// The kiln whose racks a set is in: its first post's.
#[must_use]
pub fn kiln_of_set(world: &World, set: &PostSet) -> Option<KilnId> {
    set.posts.first().and_then(|id| world.posts.get(id)).map(|post| post.kiln)
}

/// What was set aside from a kiln's racks, shelves first, by code.
pub(super) fn retired(world: &World, kiln: KilnId) -> Vec<Row> {
    let shelves = world.shelves.values().filter(|shelf| shelf.kiln == kiln);
    let posts = world.posts.values().filter(|post| post.kiln == kiln);
    let mut rows: Vec<Row> = shelves
        .filter_map(|one| gone("shelf", one.code.as_str(), one.firings(), one.retired.as_ref()?))
        .chain(posts.filter_map(|one| gone("post", one.code.as_str(), one.firings(), one.retired.as_ref()?)))
        .collect();
    rows.sort_by(|a, b| {
        (b.href.starts_with("/shelf"), &a.code).cmp(&(a.href.starts_with("/shelf"), &b.code))
    });
    rows
}

fn gone(kind: &str, code: &str, firings: u32, retired: &Retired) -> Option<Row> {
    let note = if retired.note.is_empty() { String::new() } else { format!(": {}", retired.note) };
    let day = crate::view::text::day(retired.stamp.at);
    Some(Row {
        href: format!("/{kind}/{code}"),
        code: code.to_owned(),
        said: format!("{}{note}", retired.reason.said()),
        more: format!("a {kind}, retired on {day} after {}", count(u64::from(firings), "firing", "firings")),
        mark: Mark::new(Shape::Gone, "retired"),
    })
}

/// The gravest finding that is more than a passed check.
fn worst(findings: &[Finding]) -> Option<String> {
    findings.iter().filter(|f| f.shape > Shape::Plain).max_by_key(|f| f.shape).map(|f| f.said.clone())
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

/// "600 × 300 mm", "420 mm, round".
pub fn outline_said(outline: &Outline, unit: LengthUnit) -> String {
    match *outline {
        Outline::Rectangle { length_nm, width_nm } => {
            format!("{} \u{d7} {}", length_bare(length_nm, unit), length(width_nm, unit))
        }
        Outline::Round { diameter_nm } => format!("{}, round", length(diameter_nm, unit)),
        Outline::HalfRound { diameter_nm } => format!("{}, half-round", length(diameter_nm, unit)),
    }
}
