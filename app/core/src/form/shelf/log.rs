//! The short forms: ground, washed, tapped, turned over, graded, and the card's one tap.
use super::{exact, fields, reader};
use crate::event::values::{Face, GrindMethod, Mask, Piece, Ring, Use};
use crate::event::{Body, PieceReleased, ShelfFlipped, ShelfGraded, ShelfGround, ShelfTapped, ShelfWashed};
use crate::form::reader::Bounds;
use crate::form::{FormValues, Problem, Submission};
use crate::view::Page;
use crate::view::shelf::card::Card;
use crate::view::shelf::log::{Ground, Named, RECIPES, Washed};
use crate::view::text::LengthUnit;
use std::collections::BTreeMap;

/// House choice: ten hours of grinding one face is a slip.
const MOST_MINUTES: u32 = 600;
/// House choice: over 3 mm at one go is asked about; a pass takes tenths.
const USUAL_REMOVED_MM: f64 = 3.0;
/// House choice: two coats are usual, six are a slip.
const MOST_COATS: u32 = 6;

type Read = Result<Submission, Vec<Problem>>;

pub(super) fn ground(page: &Page, data: &Ground, values: &FormValues) -> Read {
    let mut form = reader(page, &data.named, values);
    let most_mm = data.thickness.mm().max(0.0);
    let bounds = Bounds { least_mm: 0.0, most_mm, usual_mm: (0.0, USUAL_REMOVED_MM) };
    let face = form.choice::<Face>("face");
    let removed_nm = form.optional_length("removed", bounds).map(|typed| typed.nm);
    let minutes = form.optional_count("minutes", MOST_MINUTES);
    let method = form.choice::<GrindMethod>("method");
    let mask = form.choice::<Mask>("mask");
    let shelf = data.named.shelf;
    let body = face
        .zip(method)
        .zip(mask)
        .map(|((face, method), mask)| ShelfGround { shelf, face, removed_nm, minutes, method, mask }.into());
    finish(form, body, &data.named)
}

pub(super) fn ground_values(body: &ShelfGround, unit: LengthUnit) -> BTreeMap<String, Vec<String>> {
    fields([
        ("face", body.face.key().to_owned()),
        ("removed", body.removed_nm.map_or(String::new(), |length| exact(length, unit))),
        ("minutes", body.minutes.map_or(String::new(), |minutes| minutes.to_string())),
        ("method", body.method.key().to_owned()),
        ("mask", body.mask.key().to_owned()),
    ])
}

/// "Ground, fine": what the card said it would record.
pub(super) fn ground_fine(card: &Card) -> Option<Submission> {
    let fine = card.ground_fine.as_ref()?;
    let (shelf, face) = (card.shelf, fine.face);
    let (method, mask, minutes) = (GrindMethod::Dry, fine.mask, fine.minutes);
    let ground = ShelfGround { shelf, face, removed_nm: None, minutes, method, mask };
    let graded = fine.fit_for.map(|fit_for| ShelfGraded { shelf, fit_for }.into());
    let because = "ground, fine".to_owned();
    let released = fine.release.then(|| PieceReleased { piece: Piece::Shelf(shelf), because }.into());
    let bodies: Vec<Body> = [Some(ground.into()), graded, released].into_iter().flatten().collect();
    Some(Submission::new(bodies, card.path.clone()))
}

pub(super) fn washed(page: &Page, data: &Washed, values: &FormValues) -> Read {
    let mut form = reader(page, &data.named, values);
    let face = form.choice::<Face>("face");
    let recipe = recipe(&mut form);
    let coats = form.count("coats", 1, MOST_COATS).and_then(|coats| u8::try_from(coats).ok());
    let shelf = data.named.shelf;
    let body = face.zip(coats).map(|(face, coats)| ShelfWashed { shelf, face, recipe, coats }.into());
    finish(form, body, &data.named)
}

/// What the wash was made of: one of the known recipes, or another in the user's words.
pub(in crate::form) fn recipe(form: &mut crate::form::Reader<'_>) -> String {
    match form.text("recipe") {
        "own" => form.needed_text("own", "say what the wash was made of"),
        key => match RECIPES.iter().find(|(known, _)| *known == key) {
            Some((_, said)) => (*said).to_owned(),
            None => {
                form.problem("recipe", "choose one");
                String::new()
            }
        },
    }
}

pub(super) fn washed_values(body: &ShelfWashed) -> BTreeMap<String, Vec<String>> {
    let known = RECIPES.iter().find(|(_, said)| *said == body.recipe).map(|(key, _)| *key);
    fields([
        ("face", body.face.key().to_owned()),
        ("recipe", known.unwrap_or("own").to_owned()),
        ("own", if known.is_some() { String::new() } else { body.recipe.clone() }),
        ("coats", body.coats.to_string()),
    ])
}

pub(super) fn tapped(page: &Page, named: &Named, values: &FormValues) -> Read {
    let mut form = reader(page, named, values);
    let ring = form.choice::<Ring>("ring");
    if ring == Some(Ring::NotTapped) {
        form.problem("ring", "tap it first; then say whether it rings");
    }
    let body = ring.map(|ring| ShelfTapped { shelf: named.shelf, ring }.into());
    finish(form, body, named)
}

pub(super) fn flipped(page: &Page, named: &Named, values: &FormValues) -> Read {
    let mut form = reader(page, named, values);
    let body = form.choice::<Face>("face").map(|up| ShelfFlipped { shelf: named.shelf, up }.into());
    finish(form, body, named)
}

pub(super) fn graded(page: &Page, named: &Named, values: &FormValues) -> Read {
    let mut form = reader(page, named, values);
    let body =
        form.choice::<Use>("fit_for").map(|fit_for| ShelfGraded { shelf: named.shelf, fit_for }.into());
    finish(form, body, named)
}

fn finish(form: crate::form::Reader<'_>, body: Option<Body>, named: &Named) -> Read {
    form.finish(body).map(|body| Submission::new(vec![body], named.path.clone()))
}
