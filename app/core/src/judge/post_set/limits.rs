//! What a set is judged by and from: the limits in force, and what is known of each post.
//!
//! Plain data, so that the page on which a set is put together can judge in the browser, where there is
//! no world. What this does not do: judge.
use crate::event::values::Instrument;
use crate::judge::decision::{SPREAD_95, uncertainty};
use crate::judge::finding::limit_said;
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::text::{self, LengthUnit};
use crate::world::Post;
use serde::{Deserialize, Serialize};

/// The limits in force, each with the text that says where it comes from.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Limits {
    /// Three posts: a spread to this is good.
    pub good: Length,
    /// A spread to this is accepted.
    pub accepted: Length,
    /// A spread to this can be shimmed.
    pub shim: Length,
    /// Four posts: a rocking gap to this is accepted.
    pub gap: Length,
    /// Where `good` comes from.
    pub good_said: String,
    /// Where `accepted` comes from.
    pub accepted_said: String,
    /// Where `shim` comes from.
    pub shim_said: String,
    /// Where `gap` comes from.
    pub gap_said: String,
    /// The unit to speak in.
    pub unit: LengthUnit,
}

impl Limits {
    /// The limits in force.
    #[must_use]
    pub fn of(settings: &Settings) -> Self {
        let unit = LengthUnit::from_setting(settings.get(SettingKey::ShownUnit));
        let said = |key| limit_said(settings, key, unit);
        Self {
            good: settings.length(SettingKey::SpreadGood),
            accepted: settings.length(SettingKey::SpreadLimit),
            shim: settings.length(SettingKey::SpreadShim),
            gap: settings.length(SettingKey::FourPostGap),
            good_said: said(SettingKey::SpreadGood),
            accepted_said: said(SettingKey::SpreadLimit),
            shim_said: said(SettingKey::SpreadShim),
            gap_said: said(SettingKey::FourPostGap),
            unit,
        }
    }

    pub(super) fn say(&self, length: Length) -> String {
        text::length(length, self.unit)
    }
}

/// What is known of one post of a set.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetPost {
    /// Its code.
    pub code: String,
    /// Its height, where a reading of it holds.
    pub height: Option<Length>,
    /// The standard uncertainty of the instrument it was read with.
    pub u: Length,
    /// What it was read with.
    pub instrument: Option<Instrument>,
    /// The day of the reading, or of the reading that no longer holds; empty where it was never measured.
    pub on: String,
    /// Whether it was dressed since its last reading.
    pub dressed: bool,
    /// Why it must not be loaded at all: "retired, too short", "on hold, wet"; empty where nothing bars it.
    pub barred: String,
}

impl SetPost {
    /// What is known of a post.
    #[must_use]
    pub fn of(settings: &Settings, post: &Post) -> Self {
        let last = post.last_reading();
        let holds = post.height_reading();
        let barred = match (&post.retired, &post.hold) {
            (Some(retired), _) => format!("retired, {}", retired.reason.said()),
            (None, Some(hold)) => format!("on hold, {}", hold.reason.said()),
            (None, None) => String::new(),
        };
        Self {
            code: post.code.to_string(),
            height: holds.map(|reading| reading.height),
            u: holds.map_or(Length::ZERO, |reading| uncertainty(settings, reading.instrument)),
            instrument: holds.map(|reading| reading.instrument),
            on: last.map_or_else(String::new, |reading| text::day(reading.stamp.at)),
            dressed: last.is_some_and(|reading| reading.stale),
            barred,
        }
    }
}

/// The largest standard uncertainty among the readings, and what it belongs to.
#[must_use]
pub fn coarsest(posts: &[SetPost]) -> Option<(Instrument, Length)> {
    let read = posts.iter().filter_map(|post| post.instrument.map(|instrument| (instrument, post.u)));
    read.max_by_key(|(_, u)| *u)
}

/// The guard band of a spread of heights, each read with standard uncertainty `u`.
///
/// # Source   1.96 times the uncertainty of a difference, sqrt 2 times u: see [`SPREAD_95`].
#[must_use]
pub fn spread_guard(u: Length) -> Length {
    Length::from_mm(SPREAD_95 * core::f64::consts::SQRT_2 * u.mm())
}

/// Why a spread is not simply held against its limit, in one line.
#[must_use]
pub fn guard_said(limits: &Limits, coarsest: Option<(Instrument, Length)>) -> String {
    let Some((instrument, u)) = coarsest else { return String::new() };
    format!(
        "guard band {} = 1.96 \u{d7} \u{221a}2 \u{d7} {}, the coarsest reading\u{2019}s ({}); decision rule of ISO 14253-1",
        limits.say(spread_guard(u)),
        limits.say(u),
        instrument.said()
    )
}
