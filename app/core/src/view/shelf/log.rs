//! The data of the short forms: ground, washed, tapped, turned over, graded.
use crate::event::values::{Face, Fuel, GrindMethod};
use crate::form::quantity::Feelers;
use crate::ids::ShelfId;
use crate::judge::shelf::material;
use crate::units::Length;
use crate::view::remember::Bench;
use crate::view::text::fixed;
use crate::world::{Shelf, World};
use serde::{Deserialize, Serialize};

/// What every form of a shelf needs: which shelf, and where to go afterwards.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Named {
    /// The shelf.
    pub shelf: ShelfId,
    /// Its card's address.
    pub path: String,
    /// The face that is up.
    pub up: Face,
    /// Household feelers in force, for lengths typed by their names.
    pub feelers: Feelers,
}

impl Named {
    /// This shelf.
    #[must_use]
    pub fn of(world: &World, shelf: &Shelf) -> Self {
        Self {
            shelf: shelf.id,
            path: super::path(world, shelf),
            up: shelf.up,
            feelers: Feelers::of(&world.settings),
        }
    }
}

/// Grinding.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Ground {
    /// The shelf.
    pub named: Named,
    /// What is left of its thickness: no more can come off.
    pub thickness: Length,
    /// Whether grinding it wet puts it on hold.
    pub wet_holds: bool,
    /// What is to be said about lifting it; empty for a light one.
    pub lifting: String,
    /// Wet or dry as it was ground last.
    pub method: GrindMethod,
    /// Mask and minutes of the last grinding of any shelf.
    pub like: Option<Bench>,
}

/// Warned of from here when reaching down into a top-loader.
///
/// # Source   common practice; the published 23 kg holds only in the best posture.
const LIFT_WARN_KG: f64 = 9.0;
/// NIOSH's lifting equation starts here, in the best posture.
///
/// # Source   NIOSH, Applications manual for the revised lifting equation, 1994: load constant 23 kg.
const LIFT_MOST_KG: f64 = 23.0;

/// The page for grinding.
#[must_use]
pub fn ground(world: &World, shelf: &Shelf) -> Ground {
    Ground {
        named: Named::of(world, shelf),
        thickness: shelf.thickness_now(),
        wet_holds: shelf.material.is_silicon_carbide(),
        lifting: lifting(shelf),
        method: shelf.last_ground.map_or(GrindMethod::Dry, |(method, ..)| method),
        like: Bench::of_grinding(world),
    }
}

/// What is to be said about lifting this shelf; empty for a light one.
#[must_use]
pub fn lifting(shelf: &Shelf) -> String {
    let kg = material::about_kg(shelf);
    let about = fixed(kg, 0);
    if kg >= LIFT_MOST_KG {
        format!(
            "This shelf weighs about {about} kg. NIOSH\u{2019}s lifting equation allows 23 kg in the best posture only: \
             lift it with two, or with a hoist, by your local rules."
        )
    } else if kg >= LIFT_WARN_KG {
        format!(
            "This shelf weighs about {about} kg: do not reach down into a top-loader with it alone. Follow your local \
             rules for lifting."
        )
    } else {
        String::new()
    }
}

/// Kiln wash.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Washed {
    /// The shelf.
    pub named: Named,
    /// The recipe used last on this shelf, where it is none of the two.
    pub last_recipe: String,
    /// Whether its kiln wants a wash without silica, and why; empty where not.
    pub no_silica: String,
}

/// The two recipes that the trade begins with. Neither has silica added.
///
/// # Source   common practice, no single source.
pub const RECIPES: [(&str, &str); 2] = [
    ("halves", "alumina hydrate and kaolin, equal parts by volume"),
    ("calcined", "alumina hydrate 2, kaolin 1, calcined kaolin 1 by weight"),
];

/// The page for washing.
#[must_use]
pub fn washed(world: &World, shelf: &Shelf) -> Washed {
    let last = shelf.washes.values().max_by_key(|wash| wash.stamp.at).map_or("", |wash| &wash.recipe);
    let own = RECIPES.iter().all(|(_, said)| *said != last);
    let no_silica = match world.kilns.get(&shelf.kiln) {
        Some(kiln) if matches!(kiln.fuel, Fuel::Wood | Fuel::SodaOrSalt) => {
            format!("No silica in the wash for {} firings.", kiln.fuel.said())
        }
        Some(kiln) if kiln.usual_cone.rank() > 8 => {
            format!("No silica in the wash at cone {}.", kiln.usual_cone)
        }
        _ => String::new(),
    };
    Washed {
        named: Named::of(world, shelf),
        last_recipe: if own { last.to_owned() } else { String::new() },
        no_silica,
    }
}

/// A turn.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Flipped {
    /// The shelf.
    pub named: Named,
    /// What speaks against turning it now; empty where nothing does.
    pub against: String,
}

/// The page for turning over.
#[must_use]
pub fn flipped(world: &World, shelf: &Shelf) -> Flipped {
    let open =
        world.kilns.get(&shelf.kiln).is_some_and(|kiln| matches!(kiln.fuel, Fuel::Wood | Fuel::SodaOrSalt));
    let against = if shelf.washes.contains_key(&shelf.up) {
        format!("There is wash on {}: strip it first, or it falls on the ware below.", shelf.up.said())
    } else if open {
        "Never turned over in wood, salt or soda firings: the glazed side would go down.".to_owned()
    } else {
        String::new()
    };
    Flipped { named: Named::of(world, shelf), against }
}
