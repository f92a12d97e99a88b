//! `/settings`: every limit that judgements rest on, with where it comes from; `/settings/NAME`: one of them.
use super::add::{Start, put};
use super::history::{self, setting_value};
use super::route::{Parts, Request, correcting};
use super::text::LengthUnit;
use super::{FormState, HistoryLine, PageData, Tab};
use crate::event::{Body, SettingChanged};
use crate::form::shelf::exact;
use crate::settings::{DEFAULTS, Quantity, Setting, SettingKey};
use crate::units::Length;
use crate::world::{Subject, World};
use serde::{Deserialize, Serialize};

/// The page at `/settings`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SettingsPage {
    /// How many the studio changed: "2 of 37 changed".
    pub said: String,
    /// The settings under their headings.
    pub groups: Vec<SettingGroup>,
}

/// Settings under one heading.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SettingGroup {
    /// The heading.
    pub title: String,
    /// The settings.
    pub settings: Vec<SettingLine>,
}

/// One setting as it stands.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SettingLine {
    /// Its page.
    pub href: String,
    /// What it is.
    pub label: String,
    /// The value in force.
    pub value: String,
    /// The default.
    pub default: String,
    /// How far the default may be trusted: "common practice, no source".
    pub provenance: String,
    /// Where the default comes from.
    pub source: String,
    /// Whether the value in force is the studio's own.
    pub changed: bool,
}

/// The page at `/settings/NAME`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SettingPage {
    /// Which.
    pub key: SettingKey,
    /// The value in force, in the setting's own whole unit.
    pub now: i64,
    /// How it stands.
    pub line: SettingLine,
    /// "1 % to 100 %".
    pub range: String,
    /// What it counts in.
    pub quantity: Quantity,
    /// What became of it, newest first.
    pub history: Vec<HistoryLine>,
}

/// Whether a ratio is said in per cent, or "to 1".
#[must_use]
pub const fn is_percent(about: &Setting) -> bool {
    matches!(about.quantity, Quantity::Ratio) && about.default < 1_000_000
}

/// The form's values for a change on record.
#[must_use]
pub fn values_of(change: &SettingChanged, unit: LengthUnit) -> Start {
    let mut start = Start::new();
    put(&mut start, "value", input(change.key, change.value, unit));
    put(&mut start, "reason", &change.reason);
    start
}

/// A value as a form field takes it.
fn input(key: SettingKey, value: i64, unit: LengthUnit) -> String {
    match key.about().quantity {
        Quantity::Length => exact(Length(value), unit),
        Quantity::Ratio | Quantity::Stress | Quantity::Stiffness => setting_value(key, value, unit),
        Quantity::Count | Quantity::LengthUnit => value.to_string(),
    }
}

/// The page at `/settings`.
#[must_use]
pub fn page(world: &World) -> Parts {
    let mut groups: Vec<SettingGroup> = Vec::new();
    for about in DEFAULTS {
        let one = line(world, about);
        match groups.last_mut().filter(|group| group.title == about.group) {
            Some(group) => group.settings.push(one),
            None => groups.push(SettingGroup { title: about.group.to_owned(), settings: vec![one] }),
        }
    }
    let n_changed = DEFAULTS.iter().filter(|about| world.settings.is_changed(about.key)).count();
    let said = format!("{n_changed} of {} changed by the studio", DEFAULTS.len());
    Parts {
        title: "Settings".to_owned(),
        subtitle: "limits, and where each comes from".to_owned(),
        tab: Tab::More,
        data: PageData::Settings(SettingsPage { said, groups }),
        form: FormState::default(),
    }
}

fn line(world: &World, about: &Setting) -> SettingLine {
    let unit = history::unit_of(world);
    SettingLine {
        href: format!("/settings/{}", about.name),
        label: about.label.to_owned(),
        value: setting_value(about.key, world.settings.get(about.key), unit),
        default: setting_value(about.key, about.default, unit),
        provenance: about.provenance.said().to_owned(),
        source: about.source.to_owned(),
        changed: world.settings.is_changed(about.key),
    }
}

/// The page at `/settings/NAME`.
///
/// # Errors   A setting that is not there.
pub fn one(world: &World, request: &Request, name: &str) -> Result<Parts, String> {
    let key = SettingKey::from_name(name).ok_or_else(|| format!("no setting is called {name}"))?;
    let (about, unit) = (key.about(), history::unit_of(world));
    let now = world.settings.get(key);
    let values = match correcting(world, request).map(|correcting| correcting.body) {
        Some(Body::SettingChanged(change)) if change.key == key => values_of(&change, unit),
        _ => {
            let mut start = Start::new();
            put(&mut start, "value", input(key, now, unit));
            start
        }
    };
    let shown = |value| setting_value(key, value, unit);
    let data = SettingPage {
        key,
        now,
        line: line(world, about),
        range: format!("{} to {}", shown(about.low), shown(about.high)),
        quantity: about.quantity,
        history: history::lines(world, Subject::Setting(key)),
    };
    Ok(Parts {
        title: shown(now),
        subtitle: format!("{}: {}", about.group, about.label),
        tab: Tab::More,
        data: PageData::Setting(Box::new(data)),
        form: FormState { action: "change".to_owned(), values, problems: Vec::new() },
    })
}
