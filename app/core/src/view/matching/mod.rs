//! `/match`: the posts of one height grouped into sets, fresh or with present sets kept.
//!
//! The address carries everything that was asked (`?nominal=…&size=3&mode=keep&dress=0.4`). What this does not do:
//! search; [`crate::grouping`] does, exactly. Limits of single posts are refused there and not asked for here.
mod propose;
#[cfg(test)]
mod tests;

use super::comb::{self, Comb, Group, Tooth};
use super::history::unit_of;
use super::post::{nominal_of, nominals};
use super::route::{Parts, Request};
use super::set::choose::usual_inset;
use super::text::{LengthUnit, count, length, length_input};
use super::{FormState, Link, PageData, Tab};
use crate::code::Code;
use crate::form::quantity::{Feelers, read_length};
use crate::grouping::SetSize;
use crate::ids::{KilnId, PostId};
use crate::judge::post_set::{Limits, SetPost, coarsest, guard_said, spread_guard};
use crate::units::Length;
use crate::world::check::Problem;
use crate::world::{Post, World};
use serde::{Deserialize, Serialize};

/// The `do` value of the form that makes the sets.
pub const FORM: &str = "match";
/// The name of the form that asks; it is sent as the address's query.
pub const ASK: &str = "ask";
/// House choice: a spread over this is no set, and a post ground by more is another post.
const MOST: Length = Length(50_000_000);

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Match {
    /// The nominal heights, each a link; the chosen one is marked.
    pub heights: Vec<(Link, bool)>,
    /// What was asked; none where no height is chosen yet.
    pub asked: Option<Asked>,
    /// The answer; none where something asked is wrong.
    pub answer: Option<Answer>,
    /// How far in from the edge new sets are made for.
    pub inset: Length,
}

/// What was asked.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Asked {
    /// The nominal height.
    pub nominal: Length,
    /// The kilns with posts of it: id and name.
    pub kilns: Vec<(String, String)>,
    /// The chosen one; empty for all.
    pub kiln: String,
    /// Posts to a set: 3 or 4.
    pub size: u8,
    /// Whether present sets are kept where they hold.
    pub keep: bool,
    /// The greatest spread, as typed.
    pub tolerance: String,
    /// The most ground off a post, as typed.
    pub dress: String,
}

/// The answer.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Answer {
    /// "5 sets of three from 16 posts, 2.1 mm of spread in all".
    pub said: String,
    /// What is proved about it.
    pub exact: String,
    /// The tolerance used, and why it is less than the one asked for.
    pub guard: String,
    /// The strip of heights with the sets' bands.
    pub comb: Option<Comb>,
    /// The sets: those kept as they are, then the others.
    pub sets: Vec<Proposal>,
    /// Posts in no set: code, height, why.
    pub left: Vec<[String; 3]>,
}

/// One set of the answer.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Proposal {
    /// Its code: the present set's, or the one that a new set gets.
    pub code: Code,
    /// Whether that set stands as it is.
    pub stands: bool,
    /// Its posts in their places, with codes.
    pub posts: Vec<(PostId, String)>,
    /// Their spread after dressing, as said.
    pub spread: String,
    /// What is to be ground off first: "P14 by 0.4 mm".
    pub dress: Vec<String>,
    /// What becomes of present sets: "P07 leaves K03".
    pub moves: Vec<String>,
}

impl Answer {
    /// The new sets as one text: the form sends it back, so that nothing else is made than what was seen.
    #[must_use]
    pub fn shown(&self) -> String {
        let set = |set: &Proposal| {
            let codes: Vec<&str> = set.posts.iter().map(|(_, code)| code.as_str()).collect();
            format!("{}: {}", set.code, codes.join(" "))
        };
        self.sets.iter().filter(|set| set.is_made_now()).map(set).collect::<Vec<_>>().join("; ")
    }
}

impl Proposal {
    /// Whether the form makes it now: it is new and needs no grinding first.
    #[must_use]
    pub fn is_made_now(&self) -> bool {
        !self.stands && self.dress.is_empty()
    }
}

/// A post that can be matched, with what is known of it.
struct Candidate<'a> {
    post: &'a Post,
    known: SetPost,
    height: Length,
}

/// What was asked, understood.
struct Question<'a> {
    world: &'a World,
    unit: LengthUnit,
    limits: Limits,
    size: SetSize,
    keep: bool,
    tolerance: Length,
    dress: Length,
    nominal: Length,
    /// By code.
    posts: Vec<Candidate<'a>>,
    /// Posts that cannot be matched: code, height, why.
    barred: Vec<[String; 3]>,
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let unit = unit_of(world);
    let nominal = nominal_of(request.query("nominal"));
    let heights = nominals(world).into_iter().map(|height| {
        let link = Link { href: format!("/match?nominal={}", height.0), text: length(height, unit) };
        (link, Some(height) == nominal)
    });
    let heights = heights.collect();
    let understood = nominal.map(|nominal| ask(world, request, nominal));
    let (asked, problems, answer) = match understood {
        None => (None, Vec::new(), None),
        Some((asked, problems, question)) => {
            (Some(asked), problems, question.map(|question| propose::answer(&question)))
        }
    };
    let action = if problems.is_empty() { "" } else { ASK }.to_owned();
    let typed = asked.iter().flat_map(|asked| [("tolerance", &asked.tolerance), ("dress", &asked.dress)]);
    let values = typed.map(|(name, typed)| (name.to_owned(), vec![typed.clone()])).collect();
    Parts {
        title: "Match posts".to_owned(),
        subtitle: nominal.map_or_else(String::new, |nominal| format!("of {}", length(nominal, unit))),
        tab: Tab::Rack,
        data: PageData::Match(Box::new(Match { heights, asked, answer, inset: usual_inset(world) })),
        form: FormState { action, values, problems },
    }
}

fn ask<'a>(
    world: &'a World,
    request: &Request,
    nominal: Length,
) -> (Asked, Vec<Problem>, Option<Question<'a>>) {
    let unit = unit_of(world);
    let limits = Limits::of(&world.settings);
    let four = request.query("size") == "4";
    // However four posts stand, the gap under the free one is at most twice their spread.
    let usual = if four { Length(limits.gap.0 / 2) } else { limits.accepted };
    let mut problems = Vec::new();
    let mut read = |field: &str, usual: Length| {
        let typed = request.query(field).trim();
        let typed = if typed.is_empty() { length_input(usual, unit) } else { typed.to_owned() };
        let found = match read_length(&typed, unit, &Feelers::of(&world.settings)) {
            Ok(found) if found.0 >= 0 && found <= MOST => Some(found),
            Ok(found) => {
                let most = length(MOST, unit);
                problems.push(Problem::new(
                    field,
                    format!("{} cannot be; give 0 to {most}", length(found, unit)),
                ));
                None
            }
            Err(cause) => {
                problems.push(Problem::new(field, cause));
                None
            }
        };
        (typed, found)
    };
    let (tolerance_text, tolerance) = read("tolerance", usual);
    let (dress_text, dress) = read("dress", Length::ZERO);
    let of_nominal = || world.posts_in_service().filter(|post| post.nominal == nominal);
    let mut ids: Vec<KilnId> = of_nominal().map(|post| post.kiln).collect();
    ids.sort_unstable();
    ids.dedup();
    let kilns =
        ids.iter().filter_map(|id| world.kilns.get(id)).map(|kiln| (kiln.id.to_string(), kiln.name.clone()));
    let kilns: Vec<(String, String)> = kilns.collect();
    let kiln = request.query("kiln").trim().to_owned();
    let kiln = if kilns.iter().any(|(id, _)| *id == kiln) { kiln } else { String::new() };
    let asked = Asked {
        nominal,
        kilns,
        size: if four { 4 } else { 3 },
        keep: request.query("mode") != "fresh",
        tolerance: tolerance_text,
        dress: dress_text,
        kiln,
    };
    let question = tolerance.zip(dress).map(|(tolerance, dress)| {
        let mut posts: Vec<&Post> = of_nominal()
            .filter(|post| asked.kiln.is_empty() || post.kiln.to_string() == asked.kiln)
            .collect();
        posts.sort_by(|a, b| a.code.cmp(&b.code));
        let (posts, barred) = sort_out(world, &posts, unit);
        let size = if four { SetSize::Four } else { SetSize::Three };
        Question { world, unit, limits, size, keep: asked.keep, tolerance, dress, nominal, posts, barred }
    });
    (asked, problems, question)
}

/// Those that can be matched, and why the others cannot.
fn sort_out<'a>(
    world: &'a World,
    posts: &[&'a Post],
    unit: LengthUnit,
) -> (Vec<Candidate<'a>>, Vec<[String; 3]>) {
    let (mut fit, mut barred) = (Vec::new(), Vec::new());
    for post in posts {
        let known = SetPost::of(&world.settings, post);
        let height = known.height.map_or_else(|| "not measured".to_owned(), |height| length(height, unit));
        let why = match (known.barred.is_empty(), known.height, known.dressed) {
            (false, _, _) => known.barred.clone(),
            (true, None, true) => "dressed since it was measured: measure it".to_owned(),
            (true, None, false) => "measure it first".to_owned(),
            (true, Some(height), _) => {
                fit.push(Candidate { post, known, height });
                continue;
            }
        };
        barred.push([post.code.to_string(), height, why]);
    }
    (fit, barred)
}

impl Question<'_> {
    /// The tolerance less the guard band of the coarsest reading; below 0 no set is accepted.
    fn tolerance_used(&self) -> Length {
        let known: Vec<SetPost> = self.posts.iter().map(|post| post.known.clone()).collect();
        let guard = coarsest(&known).map_or(Length::ZERO, |(_, u)| spread_guard(u));
        self.tolerance - guard
    }

    fn guard_said(&self) -> String {
        let known: Vec<SetPost> = self.posts.iter().map(|post| post.known.clone()).collect();
        let used = self.tolerance_used();
        let guard = guard_said(&self.limits, coarsest(&known));
        let why = if guard.is_empty() { String::new() } else { format!(" less a {guard}") };
        let two = match self.size {
            SetSize::Four => "; four posts: the rocking gap is at most twice the spread (calculated)",
            _ => "",
        };
        if used.0 < 0 {
            return format!(
                "{} is within the guard band: {guard}. Measure with a finer instrument, or accept more.",
                length(self.tolerance, self.unit)
            );
        }
        format!(
            "Spread accepted: {} = {}{why}{two}",
            length(used, self.unit),
            length(self.tolerance, self.unit)
        )
    }

    /// Sets as the comb is told of them, those in no set at the end.
    fn drawn(&self, sets: &[(String, Vec<usize>)], left: &[usize]) -> Option<Comb> {
        let tooth = |at: &usize| {
            self.posts.get(*at).map(|one| Tooth {
                code: one.known.code.clone(),
                height: Some(one.height),
                out: false,
            })
        };
        let group = |(label, posts): &(String, Vec<usize>)| Group {
            label: label.clone(),
            teeth: posts.iter().filter_map(tooth).collect(),
            band: Some(self.tolerance),
        };
        let mut groups: Vec<Group> = sets.iter().map(group).collect();
        groups.push(Group {
            label: String::new(),
            teeth: left.iter().filter_map(tooth).collect(),
            band: None,
        });
        comb::draw(&groups, self.nominal, self.unit)
    }

    fn size_said(&self) -> &'static str {
        if self.size == SetSize::Four { "four" } else { "three" }
    }

    fn n_said(&self, n: usize) -> String {
        format!("{} of {}", count(n as u64, "set", "sets"), self.size_said())
    }
}
