//! Reads the forms that enter a stock.

mod codes;
pub mod kiln;
pub mod posts;
pub mod shelves;

use super::Reader;
use super::reader::Bounds;
use crate::event::values::Choice;
use crate::ids::KilnId;
use crate::view::add::KilnChoice;
use jiff::civil::Date;

/// The longest kiln's name, place or note kept. House choice: two lines on a phone's screen.
pub(crate) const LONGEST_LINE: usize = 80;

/// The most firings a piece can have had before the record began. House choice: six a week for sixteen years.
const MOST_FIRINGS: u32 = 5_000;

/// A post's or shelf's firings before the record began; nothing typed is none.
fn firings_before(reader: &mut Reader<'_>) -> u32 {
    reader.optional_count("firings", MOST_FIRINGS).unwrap_or(0)
}

/// The day of an invoice; one that is still to come is asked about.
fn bought_on(reader: &mut Reader<'_>, today: Date) -> Option<Date> {
    let day = reader.optional_date("bought");
    if day.is_some_and(|day| day > today) {
        reader.ask("bought", "this day is still to come; tick the box if it is right");
    }
    day
}

/// One of the page's kilns.
pub(crate) fn kiln(reader: &mut Reader<'_>, kilns: &[KilnChoice]) -> Option<KilnId> {
    let chosen = reader.text("kiln").parse::<KilnId>().ok();
    let known = chosen.filter(|id| kilns.iter().any(|kiln| kiln.id == *id));
    if known.is_none() {
        reader.problem("kiln", "choose the kiln whose racks they belong to");
    }
    known
}

/// A line of text that may be empty and must fit its line.
pub(crate) fn line(reader: &mut Reader<'_>, field: &str) -> String {
    let text = reader.text(field);
    let n_chars = text.chars().count();
    if n_chars > LONGEST_LINE {
        reader.problem(field, format!("{n_chars} characters are too many; use at most {LONGEST_LINE}"));
    }
    text.to_owned()
}

/// One of a closed list, or nothing chosen.
fn optional_choice<T: Choice>(reader: &mut Reader<'_>, field: &str) -> Option<T> {
    if reader.text(field).is_empty() { None } else { reader.choice(field) }
}

/// A side of a shelf. House choice: refused beyond the 10 m of a large car kiln, asked about outside the
/// trade's usual 100 to 1000 mm.
const SIDE: Bounds = Bounds { least_mm: 10.0, most_mm: 10_000.0, usual_mm: (100.0, 1_000.0) };
/// A shelf's thickness: 6 mm is the thinnest sold and 25 the usual thickest; asked about outside 4 to 40.
const THICKNESS: Bounds = Bounds { least_mm: 1.0, most_mm: 200.0, usual_mm: (4.0, 40.0) };
/// A post's nominal height.
const HEIGHT: Bounds = Bounds { least_mm: 1.0, most_mm: 3_000.0, usual_mm: (10.0, 600.0) };
/// A post's width. House choice: 25 to 60 mm is usual, half and double of it pass without a question.
const WIDTH: Bounds = Bounds { least_mm: 1.0, most_mm: 1_000.0, usual_mm: (12.0, 120.0) };
