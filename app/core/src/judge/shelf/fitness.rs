//! Flatness against the trade's limits, scaled to the shelf's span, with the reading's uncertainty.
use super::FlatnessView;
use crate::event::values::Use;
use crate::judge::decision::{self, Decision};
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// What flatness says about one use.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Grade {
    /// Under the good limit by more than the guard band.
    Good,
    /// Under the limit by more than the guard band, and not proved good.
    Watch,
    /// Too near the limit to decide with this instrument.
    Undecided,
    /// Over it.
    Not,
}

impl Grade {
    /// As shown.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Watch => "watch",
            Self::Undecided => "undecided",
            Self::Not => "not for this use",
        }
    }
}

/// The verdict on one use.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct UseVerdict {
    /// The use.
    pub fit_for: Use,
    /// Good under this, on this shelf's span.
    pub good: Length,
    /// Not over this, on this shelf's span.
    pub limit: Length,
    /// What the reading says.
    pub grade: Grade,
}

/// The two settings that hold a use's limits; none for "no use".
#[must_use]
pub const fn keys(fit_for: Use) -> Option<(SettingKey, SettingKey)> {
    match fit_for {
        Use::Flatware => Some((SettingKey::FlatwareGood, SettingKey::FlatwareLimit)),
        Use::General => Some((SettingKey::GeneralGood, SettingKey::GeneralLimit)),
        Use::Wadded => Some((SettingKey::WaddedGood, SettingKey::WaddedLimit)),
        Use::Bisque => Some((SettingKey::BisqueGood, SettingKey::BisqueLimit)),
        Use::NoUse => None,
    }
}

/// A use in one word, for a mark.
#[must_use]
pub const fn short(fit_for: Use) -> &'static str {
    match fit_for {
        Use::Flatware => "plates",
        Use::General => "mugs",
        Use::Wadded => "wadded",
        Use::Bisque => "bisque",
        Use::NoUse => "no use",
    }
}

/// A limit that is stated for [`SettingKey::FlatnessSpan`], on another span: the same share of it.
///
/// # Source   0.25, 0.5 and 1 % of the span, by ratio of spans.
#[must_use]
pub fn on_span(settings: &Settings, key: SettingKey, span: Length) -> Length {
    let stated_for = settings.length(SettingKey::FlatnessSpan).mm();
    Length::from_mm(settings.length(key).mm() * span.mm() / stated_for)
}

/// The verdict on every use, the most demanding first.
///
/// # Source   ISO 14253-1 (guard band of 1.645 standard uncertainties on either side of the limit).
#[must_use]
pub fn verdicts(settings: &Settings, span: Length, view: &FlatnessView) -> Vec<UseVerdict> {
    Use::ALL
        .iter()
        .filter_map(|fit_for| {
            let (good, limit) = keys(*fit_for)?;
            let (good, limit) = (on_span(settings, good, span), on_span(settings, limit, span));
            let against = |limit: Length| {
                decision::against_limit(view.flatness.mm(), limit.mm(), view.u.mm(), decision::ONE_SIDED_95)
            };
            let grade = match (against(limit), against(good)) {
                // A single line shows too little to pass a face; a gap between two shelves may be the other's.
                (Decision::Within, _) if view.only_at_least() => Grade::Undecided,
                (Decision::Over, _) if view.only_at_most() => Grade::Undecided,
                (Decision::Within, Decision::Within) => Grade::Good,
                (Decision::Within, _) => Grade::Watch,
                (Decision::Undecided, _) => Grade::Undecided,
                (Decision::Over, _) => Grade::Not,
            };
            Some(UseVerdict { fit_for: *fit_for, good, limit, grade })
        })
        .collect()
}
