//! At what rate a shelf warps since it was last ground, and in how many firings it leaves its use's limit.
//!
//! What this does not do: fit; [`crate::judge::wear`] does.
use crate::event::values::Use;
use crate::judge::limit_said;
use crate::judge::shelf::FlatnessView;
use crate::judge::wear::{self, Outlook};
use crate::units::Length;
use crate::view::chart::{Asked, Chart, WearSaid, ahead_for, draw};
use crate::view::history::unit_of;
use crate::view::text::{length, sentence};
use crate::world::{Shelf, World};

/// The words, and the readings drawn with the line and the limit. Nothing for a retired shelf, one not read
/// since it was ground, or one flat enough for nothing.
#[must_use]
pub fn of_shelf(
    world: &World,
    shelf: &Shelf,
    now: Option<&FlatnessView>,
    flat_for: Option<Use>,
) -> (WearSaid, Option<Chart>) {
    let limit = wear::shelf::limit(world, shelf, flat_for);
    let (Some(now), Some((used_for, limit, key)), None) =
        (now.filter(|view| !view.stale), limit, &shelf.retired)
    else {
        return (WearSaid::default(), None);
    };
    let unit = unit_of(world);
    let readings = wear::shelf::readings(&world.settings, shelf, now);
    let fitted = wear::shelf::wear(&world.settings, shelf, now);
    let does = format!("leaves the limit for {}", used_for.said());
    let (said, ahead) = match &fitted {
        Err(cause) => {
            let since = format!("{} was last ground", now.face.said());
            let said = wear::no_line_said(*cause, &since);
            let line = format!("Cannot tell yet how fast it warps: {said}.");
            (WearSaid { lines: vec![line], rests_on: String::new() }, 0.0)
        }
        Ok(fitted) => {
            let outlook = fitted.outlook(limit, wear::shelf::WAY);
            let said = outlook.said(&does, fitted);
            let line = match outlook {
                Outlook::CannotTell | Outlook::Away => format!("{}.", sentence(&said)),
                Outlook::Past => format!("{} {said}.", shelf.code),
                Outlook::Far { .. } | Outlook::In { .. } => format!("At this rate {} {said}.", shelf.code),
            };
            let rests_on = format!(
                "{}; {} of {}, bare, since it was last ground; limit {}: {}. Least squares, 95 % limits after Fieller; \
                 it holds only while it warps on as it did",
                fitted.rate_said(unit, ["flatter", "less flat"]),
                fitted.rests_on(),
                now.face.said(),
                length(limit, unit),
                limit_said(&world.settings, key, unit)
            );
            (WearSaid { lines: vec![line], rests_on }, ahead_for(&[outlook], fitted))
        }
    };
    let mut caption = format!(
        "Flatness of {} over firings since it was last ground, and the limit for {}.",
        now.face.said(),
        used_for.said()
    );
    if fitted.is_ok() {
        caption.push_str(" The line is fitted, dashed where it is carried on; about it, its 95 % band.");
    }
    if ahead > 0.0 {
        caption.push_str(" Upright: now.");
    }
    let chart = draw(Asked {
        dots: readings.iter().map(|(r, _)| (whole(r.firing), Length::from_mm(r.value_mm), true)).collect(),
        levels: vec![(limit, "limit".to_owned(), true), (Length::ZERO, "flat".to_owned(), false)],
        passes: Some((limit, Length::ZERO)),
        wear: fitted.as_ref().ok(),
        ahead,
        now: shelf.firings(),
        said: format!("{} readings of flatness over firings", readings.len()),
        caption,
    });
    (said, chart)
}

/// Firings of a reading, which are whole.
fn whole(firings: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "made from a u32")]
    let whole = firings as u32;
    whole
}
