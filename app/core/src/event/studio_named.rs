//! The studio was given its name and the address that its labels lead to.
use crate::ids::StudioId;
use serde::{Deserialize, Serialize};

/// Whose furniture this is. A later one changes name or address; the studio stays the same.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct StudioNamed {
    /// The studio; part of every label, so that another studio's label is told apart.
    pub studio: StudioId,
    /// What it is called.
    pub name: String,
    /// Where its phones reach the server: `https://tripoise.local:7443`.
    pub address: String,
}
