//! Ids: one newtype per thing, never a bare UUID across a function boundary.
//!
//! What this does not do: make ids. They are UUIDv7 made by the device that records (browser) or by the
//! server for forms posted without JavaScript, and arrive here as arguments.
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use uuid::Uuid;

macro_rules! id_newtypes {
    ($($(#[$meta:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl FromStr for $name {
            type Err = uuid::Error;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Uuid::from_str(text.trim()).map(Self)
            }
        }
    )+};
}

id_newtypes! {
    /// One event.
    EventId,
    /// One phone, one browser, or the server itself where a form was posted without JavaScript.
    DeviceId,
    /// One kiln shelf.
    ShelfId,
    /// One post.
    PostId,
    /// One set of three or four posts.
    SetId,
    /// One kiln.
    KilnId,
    /// One firing.
    FiringId,
    /// One crack on one shelf.
    CrackId,
    /// The studio; part of every label.
    StudioId,
    /// One printed label.
    LabelId,
    /// Labels printed together.
    SheetId,
    /// One plan of a load.
    PlanId,
}
