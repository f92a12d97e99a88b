//! Reads which labels to make.
use crate::event::{Body, LabelsMade, MadeLabel, StudioNamed};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::{LabelId, SheetId, StudioId};
use crate::label::{Grid, Symbol, Token};
use crate::view::Page;
use crate::view::labels::choose::{Candidate, Choose, FORM};

/// Labels in one event. House choice: 150 of about 100 bytes keep the event under the store's 32 KiB a value.
const PER_EVENT: usize = 150;
/// Labels at once. House choice: more than any rack; a studio of 1,500 shelves makes them rack by rack.
const MOST: usize = 2_000;

/// The sheet's events, with the studio's name in front where it is new or has changed.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &Choose,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let name = reader.needed_text("name", "give the studio a name; it is printed small on each label");
    let address = address(&mut reader);
    let wanted = wanted(&mut reader, data);
    let grid = grid(&mut reader, data);
    let per_sheet = grid.map_or(1, Grid::per_sheet).max(1);
    let most_skip = u32::try_from(per_sheet - 1).unwrap_or(u32::MAX);
    let skip = if reader.text("skip").is_empty() { Some(0) } else { reader.count("skip", 0, most_skip) };
    let (((address, wanted), grid), skip) = reader.finish(address.zip(wanted).zip(grid).zip(skip))?;
    let studio = data.studio.as_ref().map_or_else(|| StudioId(new_id()), |(id, _, _)| *id);
    let named = data.studio.as_ref().is_some_and(|(_, n, a)| *n == name && *a == address);
    let mut bodies: Vec<Body> = Vec::new();
    if !named {
        bodies.push(StudioNamed { studio, name, address }.into());
    }
    let sheet = SheetId(new_id());
    let skip = u16::try_from(skip).unwrap_or_default();
    for part in wanted.chunks(PER_EVENT) {
        let labels = part.iter().map(|piece| MadeLabel { label: LabelId(new_id()), on: piece.on }).collect();
        bodies.push(LabelsMade { sheet, grid: grid.clone(), skip, labels }.into());
    }
    Ok(Submission::new(bodies, format!("/labels/sheet/{sheet}")))
}

/// An address that a phone can open and a symbol can hold.
fn address(reader: &mut Reader<'_>) -> Option<String> {
    let text = reader.text("address").trim_end_matches('/').to_ascii_lowercase();
    let host = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    let fits = |c: char| c.is_ascii_alphanumeric() || ".-:".contains(c);
    let Some(host) = host.filter(|host| !host.is_empty() && host.chars().all(fits)) else {
        reader.problem("address", "type the address that phones open, such as https://tripoise.local:7443");
        return None;
    };
    if host.starts_with("127.") || host.starts_with("localhost") {
        reader.ask(
            "address",
            "phones cannot open an address of this machine itself; tick the box to print it all the same",
        );
    }
    let longest = Token::new(LabelId(uuid::Uuid::nil()), StudioId(uuid::Uuid::nil())).address(&text);
    if let Err(cause) = Symbol::of(&longest) {
        reader.problem("address", cause.to_string());
        return None;
    }
    Some(text)
}

fn wanted<'a>(reader: &mut Reader<'_>, data: &'a Choose) -> Option<Vec<&'a Candidate>> {
    let which = reader.text("which");
    let kinds = reader.all("kinds");
    let of_kind = |piece: &&Candidate| kinds.iter().any(|kind| kind == piece.kind());
    let all = data.pieces.iter();
    let found: Vec<&Candidate> = match which {
        "new" => all.filter(of_kind).filter(|piece| !piece.has).collect(),
        "all" => all.filter(of_kind).collect(),
        "rack" => {
            let rack = reader.text("rack");
            if !data.racks.iter().any(|known| known == rack) {
                reader.problem("rack", "choose one of the racks");
                return None;
            }
            all.filter(of_kind).filter(|piece| piece.rack == rack).collect()
        }
        "one" => {
            let code = reader.code("code")?;
            let found: Vec<_> = all.filter(|piece| piece.code == code.as_str()).collect();
            if found.is_empty() {
                reader.problem("code", format!("nothing in service bears the code {code}"));
                return None;
            }
            found
        }
        _ => {
            reader.problem("which", "choose one");
            return None;
        }
    };
    match found.len() {
        0 if kinds.is_empty() && which != "one" => reader.problem("kinds", "tick at least one kind"),
        0 => reader.problem("which", "there is nothing of that kind to label"),
        n if n > MOST => {
            reader.problem("which", format!("{n} labels are too many at once; make them rack by rack"))
        }
        _ => return Some(found),
    }
    None
}

fn grid<'a>(reader: &mut Reader<'_>, data: &'a Choose) -> Option<&'a Grid> {
    let name = reader.text("grid");
    let found = data.grids.iter().find(|grid| grid.name == name);
    if found.is_none() {
        reader.problem("grid", "choose one of the grids");
    }
    found
}
