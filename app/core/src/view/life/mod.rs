//! `/life`: how long pieces last, by material and kiln, and how many will be retired in the next firings.
//!
//! The address carries how far to look ahead (`?next=12`). What this does not do: record anything, or say when a
//! piece is done.
mod curve;

pub use curve::{Curve, SIZE};

use super::route::{Parts, Request};
use super::text::{count, fixed, percent};
use super::{FormState, PageData, Tab};
use crate::event::values::Fuel;
use crate::form::quantity::read_count;
use crate::judge::lifespan::{Batch, Cost, End, Kind, Lifespan, batches};
use crate::judge::shelf::material::{LIFE_SOURCE, life_band};
use crate::life::weibull::Weibull;
use crate::world::World;
use serde::{Deserialize, Serialize};

/// How far to look ahead unless the address says otherwise. House choice: a quarter of weekly firings.
const USUAL_NEXT: u32 = 12;
/// House choice: farther than anyone plans.
const FARTHEST: u32 = 1_000;
/// Fewer retirements than this are said to be few. House choice: with five, the standard error of a Weibull shape
/// is still a third of it.
const FEW: usize = 5;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Life {
    /// How many firings to look ahead, as typed.
    pub next: String,
    /// What is wrong with it; empty where nothing is.
    pub next_problem: String,
    /// One part a material and kiln.
    pub groups: Vec<Group>,
}

/// Pieces of one material in one kiln.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Group {
    /// "Shelves of cordierite; Heron".
    pub title: String,
    /// "8 pieces: 6 in service, 2 worn out or broken; in the gas kiln Heron".
    pub said: String,
    /// Large numbers: value, what it is.
    pub numerals: Vec<[String; 2]>,
    /// The survival curve; none where nothing was retired.
    pub curve: Option<Curve>,
    /// Age, pieces that reached it, retired at it, share that outlasts it, its 95 % limits.
    pub table: Vec<[String; 5]>,
    /// What to know of it, one line each.
    pub notes: Vec<String>,
}

/// The page.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let typed = request.query("next").trim();
    let read = match typed {
        "" => Ok(USUAL_NEXT),
        typed => read_count(typed, FARTHEST),
    };
    let next_problem = read.as_ref().err().cloned().unwrap_or_default();
    let next = read.unwrap_or(USUAL_NEXT);
    let mut groups: Vec<Group> = batches(world).iter().map(|batch| group(world, batch, next)).collect();
    // Those that say something first.
    groups.sort_by_key(|group| std::cmp::Reverse(group.table.len()));
    let n_pieces = (world.shelves.len() + world.posts.len()) as u64;
    let typed = if typed.is_empty() { USUAL_NEXT.to_string() } else { typed.to_owned() };
    Parts {
        title: "How long pieces last".to_owned(),
        subtitle: count(n_pieces, "piece on record", "pieces on record"),
        tab: Tab::More,
        data: PageData::Life(Life { next: typed, next_problem, groups }),
        form: FormState::default(),
    }
}

fn group(world: &World, batch: &Batch, next: u32) -> Group {
    let lifespan = batch.lifespan();
    let kiln = world.kilns.get(&batch.kiln);
    let kind = if batch.kind == Kind::Shelves { "Shelves" } else { "Posts" };
    let name = kiln.map_or("", |kiln| kiln.name.as_str());
    let fuel = kiln.map_or(Fuel::Electric, |kiln| kiln.fuel).said();
    let cone = kiln.map_or_else(String::new, |kiln| format!(", usually to cone {}", kiln.usual_cone));
    let table = lifespan.steps.iter().map(|step| {
        [
            fixed(step.firings, 0),
            step.at_risk.to_string(),
            step.retired.to_string(),
            in_one(percent(step.survival)),
            format!("{} to {}", in_one(percent(step.low)), in_one(percent(step.high))),
        ]
    });
    Group {
        title: format!("{kind} of {}; {name}", batch.material.said()),
        said: format!("{}; in the {fuel} kiln {name}{cone}", pieces_said(batch)),
        numerals: numerals(batch, &lifespan, next),
        curve: curve::draw(batch, &lifespan),
        table: table.collect(),
        notes: notes(world, batch, &lifespan),
    }
}

/// A share that no line breaks before its sign.
fn in_one(share: String) -> String {
    share.replace(' ', "\u{a0}")
}

/// "8 pieces: 6 in service, 2 worn out or broken, 1 set aside otherwise".
fn pieces_said(batch: &Batch) -> String {
    let otherwise = match batch.count(End::Otherwise) {
        0 => String::new(),
        n => format!(", {n} set aside otherwise"),
    };
    format!(
        "{}: {} in service, {} worn out or broken{otherwise}",
        count(batch.pieces.len() as u64, "piece", "pieces"),
        batch.count(End::InService),
        batch.count(End::WornOut)
    )
}

fn numerals(batch: &Batch, lifespan: &Lifespan, next: u32) -> Vec<[String; 2]> {
    let oldest = lifespan.ages.last().map_or(0.0, |age| age.firings);
    let median = match lifespan.median {
        Some(median) => {
            [fixed(median, 0), "firings: the first age that at most half outlast (median)".to_owned()]
        }
        None => [
            format!("{}+", fixed(oldest, 0)),
            "firings: more than half outlast every age seen, so there is no median yet".to_owned(),
        ],
    };
    let mut numerals = vec![median];
    let serving = batch.count(End::InService);
    if let Ok(law) = &lifespan.law
        && serving > 0
    {
        let expected = batch.expected(law, next);
        numerals.push([
            fixed(expected, 1),
            format!(
                "of {} in service expected to be retired in the next {}",
                count(serving as u64, "piece", "pieces"),
                count(u64::from(next), "firing", "firings")
            ),
        ]);
    }
    let (so_far, _) = batch.costs();
    if let Some(cents) = so_far.cents_per_firing() {
        let what = format!(
            "a firing and piece so far: price over firings of {}{}",
            count(so_far.n_pieces as u64, "piece", "pieces"),
            if serving > 0 { "; it falls while they serve" } else { "" }
        );
        numerals.push([money(cents), what]);
    }
    numerals
}

/// Hundredths as an amount, with a third decimal under a tenth.
fn money(cents: f64) -> String {
    fixed(cents / 100.0, if cents < 10.0 { 3 } else { 2 })
}

fn notes(world: &World, batch: &Batch, lifespan: &Lifespan) -> Vec<String> {
    let mut notes = Vec::new();
    let worn = batch.count(End::WornOut);
    match &lifespan.law {
        Err(_) if worn == 0 => {
            notes.push("None of them wore out or broke yet: there is nothing to foretell from.".to_owned());
        }
        Ok(law) => notes.push(law_said(law)),
        Err(cause) => notes.push(format!("No law is fitted, and nothing foretold: {cause}.")),
    }
    if worn > 0 && worn < FEW {
        notes.push(format!(
            "It rests on {}: too few to plan by. Take the figures as a hint, and look at the width of the band.",
            count(worn as u64, "retirement", "retirements")
        ));
    }
    if batch.count(End::Otherwise) > 0 {
        notes.push(
            "Those set aside for another reason (sold, lost, given away) count for the firings they had and for \
             nothing after."
                .to_owned(),
        );
    }
    let before = batch.pieces.iter().filter(|one| one.before > 0).count();
    if before > 0 {
        notes.push(format!(
            "{} came with firings from before the record, by the owner\u{2019}s count: those that wore out before it \
             are missing, so lives look longer than they are.",
            count(before as u64, "piece", "pieces")
        ));
    }
    notes.extend(retired_cost(&batch.costs().1));
    notes.extend(trade(world, batch));
    notes
}

/// "Weibull's law, ...: shape 3.1 (standard error 1.2), above 1: they wear out; scale 70 (9)."
fn law_said(law: &Weibull) -> String {
    // Two standard errors, about 95 %.
    let (low, high) = (law.shape - 2.0 * law.shape_se, law.shape + 2.0 * law.shape_se);
    let means = if low > 1.0 {
        "above 1: they wear out with age"
    } else if high < 1.0 {
        "below 1: they fail early, or last"
    } else {
        "not told from 1: wear cannot be told from chance yet"
    };
    format!(
        "Weibull\u{2019}s law, by maximum likelihood: shape {} (standard error {}), {means}; {} firings (standard error \
         {}) is the age that 37 % outlast.",
        fixed(law.shape, 1),
        fixed(law.shape_se, 1),
        fixed(law.scale, 0),
        fixed(law.scale_se, 0)
    )
}

fn retired_cost(cost: &Cost) -> Option<String> {
    let cents = cost.cents_per_firing()?;
    Some(format!(
        "The {} that wore out or broke came to {} a firing, price over firings got; in the studio\u{2019}s own currency.",
        cost.n_pieces,
        money(cents)
    ))
}

/// What the trade says of shelves of this material, beside what the record says.
fn trade(world: &World, batch: &Batch) -> Option<String> {
    let cone = world.kilns.get(&batch.kiln).filter(|_| batch.kind == Kind::Shelves)?.usual_cone;
    let band = life_band(batch.material, cone)?;
    let spaced = |word: &str| if word.is_empty() { String::new() } else { format!(" {word}") };
    Some(format!(
        "The trade says {} to {} firings{}{} ({LIFE_SOURCE}).",
        band.low,
        band.high,
        spaced(band.beyond),
        spaced(band.holds_for)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::PieceRetired;
    use crate::event::values::{Piece, RetireReason};
    use crate::testing::Studio;

    fn life(studio: &Studio, address: &str) -> Life {
        match studio.get(address).data {
            PageData::Life(data) => data,
            other => panic!("{address}: {other:?}"),
        }
    }

    /// Four shelves, 20 firings each before; one cracks after 1 more, one warps after 5.
    fn studio() -> Studio {
        let (mut studio, kiln) = Studio::with_kiln();
        let pieces: Vec<Piece> =
            ["F01", "F02", "F03", "F04"].iter().map(|code| Piece::Shelf(studio.shelf(code, kiln))).collect();
        let retire = |studio: &mut Studio, at: usize, reason| {
            studio.record(PieceRetired { piece: pieces[at], reason, note: String::new() });
        };
        studio.fire(kiln, &pieces);
        retire(&mut studio, 0, RetireReason::Cracked);
        (0..4).for_each(|_| studio.fire(kiln, &pieces[1..]));
        retire(&mut studio, 1, RetireReason::Warped);
        studio
    }

    #[test]
    fn a_group_has_its_curve_its_numbers_and_says_how_little_it_rests_on() {
        let data = life(&studio(), "/life");
        assert_eq!((data.next.as_str(), data.next_problem.as_str()), ("12", ""));
        let [group] = data.groups.as_slice() else { panic!("{:?}", data.groups) };
        assert_eq!(group.title, "Shelves of cordierite; big gas");
        assert_eq!(
            group.said,
            "4 pieces: 2 in service, 2 worn out or broken; in the gas kiln big gas, usually to cone 10"
        );
        assert_eq!(
            group.table,
            [
                ["21", "4", "1", "75\u{a0}%", "43\u{a0}% to 100\u{a0}%"].map(str::to_owned),
                ["25", "3", "1", "50\u{a0}%", "19\u{a0}% to 100\u{a0}%"].map(str::to_owned)
            ]
        );
        assert_eq!(group.numerals[0][0], "25");
        assert!(
            group.numerals[1][1].starts_with("of 2 pieces in service expected to be retired in the next 12")
        );
        // 4 x 84.00 over 21 + 25 + 25 + 25 firings.
        assert_eq!(group.numerals[2][0], "3.50");
        let curve = group.curve.as_ref().unwrap_or_else(|| panic!("no curve"));
        assert!(curve.law.is_some() && curve.serving.len() == 1, "{curve:?}");
        let notes = group.notes.join("\n");
        for part in ["rests on 2 retirements: too few", "4 pieces came with firings from before", "60 to 120"]
        {
            assert!(notes.contains(part), "{part}: {notes}");
        }
    }

    #[test]
    fn further_ahead_more_are_expected_and_nonsense_is_said() {
        let (studio, expected) = (studio(), |data: &Life| data.groups[0].numerals[1][0].parse::<f64>().ok());
        let (near, far) = (life(&studio, "/life?next=1"), life(&studio, "/life?next=200"));
        assert!(expected(&near) < expected(&far) && expected(&far).is_some_and(|far| far <= 2.0));
        let wrong = life(&studio, "/life?next=soon");
        assert_eq!(wrong.next_problem, "\"soon\" is not a count here; type a whole number up to 1000");
        assert_eq!(wrong.next, "soon");
    }

    #[test]
    fn without_retirements_nothing_is_drawn_or_foretold() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.post("P01", 150.0, kiln);
        let data = life(&studio, "/life");
        let group = &data.groups[0];
        assert!(group.curve.is_none() && group.table.is_empty());
        assert_eq!(group.numerals[0][0], "0+");
        assert!(group.notes[0].starts_with("None of them wore out or broke yet"));
        assert!(life(&Studio::default(), "/life").groups.is_empty());
    }
}
