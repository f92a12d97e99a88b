//! What the pages of sets let a user choose: shelf and inset, as the address carries them.
use crate::ids::ShelfId;
use crate::outline::Outline;
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::history::unit_of;
use crate::view::route::Request;
use crate::view::text::{LengthUnit, length_bare, length_input};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// A shelf to choose.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfChoice {
    /// The shelf.
    pub shelf: ShelfId,
    /// Its code.
    pub code: String,
    /// "F01, 600 × 300".
    pub said: String,
    /// Its outline.
    pub outline: Outline,
}

/// The shelf and inset chosen, and what else may be.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Stand {
    /// Every shelf in service.
    pub shelves: Vec<ShelfChoice>,
    /// The chosen one's code; empty for none.
    pub shelf: String,
    /// The inset chosen.
    pub inset: Length,
    /// The same as it would be typed, or as it was typed where it could not be read.
    pub inset_text: String,
    /// What is wrong with the inset that was typed; empty where nothing is.
    pub inset_problem: String,
}

impl Stand {
    /// What the address says, or what is given where it says nothing.
    #[must_use]
    pub fn of(world: &World, request: &Request, shelf: Option<ShelfId>, inset: Length) -> Self {
        let unit = unit_of(world);
        let shelves = shelves(world, unit);
        let code_of =
            |id: ShelfId| shelves.iter().find(|shelf| shelf.shelf == id).map(|shelf| shelf.code.clone());
        let own = shelf.and_then(code_of).unwrap_or_default();
        let shelf = match request.query.get("shelf") {
            Some(asked) if asked.is_empty() || shelves.iter().any(|shelf| &shelf.code == asked) => {
                asked.clone()
            }
            _ => own,
        };
        let typed = request.query("inset").trim();
        let (inset, inset_text, inset_problem) = match read_inset(typed, unit) {
            _ if typed.is_empty() => (inset, length_input(inset, unit), String::new()),
            Ok(read) => (read, typed.to_owned(), String::new()),
            Err(cause) => (inset, typed.to_owned(), cause),
        };
        Self { shelves, shelf, inset, inset_text, inset_problem }
    }

    /// The shelf with this code.
    #[must_use]
    pub fn with_code(&self, code: &str) -> Option<&ShelfChoice> {
        self.shelves.iter().find(|shelf| shelf.code == code)
    }

    /// The chosen shelf.
    #[must_use]
    pub fn chosen(&self) -> Option<&ShelfChoice> {
        self.with_code(&self.shelf)
    }
}

/// The default inset, or what the studio made it.
#[must_use]
pub fn usual_inset(world: &World) -> Length {
    world.settings.length(SettingKey::Inset)
}

/// An inset that a shelf can have. House choice: 5 mm still holds a post's edge on the shelf, and 300 mm is
/// the middle of the widest common shelf.
///
/// # Errors   One line that says what is wanted.
pub fn read_inset(text: &str, unit: LengthUnit) -> Result<Length, String> {
    let feelers = crate::form::quantity::Feelers::default();
    let read = crate::form::quantity::read_length(text, unit, &feelers)?;
    let (least, most) = (Length::from_mm(5.0), Length::from_mm(300.0));
    if (least..=most).contains(&read) {
        return Ok(read);
    }
    let say = |length| crate::view::text::length(length, unit);
    Err(format!("{} cannot be; give {} to {}", say(read), say(least), say(most)))
}

fn shelves(world: &World, unit: LengthUnit) -> Vec<ShelfChoice> {
    let mut shelves: Vec<ShelfChoice> = world
        .shelves_in_service()
        .map(|shelf| ShelfChoice {
            shelf: shelf.id,
            code: shelf.code.to_string(),
            said: format!("{}, {}", shelf.code, size(&shelf.outline, unit)),
            outline: shelf.outline,
        })
        .collect();
    shelves.sort_by(|a, b| a.code.cmp(&b.code));
    shelves
}

fn size(outline: &Outline, unit: LengthUnit) -> String {
    match *outline {
        Outline::Rectangle { length_nm, width_nm } => {
            format!("{} \u{d7} {}", length_bare(length_nm, unit), length_bare(width_nm, unit))
        }
        Outline::Round { diameter_nm } => format!("round {}", length_bare(diameter_nm, unit)),
        Outline::HalfRound { diameter_nm } => format!("half-round {}", length_bare(diameter_nm, unit)),
    }
}
