//! `/labels/sheet/ID`: one sheet, and `/l/TOKEN`: what a scanned label leads to.
use super::super::find;
use super::super::route::Request;
use super::super::text::{count, day};
use super::what;
use crate::ids::SheetId;
use crate::label::sheet::{Place, Wanted, lay_out};
use crate::label::{Grid, Scanned, Token};
use crate::world::{StudioName, Subject, World};
use serde::{Deserialize, Serialize};

/// A sheet to print.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SheetPage {
    /// The grid.
    pub grid: Grid,
    /// "12 labels on 1 sheet, A4, 3 × 8 of 70 × 37 mm".
    pub said: String,
    /// How many sheets.
    pub n_sheets: usize,
    /// The labels in their places.
    pub places: Vec<Place>,
    /// Codes whose label here was replaced since by a newer one.
    pub replaced: Vec<String>,
    /// The same as a PDF.
    pub pdf: String,
}

/// The page's data.
///
/// # Errors   No such sheet, or an address too long for a symbol.
pub fn page(world: &World, id: &str) -> Result<SheetPage, String> {
    let known =
        id.parse::<SheetId>().ok().and_then(|id| world.labels.sheets.get(&id).map(|sheet| (id, sheet)));
    let (id, sheet) = known.ok_or_else(|| format!("no sheet of labels is called {id}"))?;
    let studio =
        world.labels.studio.as_ref().ok_or("the studio has no name yet; make labels to give it one")?;
    let wanted: Vec<Wanted> = sheet
        .labels
        .iter()
        .filter_map(|label| world.labels.all.get(label).map(|made| (*label, made.on)))
        .map(|(label, on)| Wanted {
            token: Token::new(label, studio.id),
            code: world.code_on(on),
            what: what(world, on),
        })
        .collect();
    let StudioName { name, address, .. } = studio;
    let places =
        lay_out(&sheet.grid, sheet.skip.into(), address, name, &wanted).map_err(|e| e.to_string())?;
    let n_sheets = places.last().map_or(0, |place| place.sheet + 1);
    let replaced = sheet.labels.iter().filter(|label| world.labels.replaced_by(**label).is_some());
    let replaced =
        replaced.filter_map(|label| world.labels.all.get(label)).map(|made| world.code_on(made.on));
    Ok(SheetPage {
        said: format!(
            "{} on {}, {}",
            count(places.len() as u64, "label", "labels"),
            count(n_sheets as u64, "sheet", "sheets"),
            sheet.grid.said()
        ),
        replaced: replaced.collect(),
        grid: sheet.grid.clone(),
        n_sheets,
        places,
        pdf: format!("/labels/pdf/{id}"),
    })
}

/// The request that `/l/TOKEN` stands for: the card of what the label is on. A label that leads nowhere is
/// left to the route, which says why ([`why_not`]).
#[must_use]
pub fn scanned(world: &World, request: &Request) -> Option<Request> {
    let token = token_of(&request.path)?;
    let label = world.labels.all.get(&token.label)?;
    let mut found = request.clone();
    found.path = find::card(world, Subject::from(label.on))?;
    if let Some((_, newer)) = world.labels.replaced_by(token.label) {
        found.notices.insert(
            0,
            format!(
                "this label of {} was replaced on {}; take it off and hang the newer one",
                world.code_on(label.on),
                day(newer.made.at)
            ),
        );
    }
    Some(found)
}

/// Why a label leads nowhere here.
#[must_use]
pub fn why_not(world: &World, path: &str) -> String {
    let Some(token) = token_of(path) else {
        return "this is not a label of this tool, or it was not read whole; scan it again or type the code"
            .to_owned();
    };
    match &world.labels.studio {
        Some(studio) if token.is_of(studio.id) => {
            "this label is of this studio, but not on record here yet; it was made on another device that has \
             not sent it, or taken back"
                .to_owned()
        }
        _ => "this label is of another studio; look for the mark on the piece itself".to_owned(),
    }
}

fn token_of(path: &str) -> Option<Token> {
    let rest = path.strip_prefix("/l/").or_else(|| path.strip_prefix("/L/"))?;
    match Token::scan(rest) {
        Scanned::Label(token) => Some(token),
        Scanned::NoLabel => None,
    }
}
