//! `/more`: the rest of the tool; `/about`: what it is, what it does not know, and the cautions.
use super::route::Parts;
use super::{FormState, PageData, Tab, text};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The page at `/more`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct More {
    /// "312 entries, nothing is ever rubbed out".
    pub record: String,
    /// "4 changed by the studio", "all as they came".
    pub settings: String,
}

/// The page at `/more`.
#[must_use]
pub fn page(world: &World) -> Parts {
    let n_entries = text::count(world.log.len() as u64, "entry", "entries");
    let changed = |about: &&crate::settings::Setting| world.settings.is_changed(about.key);
    let n_changed = crate::settings::DEFAULTS.iter().filter(changed).count();
    let settings = match n_changed {
        0 => "all as they came".to_owned(),
        n => format!("{n} changed by the studio"),
    };
    Parts {
        title: "More".to_owned(),
        subtitle: String::new(),
        tab: Tab::More,
        data: PageData::More(More { record: format!("{n_entries}; nothing is ever rubbed out"), settings }),
        form: FormState::default(),
    }
}

/// The page at `/about`.
#[must_use]
pub fn about() -> Parts {
    Parts {
        title: "About Tripoise".to_owned(),
        subtitle: "what it does not know, and the cautions".to_owned(),
        tab: Tab::More,
        data: PageData::About,
        form: FormState::default(),
    }
}
