//! What a tap on the card can log, the likeliest first.
//!
//! What this does not do: record; the forms behind the links do.
use super::{GroundFine, Usual};
use crate::event::values::{HoldReason, Mask, Use};
use crate::jobs::{Job, OpenJob};
use crate::view::Link;
use crate::view::remember::Bench;
use crate::world::Shelf;

/// What "ground, fine" records: dry grinding of the face that is up, fit for what it was fit for, and the end
/// of a hold for a drip or for the bench.
pub fn ground_fine(shelf: &Shelf, flat_for: Option<Use>, like: Option<Bench>) -> GroundFine {
    let fit_for = flat_for.filter(|fit_for| *fit_for != Use::NoUse);
    let release =
        shelf.hold.as_ref().is_some_and(|hold| matches!(hold.reason, HoldReason::Drip | HoldReason::Bench));
    let grade =
        fit_for.map_or(String::new(), |fit_for| format!(", fit by eye for {} as before", fit_for.said()));
    let ends = if release { ", off hold" } else { "" };
    let mask = like.map_or(Mask::NotNoted, |like| like.mask);
    let minutes = like.and_then(|like| like.minutes);
    let time = minutes.map_or(String::new(), |n| format!(", {n} min"));
    let worn = match mask {
        Mask::NotNoted => String::new(),
        mask => format!(", mask {}", mask.said()),
    };
    let as_last =
        if time.is_empty() && worn.is_empty() { "" } else { " (as in today\u{2019}s last grinding)" };
    let said = format!("Records: {} ground dry{time}{worn}{as_last}{grade}{ends}.", shelf.up.said());
    GroundFine { face: shelf.up, fit_for, release, said, mask, minutes }
}

/// "Ground, fine" comes first where a drip or the bench holds the shelf, or it is past plates and could win
/// by grinding.
pub fn ground_first(shelf: &Shelf, flat_for: Option<Use>) -> bool {
    match &shelf.hold {
        Some(hold) => matches!(hold.reason, HoldReason::Drip | HoldReason::Bench),
        None => {
            shelf.retired.is_none()
                && flat_for.is_some_and(|flat_for| flat_for > Use::Flatware && flat_for < Use::NoUse)
        }
    }
}

/// House choice: four large buttons stand above the bar of a phone with the card's numbers still in sight.
const LARGE: usize = 4;

/// The large actions: what the open jobs ask for, then what is usually done. One of the four is never a job's, so
/// that "ground, fine" stays one tap however much is open.
pub fn usual(shelf: &Shelf, path: &str, ground_first: bool, open: &[OpenJob]) -> Vec<Usual> {
    let form =
        |what: &str, text: &str| Usual::Form(Link { href: format!("{path}/{what}"), text: text.to_owned() });
    if shelf.retired.is_some() {
        return vec![form("return", "Back in use"), form("note", "Note")];
    }
    let grinds = |open: &OpenJob| matches!(open.job, Job::Chisel | Job::Grind);
    let mut large: Vec<Usual> = Vec::new();
    let mut add = |usual: Usual, most: usize| {
        // Two jobs may lead to one form; the first names the button.
        let is_same = |other: &Usual| match (other, &usual) {
            (Usual::Form(a), Usual::Form(b)) => a.href == b.href,
            _ => *other == usual,
        };
        if large.len() < most && !large.iter().any(is_same) {
            large.push(usual);
        }
    };
    // What is wet, cracked or to be tapped is not ground first.
    let waits = open.first().is_some_and(|first| first.job < Job::Chisel);
    if (ground_first && !waits) || open.iter().any(grinds) {
        add(Usual::GroundFine, LARGE);
    }
    for one in open {
        add(form(one.job.form(), one.job.button()), LARGE - 1);
    }
    add(Usual::GroundFine, LARGE);
    for (what, text) in
        [("found", "Something wrong"), ("measure", "Measure"), ("washed", "Washed"), ("ground", "Ground")]
    {
        add(form(what, text), LARGE);
    }
    large
}

/// Everything that can be logged by a form, the likeliest first.
pub fn actions(shelf: &Shelf, path: &str) -> Vec<Link> {
    let link = |what: &str, text: &str| Link { href: format!("{path}/{what}"), text: text.to_owned() };
    if shelf.retired.is_some() {
        return vec![link("return", "Back in use"), link("note", "Note")];
    }
    let hold = match &shelf.hold {
        Some(hold) if hold.reason == HoldReason::Wet => link("release", "Dry: off hold"),
        Some(_) => link("release", "Off hold"),
        None => link("hold", "Hold"),
    };
    vec![
        link("measure", "Measure"),
        link("ground", "Ground"),
        link("washed", "Washed"),
        link("found", "Something wrong"),
        link("photo", "Photo"),
        link("crack", "Crack"),
        link("tapped", "Tapped"),
        link("flipped", "Turned over"),
        hold,
        link("graded", "Grade by eye"),
        link("move", "Move"),
        link("note", "Note"),
        link("retire", "Retire"),
        Link { href: format!("/labels?on={}", shelf.code), text: "Label".to_owned() },
    ]
}
