//! Every event in one spoken line, and the history of a piece.
use super::HistoryLine;
use super::text::{self, LengthUnit, length};
use crate::event::values::{Piece, Ring, Typed};
use crate::event::{Against, Body, Event, ShelfMeasured, SurfaceReading};
use crate::ids::{KilnId, PlanId, PostId, SetId, ShelfId};
use crate::settings::{Quantity, SettingKey};
use crate::world::{LogEntry, Standing, Subject, World};

/// What happened, in one line with the piece's code in front: "F07: washed on face A, 2 coats".
#[must_use]
pub fn said(world: &World, event: &Event) -> String {
    let unit = unit_of(world);
    match &event.body {
        Body::KilnAdded(b) => format!("{}: added, {} kiln to cone {}", b.name, b.fuel.said(), b.usual_cone),
        Body::ShelfAdded(b) => format!("{}: added, {}", b.code, b.material.said()),
        Body::PostAdded(b) => format!("{}: added, {} post", b.code, length(b.nominal_nm, unit)),
        Body::ShelfGraded(b) => format!("{}: fit by eye for {}", shelf(world, b.shelf), b.fit_for.said()),
        Body::ShelfMeasured(b) => format!("{}: {}", shelf(world, b.shelf), measured(world, b)),
        Body::PostMeasured(b) => {
            let square = b
                .out_of_square
                .as_ref()
                .map_or(String::new(), |t| format!(", end out of square by {}", length(t.nm, unit)));
            format!("{}: {} by {}{square}", post(world, b.post), typed(&b.height, unit), b.instrument.said())
        }
        Body::SetMade(b) => {
            let codes: Vec<String> = b.posts.iter().map(|id| post(world, *id)).collect();
            format!("{}: set of {}", b.code, codes.join(", "))
        }
        Body::SetParted(b) => format!("{}: taken apart, {}", set(world, b.set), b.reason),
        Body::ShelfGround(b) => {
            let off = b.removed_nm.map_or(String::new(), |l| format!(", {} off", length(l, unit)));
            let time = b.minutes.map_or(String::new(), |m| format!(", {m} min"));
            let code = shelf(world, b.shelf);
            format!(
                "{code}: ground {} on {}{off}{time}, mask {}",
                b.method.said(),
                b.face.said(),
                b.mask.said()
            )
        }
        Body::PostDressed(b) => {
            let off = b.removed_nm.map_or(String::new(), |l| format!(", {} off", length(l, unit)));
            let time = b.minutes.map_or(String::new(), |m| format!(", {m} min"));
            format!(
                "{}: end dressed {}{off}{time}, mask {}",
                post(world, b.post),
                b.method.said(),
                b.mask.said()
            )
        }
        Body::ShelfWashed(b) => {
            let coats = text::count(u64::from(b.coats), "coat", "coats");
            format!("{}: washed on {}, {coats}, {}", shelf(world, b.shelf), b.face.said(), b.recipe)
        }
        Body::CrackFound(b) => {
            let crack = world
                .shelves
                .get(&b.shelf)
                .map(|s| crate::geometry::crack::measure(&s.outline, b.from, b.to));
            let size = crack.map_or(String::new(), |c| {
                format!(
                    " {} long, {} of the way across",
                    text::length_by_eye(c.length, unit),
                    text::percent(c.across)
                )
            });
            format!("{}: crack{size}, {}{}", shelf(world, b.shelf), ring(b.ring), note(&b.note))
        }
        Body::ShelfTapped(b) => format!("{}: tapped, {}", shelf(world, b.shelf), ring(b.ring)),
        Body::ShelfFlipped(b) => format!("{}: turned over, {} up", shelf(world, b.shelf), b.up.said()),
        Body::PieceHeld(b) => {
            format!("{}: on hold, {}{}", world.code_of(b.piece), b.reason.said(), note(&b.note))
        }
        Body::PieceReleased(b) => format!("{}: off hold, {}", world.code_of(b.piece), b.because),
        Body::PieceMoved(b) => {
            let place = if b.place.is_empty() { String::new() } else { format!(", {}", b.place) };
            format!("{}: moved to {}{place}", world.code_of(b.piece), kiln(world, b.kiln))
        }
        Body::PieceRetired(b) => {
            format!("{}: retired, {}{}", world.code_of(b.piece), b.reason.said(), note(&b.note))
        }
        Body::PieceReturned(b) => format!("{}: back in use, {}", world.code_of(b.piece), b.because),
        Body::KilnFired(b) => {
            let shelves = b.pieces.iter().filter(|p| matches!(p, Piece::Shelf(_))).count();
            let posts = b.pieces.len() - shelves;
            format!(
                "{}: {} firing to cone {} on {}, {} and {}",
                kiln(world, b.kiln),
                b.ware.said(),
                b.cone,
                b.fired_on,
                text::count(shelves as u64, "shelf", "shelves"),
                text::count(posts as u64, "post", "posts")
            )
        }
        Body::NoteAdded(b) => format!("{}: {}", world.code_of(b.piece), b.text),
        Body::SettingChanged(b) => {
            format!("{}: {}, because {}", b.key.about().label, setting_value(b.key, b.value, unit), b.reason)
        }
        Body::StudioNamed(b) => format!("studio named {}, labels lead to {}", b.name, b.address),
        Body::LabelsMade(b) => {
            let codes: Vec<String> = b.labels.iter().take(3).map(|made| world.code_on(made.on)).collect();
            let rest = match b.labels.len() - codes.len() {
                0 => String::new(),
                n => format!(" and {n} more"),
            };
            format!("{}{rest}: label made", codes.join(", "))
        }
        Body::LabelGridSet(b) => {
            let offered = if b.offered { "" } else { ", put away" };
            format!("label grid {}: {}{offered}", b.grid.name, b.grid.said())
        }
        Body::KilnChamberSet(b) => format!("{}: inside measured", kiln(world, b.kiln)),
        Body::PlanSaved(b) => {
            let layers: usize = b.stacks.iter().map(|stack| stack.layers.len()).sum();
            let layers = text::count(layers as u64, "layer", "layers");
            format!("{}: plan {} saved, {layers}", kiln(world, b.kiln), b.name)
        }
        Body::PlanOverruled(b) if b.reason.is_empty() => {
            format!("{}: no longer overruled: {}", plan(world, b.plan), b.said)
        }
        Body::PlanOverruled(b) => {
            format!("{}: overruled: {}, because {}", plan(world, b.plan), b.said, b.reason)
        }
        Body::PlanTicked(b) => {
            let what = if b.loaded { "loaded" } else { "not loaded after all" };
            format!("{}: {} layer {} {what}", plan(world, b.plan), b.place, b.layer)
        }
        Body::PlanDropped(b) => format!("{}: given up", plan(world, b.plan)),
        Body::FindingNoted(b) => {
            format!("{}: {} seen{}", world.code_of(b.piece), b.flaw.said(), note(&b.note))
        }
        Body::PhotoTaken(b) => format!("{}: photo{}", world.code_of(b.piece), note(&b.note)),
        Body::FiringChecked(b) => {
            let firing = world.firings.get(&b.firing);
            let of = firing.map_or_else(
                || "-".to_owned(),
                |one| format!("{}, firing of {}", kiln(world, one.kiln), one.fired_on),
            );
            format!("{of}: looked over{}", note(&b.note))
        }
        Body::EventsWithdrawn(b) => {
            let what = match b.events.as_slice() {
                [one] => world.entry(*one).map_or("an entry".to_owned(), |e| said(world, &e.event)),
                many => format!("{} entries", many.len()),
            };
            format!("taken back: {what}{}", note(&b.reason))
        }
    }
}

fn plan(world: &World, id: PlanId) -> String {
    world.plans.get(&id).map_or_else(|| "a plan".to_owned(), |plan| plan.name.clone())
}

/// A setting's value as shown: `1.6 mm`, `25 %`, `100`.
#[must_use]
pub fn setting_value(key: SettingKey, value: i64, unit: LengthUnit) -> String {
    match key.about().quantity {
        Quantity::Length => length(crate::units::Length(value), unit),
        Quantity::Ratio if key.about().default >= 1_000_000 => format!("{} to 1", trim(value, 1_000_000)),
        Quantity::Ratio => format!("{} %", trim(value, 10_000)),
        Quantity::Count => value.to_string(),
        Quantity::Stress => format!("{} MPa", trim(value, 1_000)),
        Quantity::Stiffness => format!("{} GPa", trim(value, 1_000)),
        Quantity::LengthUnit => match LengthUnit::from_setting(value) {
            LengthUnit::Mm => "millimetres".to_owned(),
            LengthUnit::Inch => "decimal inches".to_owned(),
            LengthUnit::InchFraction => "inches and 64ths".to_owned(),
        },
    }
}

/// `value / scale` as a decimal without trailing zeros.
fn trim(value: i64, scale: i64) -> String {
    let text = format!("{}.{:06}", value / scale, (value % scale).abs() * (1_000_000 / scale));
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A subject's history, newest first.
#[must_use]
pub fn lines(world: &World, subject: Subject) -> Vec<HistoryLine> {
    world.history(subject).rev().map(|entry| line(world, entry)).collect()
}

/// The newest `most` events of the whole studio, newest first.
#[must_use]
pub fn newest(world: &World, most: usize) -> Vec<HistoryLine> {
    world.log.iter().rev().take(most).map(|entry| line(world, entry)).collect()
}

/// One log entry as a line.
#[must_use]
pub fn line(world: &World, entry: &LogEntry) -> HistoryLine {
    let standing = match &entry.standing {
        Standing::Stands => String::new(),
        Standing::Withdrawn { .. } => "taken back".to_owned(),
        Standing::Corrected { by } => format!("corrected to: {}", said(world, by)),
        Standing::Correction { .. } => "corrects an earlier entry".to_owned(),
    };
    HistoryLine {
        event: entry.event.id,
        at: text::moment(entry.event.observed_at),
        said: said(world, &entry.event),
        photo: super::photo::of_entry(world, entry),
        counts: matches!(entry.standing, Standing::Stands | Standing::Correction { .. }),
        standing,
    }
}

/// The unit that the studio chose.
#[must_use]
pub fn unit_of(world: &World) -> LengthUnit {
    LengthUnit::from_setting(world.settings.get(SettingKey::ShownUnit))
}

fn measured(world: &World, b: &ShelfMeasured) -> String {
    let how = match &b.reading {
        SurfaceReading::Grid { heights, .. } => {
            format!("grid of {} points", heights.iter().flatten().count())
        }
        SurfaceReading::Lines { against, lines } => {
            let lines = text::count(lines.len() as u64, "line", "lines");
            match against {
                Against::Straightedge => format!("{lines} with a straightedge"),
                Against::Spacers { .. } => format!("{lines} with a straightedge on spacers"),
                Against::Shelf { other } => format!("{lines} against {}", shelf(world, *other)),
            }
        }
    };
    let wash = if b.bare { "" } else { ", over wash" };
    format!("{} read, {how}, {}{wash}{}", b.face.said(), b.instrument.said(), note(&b.note))
}

fn typed(value: &Typed, unit: LengthUnit) -> String {
    length(value.nm, unit)
}

fn ring(ring: Ring) -> &'static str {
    ring.said()
}

fn note(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!(" ({text})") }
}

fn shelf(world: &World, id: ShelfId) -> String {
    world.code_of(Piece::Shelf(id))
}

fn post(world: &World, id: PostId) -> String {
    world.code_of(Piece::Post(id))
}

fn set(world: &World, id: SetId) -> String {
    world.sets.get(&id).map_or("-".to_owned(), |set| set.code.to_string())
}

fn kiln(world: &World, id: KilnId) -> String {
    world.kilns.get(&id).map_or("-".to_owned(), |kiln| kiln.name.clone())
}
