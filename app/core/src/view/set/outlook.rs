//! In how many firings a set's posts wear out of it, one by one with the others as they stand.
//!
//! What this does not do: foretell how all of them wear together, or when a set of four begins to rock.
use crate::judge::wear::{self, Outlook};
use crate::view::history::unit_of;
use crate::view::text::sentence;
use crate::world::{Post, PostSet, World};
use serde::{Deserialize, Serialize};

/// What is said of a set's wear.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetOutlook {
    /// The soonest, in one line, or why nothing can be told.
    pub said: String,
    /// Per post: code, rate, when it leaves the set or why that cannot be told.
    pub rows: Vec<[String; 3]>,
    /// On what it rests.
    pub rests_on: String,
}

/// The set's outlook; none for one that was taken apart or whose posts were never measured.
#[must_use]
pub fn of_set(world: &World, set: &PostSet) -> Option<SetOutlook> {
    let posts: Vec<&Post> = set.posts.iter().filter_map(|id| world.posts.get(id)).collect();
    if set.parted.is_some() || posts.iter().all(|post| post.readings.is_empty()) {
        return None;
    }
    let told: Vec<(&Post, Told)> = posts.iter().map(|post| (*post, told(world, post, set))).collect();
    let soonest = told
        .iter()
        .filter_map(|(post, told)| told.outlook.map(|outlook| (post, outlook)))
        .filter_map(|(post, outlook)| match outlook {
            Outlook::Past => Some((0.0, format!("{} is out of it already, by its line", post.code))),
            Outlook::In { about, .. } => {
                let when = told.iter().find(|(other, _)| other.id == post.id).map(|(_, told)| &told.when);
                Some((about, format!("at this rate {} leaves it first, {}", post.code, when?)))
            }
            _ => None,
        })
        .min_by(|one, two| one.0.total_cmp(&two.0));
    let said = match soonest {
        Some((_, said)) => said,
        None if set.posts.len() == 4 => {
            "when a set of four begins to rock is not foretold: that hangs on all four heights at once"
                .to_owned()
        }
        None if told.iter().any(|(_, told)| told.outlook.is_none()) => {
            "cannot tell yet when it drifts apart: some of its posts were read too seldom".to_owned()
        }
        None => "none of its posts can be told to leave it soon".to_owned(),
    };
    let rows = told.into_iter().map(|(post, told)| [post.code.to_string(), told.rate, told.when]);
    Some(SetOutlook {
        said: format!("{}.", sentence(&said)),
        rows: rows.collect(),
        rests_on: "readings since each post\u{2019}s last dressing, the other two as they were last measured; least \
                   squares, 95 % limits after Fieller. It holds only while they wear on as they did"
            .to_owned(),
    })
}

struct Told {
    rate: String,
    when: String,
    outlook: Option<Outlook>,
}

fn told(world: &World, post: &Post, set: &PostSet) -> Told {
    let unit = unit_of(world);
    let wear = match wear::post::wear(&world.settings, post) {
        Ok(wear) => wear,
        Err(cause) => {
            let when = wear::no_line_said(cause, "the last dressing");
            return Told { rate: "not known".to_owned(), when, outlook: None };
        }
    };
    let rate = wear.rate_said(unit, ["less", "more"]);
    let Some(limit) = wear::post::set_limit(world, post, set) else {
        let when =
            if set.posts.len() == 4 { "not foretold" } else { "another post of the set has no height" };
        return Told { rate, when: when.to_owned(), outlook: None };
    };
    let outlook = wear.outlook(limit, wear::post::WAY);
    let when = match outlook {
        Outlook::Past => "now, by its line".to_owned(),
        Outlook::CannotTell => {
            format!("cannot be told: {} changed no more than readings scatter", wear.rests_on())
        }
        Outlook::Away => "never at this rate".to_owned(),
        Outlook::Far { .. } | Outlook::In { .. } => outlook.said("", &wear).trim().to_owned(),
    };
    Told { rate, when, outlook: Some(outlook) }
}
