//! The card's tables and lists: readings beside one another, cracks, washes, and what is known otherwise.
//!
//! What this does not do: judge any of it.
use super::{CrackLine, ReadingLine};
use crate::event::values::{Face, Piece};
use crate::geometry::crack;
use crate::judge::shelf::{FlatnessView, care, compare, cracks as judged, material};
use crate::units::Length;
use crate::view::text::{self, LengthUnit, length, length_bare};
use crate::world::{Crack, Shelf, Wash, World};

/// House choice: readings in the comparison; the history has them all.
const READINGS: usize = 8;

pub fn readings(world: &World, shelf: &Shelf, unit: LengthUnit) -> Vec<ReadingLine> {
    let views = compare::readings(&world.settings, shelf, READINGS + 1);
    let line = |(idx, view): (usize, &FlatnessView)| {
        let before = views.iter().skip(idx + 1).find(|other| other.face == view.face);
        let signed = |value: Option<Length>, down: &str, up: &str| match value {
            None => "-".to_owned(),
            Some(value) if length_bare(value, unit) == "0" => length(value.abs(), unit),
            Some(value) => format!("{} {}", if value.0 < 0 { down } else { up }, length(value.abs(), unit)),
        };
        let mut remarks = Vec::new();
        if let Some((now, then)) = view.bow.zip(before.and_then(|before| before.bow)) {
            let change = now - then;
            let way = if change.0 < 0 { "dish" } else { "hump" };
            remarks.push(format!("{} more {way} than before", length(change.abs(), unit)));
        }
        if view.stale {
            remarks.push("ground since".to_owned());
        }
        if !view.bare {
            remarks.push("over wash".to_owned());
        }
        if let Some(other) = view.shared_with {
            let code = world.code_of(Piece::Shelf(other));
            remarks.push(format!("against {code}, both together"));
        }
        if let Some(slip) = &view.slip {
            remarks.push(format!("contradicts itself by {}: {}", length(slip.residual, unit), slip.said()));
        }
        ReadingLine {
            when: text::day(view.at),
            how: format!(
                "{}, {}, {}",
                text::count(u64::from(view.firings_then), "firing", "firings"),
                view.face.said(),
                view.instrument.said()
            ),
            flatness: length(view.flatness, unit),
            bow: signed(view.bow, "dish", "hump"),
            twist: signed(view.twist, "down", "up"),
            remark: remarks.join("; "),
        }
    };
    views.iter().enumerate().take(READINGS).map(line).collect()
}

pub fn cracks(world: &World, shelf: &Shelf, unit: LengthUnit) -> Vec<CrackLine> {
    let posts = judged::post_spots(world, shelf);
    let line = |crack: &Crack| {
        let size = crack::measure(&shelf.outline, crack.from, crack.to);
        let (_, end) = judged::tip(&shelf.outline, crack);
        let post = judged::nearest_post(&posts, end).map_or(String::new(), |nearest| {
            format!("its end {} from the nearest post", text::length_by_eye(nearest, unit))
        });
        let note = if crack.note.is_empty() { String::new() } else { format!("; {}", crack.note) };
        CrackLine {
            said: format!(
                "{} long, {} of the way across, {}",
                text::length_by_eye(size.length, unit),
                text::percent(size.across),
                crack.ring.said()
            ),
            more: format!("read {}; {post}{note}", text::moment(crack.stamp.at)),
        }
    };
    shelf.cracks.values().map(line).collect()
}

pub fn washes(shelf: &Shelf) -> Vec<String> {
    let line = |(face, wash): (&Face, &Wash)| {
        let age = shelf.firings().saturating_sub(wash.firings_then);
        let coats = text::count(u64::from(wash.coats), "coat", "coats");
        let old = text::count(u64::from(age), "firing", "firings");
        format!("{}: {}, {coats}, {old} old", face.said(), wash.recipe)
    };
    shelf.washes.iter().map(line).collect()
}

pub fn facts(world: &World, shelf: &Shelf, unit: LengthUnit) -> Vec<[String; 2]> {
    let mut facts = vec![
        ["Material".to_owned(), shelf.material.said().to_owned()],
        ["Face up".to_owned(), shelf.up.said().to_owned()],
        ["Thickness".to_owned(), thickness_said(shelf, unit)],
        [
            "About as heavy as".to_owned(),
            format!(
                "{} kg, by its material\u{2019}s usual density",
                text::fixed(material::about_kg(shelf), 1)
            ),
        ],
    ];
    if let Some(kiln) = world.kilns.get(&shelf.kiln) {
        facts.push([
            "Kiln".to_owned(),
            format!("{}, {}, usually to cone {}", kiln.name, kiln.fuel.said(), kiln.usual_cone),
        ]);
    }
    if let Some((ring, stamp)) = &shelf.ring {
        facts.push(["Last tap test".to_owned(), format!("{}, {}", ring.said(), text::moment(stamp.at))]);
    }
    if shelf.grinding_minutes > 0 {
        facts.push(["Grinding".to_owned(), format!("{} min in all", shelf.grinding_minutes)]);
    }
    if let Some(bought) = shelf.bought_on {
        facts.push(["Bought".to_owned(), bought.to_string()]);
    }
    if let Some(cents) = shelf.price_cents {
        facts.push(["Price".to_owned(), format!("{}.{:02}", cents / 100, cents % 100)]);
    }
    facts
}

fn thickness_said(shelf: &Shelf, unit: LengthUnit) -> String {
    if shelf.ground_off.0 == 0 {
        return length(shelf.thickness, unit);
    }
    let (now, off) = (length(shelf.thickness_now(), unit), length(shelf.ground_off, unit));
    let lost = shelf.ground_off.mm() / shelf.thickness.mm().max(f64::MIN_POSITIVE);
    format!("{now} ({off} ground off; {} of the stiffness left)", text::percent(care::stiffness_left(lost)))
}
