//! `/labels/marking`: where and how to put a code on the piece itself, per material.
//!
//! All of it is common practice without a source, and defers to the supplier's sheet.
use crate::event::values::Material;
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The guide.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Marking {
    /// Per material: its name, where, how, what not to do; those in the racks first.
    pub materials: Vec<Guide>,
    /// A code of the studio's, as the example.
    pub example: String,
}

/// One material's guide.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Guide {
    /// The material.
    pub material: String,
    /// Whether any is in the racks.
    pub here: bool,
    /// Where the mark goes.
    pub place: String,
    /// How it is made.
    pub how: String,
    /// What not to do.
    pub never: String,
}

/// The guide's data.
#[must_use]
pub fn page(world: &World) -> Marking {
    let here = |material| {
        world.shelves_in_service().any(|shelf| shelf.material == material)
            || world.posts_in_service().any(|post| post.material == material)
    };
    let mut materials: Vec<Guide> =
        Material::ALL.iter().map(|material| guide(*material, here(*material))).collect();
    materials.sort_by_key(|guide| !guide.here);
    let first = world.shelves_in_service().map(|shelf| &shelf.code).min();
    Marking { materials, example: first.map_or_else(|| "F07".to_owned(), ToString::to_string) }
}

fn guide(material: Material, here: bool) -> Guide {
    let edge = "On the thin edge, a hand's breadth from a corner, never in the middle of a side, where the shelf \
                bends most. A post: on its side near one end, never on the end itself.";
    let (how, never) = match material {
        Material::Cordierite | Material::HighAlumina => (
            "Brush the code with red iron oxide in water, thin as ink, where nothing touches; it fires to brown. \
             Or grind it in with a small wheel, a millimetre deep at most, wet or with extraction. Or file \
             notches: a long one for ten, a short one for one.",
            "No oxide on a face: it marks the ware. No deep cut: a crack begins there.",
        ),
        Material::DenseThinSic | Material::InfiltratedSic => (
            "Scratch the code with a diamond point or engraver, as shallow as can be read. Iron oxide brushed on \
             the edge holds for some firings and is renewed.",
            "No notch and no saw cut in a thin dense shelf, and no wet grinding without the supplier's dry-out \
             afterwards.",
        ),
        Material::ClayBondedSic | Material::NitrideSlitSic | Material::RecrystallisedSic => (
            "Engrave the code with a diamond point on the thin edge, dry, with extraction and a fitted mask. Iron \
             oxide in water also holds on the edge, where it is renewed from time to time.",
            "No notch beside a slit. What is engraved wet is a wet shelf: it goes on hold until it is logged dry.",
        ),
    };
    Guide {
        material: material.said().to_owned(),
        here,
        place: edge.to_owned(),
        how: how.to_owned(),
        never: never.to_owned(),
    }
}
