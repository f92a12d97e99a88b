//! `/labels/grids`: the table of label grids, and one of them to edit.
use super::super::FormState;
use super::super::route::Request;
use super::super::text::LengthUnit;
use crate::form::shelf::exact;
use crate::label::{Grid, common};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The form's `do` value.
pub const FORM: &str = "grid";

/// The table.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Grids {
    /// Each grid with whether it is offered.
    pub grids: Vec<(Grid, bool)>,
}

/// One grid to edit, or a new one.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct GridPage {
    /// Its values to begin with.
    pub grid: Grid,
    /// Whether it is new: its name is then asked for.
    pub new: bool,
    /// Whether it is offered.
    pub offered: bool,
    /// The names in use.
    pub taken: Vec<String>,
}

/// The table's data.
#[must_use]
pub fn list(world: &World) -> Grids {
    Grids { grids: world.labels.grids() }
}

/// One grid's data: `?name=A4 of 24`, or a new one without.
///
/// # Errors   No grid has that name.
pub fn one(world: &World, request: &Request) -> Result<GridPage, String> {
    let grids = world.labels.grids();
    let taken = grids.iter().map(|(grid, _)| grid.name.clone()).collect();
    let name = request.query("name");
    let found = grids.into_iter().find(|(grid, _)| grid.name == name);
    match (found, name) {
        (Some((grid, offered)), _) => Ok(GridPage { grid, new: false, offered, taken }),
        (None, "") => {
            let first = common().into_iter().next().ok_or("no grid is known")?;
            Ok(GridPage { grid: Grid { name: String::new(), ..first }, new: true, offered: true, taken })
        }
        (None, name) => Err(format!("no label grid is called {name}")),
    }
}

impl GridPage {
    /// The fields as they are now.
    #[must_use]
    pub fn begin(&self, unit: LengthUnit) -> FormState {
        let grid = &self.grid;
        let values = [
            ("name", grid.name.clone()),
            ("paper", grid.paper.key().to_owned()),
            ("columns", grid.columns.to_string()),
            ("rows", grid.rows.to_string()),
            ("width", exact(grid.width_nm, unit)),
            ("height", exact(grid.height_nm, unit)),
            ("left", exact(grid.left_nm, unit)),
            ("top", exact(grid.top_nm, unit)),
            ("pitch_x", exact(grid.pitch_x_nm, unit)),
            ("pitch_y", exact(grid.pitch_y_nm, unit)),
            ("offered", if self.offered { "yes" } else { "" }.to_owned()),
        ];
        let values = values.into_iter().filter(|(_, value)| !value.is_empty());
        FormState {
            action: FORM.to_owned(),
            values: values.map(|(name, value)| (name.to_owned(), vec![value])).collect(),
            problems: Vec::new(),
        }
    }
}
