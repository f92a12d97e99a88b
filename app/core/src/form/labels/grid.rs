//! Reads a label grid.
use crate::event::LabelGridSet;
use crate::form::quantity::Feelers;
use crate::form::reader::Bounds;
use crate::form::{FormValues, Problem, Reader, Submission, no_form};
use crate::label::{Grid, Paper};
use crate::view::Page;
use crate::view::labels::grids::{FORM, GridPage};

/// The longest name, in characters. House choice: one line on a phone.
const LONGEST_NAME: usize = 40;
/// Columns or rows. House choice: labels of 18 mm on the longer side of A4.
const MOST: u32 = 16;

/// One grid.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &GridPage, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let name = if data.new { new_name(&mut reader, &data.taken) } else { Some(data.grid.name.clone()) };
    let paper = Paper::ALL.into_iter().find(|paper| paper.key() == reader.text("paper"));
    if paper.is_none() {
        reader.problem("paper", "choose one");
    }
    let columns = count(&mut reader, "columns");
    let rows = count(&mut reader, "rows");
    let mut size = |field: &str, least_mm: f64| {
        let bounds = Bounds { least_mm, most_mm: 300.0, usual_mm: (least_mm, 300.0) };
        reader.length(field, bounds).map(|typed| typed.nm)
    };
    let (width_nm, height_nm) = (size("width", 1.0), size("height", 1.0));
    let (left_nm, top_nm) = (size("left", 0.0), size("top", 0.0));
    let (pitch_x_nm, pitch_y_nm) = (size("pitch_x", 1.0), size("pitch_y", 1.0));
    let lengths = width_nm.zip(height_nm).zip(left_nm.zip(top_nm)).zip(pitch_x_nm.zip(pitch_y_nm));
    let whole = name.zip(paper).zip(columns.zip(rows)).zip(lengths);
    let grid = whole.map(|(((name, paper), (columns, rows)), ((size, corner), pitch))| Grid {
        name,
        paper,
        columns,
        rows,
        width_nm: size.0,
        height_nm: size.1,
        left_nm: corner.0,
        top_nm: corner.1,
        pitch_x_nm: pitch.0,
        pitch_y_nm: pitch.1,
    });
    for (field, fault) in grid.iter().flat_map(Grid::faults) {
        reader.problem(field, fault.to_string());
    }
    let offered = reader.ticked("offered");
    let grid = reader.finish(grid)?;
    Ok(Submission::new(vec![LabelGridSet { grid, offered }.into()], "/labels/grids"))
}

fn new_name(reader: &mut Reader<'_>, taken: &[String]) -> Option<String> {
    let name = reader.needed_text("name", "give the grid a name");
    if name.chars().count() > LONGEST_NAME {
        reader.problem("name", format!("at most {LONGEST_NAME} characters fit"));
    }
    if taken.contains(&name) {
        reader.problem("name", format!("another grid is called {name}"));
    }
    Some(name)
}

fn count(reader: &mut Reader<'_>, field: &str) -> Option<u8> {
    reader.count(field, 1, MOST).and_then(|count| u8::try_from(count).ok())
}
