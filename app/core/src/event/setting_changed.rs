//! A threshold or an instrument's uncertainty was changed, with the reason.
use crate::settings::SettingKey;
use serde::{Deserialize, Serialize};

/// One changed setting. The old value stays readable in the event before.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SettingChanged {
    /// Which.
    pub key: SettingKey,
    /// The new value in the setting's own whole unit ([`crate::settings::Quantity`]).
    pub value: i64,
    /// What was typed.
    pub text: String,
    /// Why.
    pub reason: String,
}
