//! A shelf's flatness over its firings since its face was last ground, and the limit of its use.
//!
//! What this does not do: mix the faces. Readings of the face that is judged count, bare and alone: a reading over
//! wash, along a single line or of two shelves together says something else.
use super::{Way, Wear};
use crate::event::values::Use;
use crate::judge::shelf::{FlatnessView, fitness, surface};
use crate::settings::{SettingKey, Settings};
use crate::trend::{NoLine, Reading};
use crate::units::Length;
use crate::world::{Shelf, World};

/// The readings that count: of the face of `now`, since it was last ground; each with its standard uncertainty.
#[must_use]
pub fn readings(settings: &Settings, shelf: &Shelf, now: &FlatnessView) -> Vec<(Reading, Length)> {
    let counts = |view: &FlatnessView| {
        !view.stale && view.bare && view.face == now.face && !view.only_at_least() && !view.only_at_most()
    };
    let views = shelf.readings.iter().map(|reading| surface::read(settings, shelf, reading));
    views
        .filter(counts)
        .map(|view| (Reading { firing: f64::from(view.firings_then), value_mm: view.flatness.mm() }, view.u))
        .collect()
}

/// The line through them.
///
/// # Errors   [`NoLine`].
pub fn wear(settings: &Settings, shelf: &Shelf, now: &FlatnessView) -> Result<Wear, NoLine> {
    let (readings, us): (Vec<Reading>, Vec<Length>) = readings(settings, shelf, now).into_iter().unzip();
    Wear::of(readings, shelf.firings(), us.into_iter().max().unwrap_or_default())
}

/// The limit of what the shelf is flat enough for now, on its span, with the setting that holds it; none where
/// it is flat enough for nothing.
#[must_use]
pub fn limit(world: &World, shelf: &Shelf, flat_for: Option<Use>) -> Option<(Use, Length, SettingKey)> {
    let flat_for = flat_for?;
    let (_, key) = fitness::keys(flat_for)?;
    Some((flat_for, fitness::on_span(&world.settings, key, shelf.outline.span()), key))
}

/// Which way flatness wears.
pub const WAY: Way = Way::Up;
