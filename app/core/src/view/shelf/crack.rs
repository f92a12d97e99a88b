//! The data of the form for a crack: the outline to tap on, and the cracks already known.
use super::drawing::Scale;
use super::log::Named;
use crate::geometry::crack as geometry;
use crate::ids::CrackId;
use crate::outline::{Outline, Spot};
use crate::settings::SettingKey;
use crate::view::history::unit_of;
use crate::view::text::{self, LengthUnit};
use crate::world::{Shelf, World};
use serde::{Deserialize, Serialize};

/// The page for a crack.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct CrackPage {
    /// The shelf.
    pub named: Named,
    /// Its outline.
    pub outline: Outline,
    /// The cracks on record.
    pub known: Vec<KnownCrack>,
    /// Share across below which a crack is watched, in millionths.
    pub watch: i64,
    /// Share across over which a shelf is cut down, in millionths.
    pub bisque: i64,
}

/// A crack on record, which may be read again.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct KnownCrack {
    /// Its id.
    pub id: CrackId,
    /// Where it starts.
    pub from: Spot,
    /// Where it ends.
    pub to: Spot,
    /// How it is told from others: "52 mm, from 200 mm, 0 mm".
    pub said: String,
    /// Its drawing.
    pub path: String,
}

/// The page's data.
#[must_use]
pub fn crack(world: &World, shelf: &Shelf) -> CrackPage {
    let unit = unit_of(world);
    let scale = Scale::of(&shelf.outline);
    let known = shelf.cracks.values().map(|crack| KnownCrack {
        id: crack.id,
        from: crack.from,
        to: crack.to,
        said: format!(
            "the one from {}, {}: {}",
            text::length_by_eye(crack.from.x_nm, unit),
            text::length_by_eye(crack.from.y_nm, unit),
            size_said(&shelf.outline, crack.from, crack.to, unit)
        ),
        path: scale.line(crack.from, crack.to),
    });
    CrackPage {
        named: Named::of(world, shelf),
        outline: shelf.outline,
        known: known.collect(),
        watch: world.settings.get(SettingKey::CrackWatch),
        bisque: world.settings.get(SettingKey::CrackBisque),
    }
}

impl CrackPage {
    /// "52 mm long, 17 % of the way across: watch it", for a crack between these ends.
    #[must_use]
    pub fn said(&self, from: Spot, to: Spot, unit: LengthUnit) -> String {
        let across = geometry::measure(&self.outline, from, to).across * 1e6;
        #[expect(clippy::cast_precision_loss, reason = "settings are far below 2^53")]
        let over = |limit: i64| across > limit as f64;
        let class = match (over(self.bisque), over(self.watch)) {
            (true, _) => "cut it down or retire it",
            (false, true) => "bisque only",
            (false, false) => "watch it, if it rings",
        };
        format!("{}: {class}", size_said(&self.outline, from, to, unit))
    }
}

/// "52 mm long, 17 % of the way across".
#[must_use]
pub fn size_said(outline: &Outline, from: Spot, to: Spot, unit: LengthUnit) -> String {
    let size = geometry::measure(outline, from, to);
    format!(
        "{} long, {} of the way across",
        text::length_by_eye(size.length, unit),
        text::percent(size.across)
    )
}
