//! At what rate a post wears, and in how many firings that takes it out of its set or makes it too short.
//!
//! What this does not do: fit; [`crate::judge::wear`] does.
use super::chart::{Beside, draw};
use crate::judge::post::short_limit;
use crate::judge::wear::{self, Outlook, Wear};
use crate::units::Length;
use crate::view::chart::{Chart, WearSaid, ahead_for};
use crate::view::history::unit_of;
use crate::view::text::{LengthUnit, length, sentence};
use crate::world::{Post, World};

/// The words for a post's wear, and its readings drawn with the line.
#[must_use]
pub fn of_post(world: &World, post: &Post) -> (WearSaid, Option<Chart>) {
    let unit = unit_of(world);
    let say = |value: Length| length(value, unit);
    let limits = wear::post::limits(world, post, say);
    let short_at = post.nominal - short_limit(&world.settings, post.nominal);
    let set = world.set_of(post.id);
    let leaves = set.and_then(|set| Some((wear::post::set_limit(world, post, set)?, set.code.as_str())));
    let fitted = wear::post::wear(&world.settings, post);
    let (said, ahead) = match &fitted {
        Err(_) if post.readings.is_empty() || post.retired.is_some() => (WearSaid::default(), 0.0),
        Err(cause) => {
            let said = wear::no_line_said(*cause, "the last dressing");
            (
                WearSaid {
                    lines: vec![format!("Cannot tell yet how fast it wears: {said}.")],
                    ..WearSaid::default()
                },
                0.0,
            )
        }
        Ok(fitted) => {
            let outlooks: Vec<Outlook> =
                limits.iter().map(|limit| fitted.outlook(limit.at, wear::post::WAY)).collect();
            let lines = limits
                .iter()
                .zip(&outlooks)
                .map(|(limit, outlook)| rate_line(post, &limit.does, outlook, fitted))
                .chain(four(set.map(|set| set.posts.len())));
            let why: Vec<&str> = limits.iter().map(|limit| limit.why.as_str()).collect();
            let rests_on = rests_on(fitted, unit, &why);
            let said = match post.retired {
                Some(_) => WearSaid::default(),
                None => WearSaid { lines: lines.collect(), rests_on },
            };
            (said, ahead_for(&outlooks, fitted))
        }
    };
    let beside = Beside { short_at, leaves, wear: fitted.as_ref().ok(), ahead };
    (said, draw(post, &beside, unit))
}

fn rate_line(post: &Post, does: &str, outlook: &Outlook, wear: &Wear) -> String {
    let said = outlook.said(does, wear);
    match outlook {
        Outlook::CannotTell | Outlook::Away => format!("{}.", sentence(&said)),
        Outlook::Past => format!("{} {said}.", post.code),
        Outlook::Far { .. } | Outlook::In { .. } => format!("At this rate {} {said}.", post.code),
    }
}

fn four(n_posts: Option<usize>) -> Option<String> {
    (n_posts == Some(4)).then(|| {
        "When its set of four begins to rock is not foretold: that hangs on all four heights at once."
            .to_owned()
    })
}

/// "0.04 mm less in 10 firings ...; 5 readings over 61 firings; limits: ...".
#[must_use]
pub fn rests_on(wear: &Wear, unit: LengthUnit, limits: &[&str]) -> String {
    format!(
        "{}; {} since the last dressing, scatter taken as no less than the instrument\u{2019}s; limits {}. Least squares, 95 % limits after Fieller; it holds only while it \
         wears on as it did",
        wear.rate_said(unit, ["less", "more"]),
        wear.rests_on(),
        limits.join("; ")
    )
}
