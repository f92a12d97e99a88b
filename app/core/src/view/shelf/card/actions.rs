//! What a tap on the card can log, the likeliest first.
//!
//! What this does not do: record; the forms behind the links do.
use super::GroundFine;
use crate::event::values::{HoldReason, Use};
use crate::view::Link;
use crate::world::Shelf;

/// What "ground, fine" records: dry grinding of the face that is up, fit for what it was fit for, and the end
/// of a hold for a drip or for the bench.
pub fn ground_fine(shelf: &Shelf, flat_for: Option<Use>) -> GroundFine {
    let fit_for = flat_for.filter(|fit_for| *fit_for != Use::NoUse);
    let release =
        shelf.hold.as_ref().is_some_and(|hold| matches!(hold.reason, HoldReason::Drip | HoldReason::Bench));
    let grade =
        fit_for.map_or(String::new(), |fit_for| format!(", fit by eye for {} as before", fit_for.said()));
    let ends = if release { ", off hold" } else { "" };
    let said = format!("Records: {} ground dry{grade}{ends}.", shelf.up.said());
    GroundFine { face: shelf.up, fit_for, release, said }
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

/// Everything else that can be logged, the likeliest first.
pub fn actions(shelf: &Shelf, path: &str, ground_first: bool) -> Vec<Link> {
    let link = |what: &str, text: &str| Link { href: format!("{path}/{what}"), text: text.to_owned() };
    if shelf.retired.is_some() {
        return vec![link("return", "Back in use"), link("note", "Note")];
    }
    let mut links = Vec::new();
    match &shelf.hold {
        Some(hold) if hold.reason == HoldReason::Wet => links.push(link("release", "Dry: off hold")),
        Some(_) if !ground_first => links.push(link("release", "Off hold")),
        _ => {}
    }
    links.extend([link("measure", "Measure"), link("ground", "Ground"), link("washed", "Washed")]);
    links.extend([link("crack", "Crack"), link("tapped", "Tapped"), link("flipped", "Turned over")]);
    match &shelf.hold {
        None => links.push(link("hold", "Hold")),
        Some(_) if ground_first => links.push(link("release", "Off hold")),
        Some(_) => {}
    }
    links.extend([
        link("graded", "Grade by eye"),
        link("move", "Move"),
        link("note", "Note"),
        link("retire", "Retire"),
        Link { href: format!("/labels?on={}", shelf.code), text: "Label".to_owned() },
    ]);
    links
}
