//! The short forms: ground, washed, tapped, turned over, graded.
use super::back;
use crate::parts::field::{Field, length, number, options, radios, text};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::event::values::{Choice, Face, GrindMethod, Mask, Ring, Use};
use tripoise_core::view::shelf::log::{Flipped, Ground, Named, RECIPES, Washed};

const FORM: &str = "record";

fn field(name: &str, label: &str) -> Field {
    Field::new(FORM, name, label)
}

fn face(label: &str, named: &Named) -> impl IntoView + use<> {
    radios(field("face", label).value(named.up.key()), options::<Face>())
}

/// Grinding, with its dangers on top.
pub fn ground(data: &Ground) -> impl IntoView + use<> {
    let wet = if data.wet_holds {
        "Wet grinding of silicon carbide makes a wet shelf: it goes on hold until it is logged dry."
    } else {
        ""
    };
    let lifting = data.lifting.clone();
    let caution = view! {
        <div class="caution" role="note">
            <p><strong>"Dust of kiln shelves harms the lungs."</strong></p>
            <ul>
                <li>"Grind wet, or shrouded with extraction, or outside. Half mask with P100 or FFP3 filters; eyes, ears and hands covered."</li>
                <li>"No dry sweeping, no air hose: vacuum and wipe damp."</li>
                <li>"Limits for respirable silica differ by country. Follow your local rules and the supplier\u{2019}s sheet."</li>
                {(!wet.is_empty()).then(|| view! { <li>{wet}</li> })}
                {(!lifting.is_empty()).then(|| view! { <li>{lifting}</li> })}
            </ul>
        </div>
    };
    let fields = view! {
        {face("Face that was ground", &data.named)}
        {radios(field("method", "How").value(data.method.key()), options::<GrindMethod>())}
        {radios(field("mask", "Mask").value(Mask::NotNoted.key()), options::<Mask>())}
        {length(field("removed", "Taken off, if measured").hint("Leave it empty where nobody measured."))}
        {number(field("minutes", "Minutes").hint("Leave it empty where nobody looked at the clock."))}
        {submit("Ground")}
    };
    view! { {caution} {form(FORM, fields)} {back(&data.named.path)} }
}

/// Kiln wash.
pub fn washed(data: &Washed) -> impl IntoView + use<> {
    let no_silica = data.no_silica.clone();
    let recipes: Vec<(String, String)> = RECIPES
        .iter()
        .map(|(key, said)| ((*key).to_owned(), (*said).to_owned()))
        .chain([("own".to_owned(), "another one, written below".to_owned())])
        .collect();
    let first = if data.last_recipe.is_empty() { "halves" } else { "own" };
    let fields = view! {
        {face("Face that was washed", &data.named)}
        {radios(field("recipe", "Wash").value(first).hint("The two recipes are common practice; neither has silica added."), recipes)}
        {text(field("own", "Another wash").value(data.last_recipe.clone()).hint("As you would say it: what, how much of each."), "text")}
        {number(field("coats", "Coats").value("2").hint("Two thin coats are usual. Leave 6 to 12 mm bare at the edge; none on the underside."))}
        {submit("Washed")}
    };
    view! {
        <div class="caution" role="note">
            <p><strong>"Dry powder of wash is dust as well."</strong></p>
            <ul>
                <li>"Mask on while weighing and mixing; wipe up damp. Follow your local rules."</li>
                {(!no_silica.is_empty()).then(|| view! { <li>{no_silica}</li> })}
                <li>"A washed shelf is a wet shelf until it has dried."</li>
            </ul>
        </div>
        {form(FORM, fields)}
        {back(&data.named.path)}
    }
}

/// A tap test.
pub fn tapped(named: &Named) -> impl IntoView + use<> {
    let heard = [Ring::Rings, Ring::Dull].map(|ring| (ring.key().to_owned(), ring.said().to_owned()));
    let hint =
        "Hold it up by one edge and tap it with a knuckle or a bit of wood. A wet shelf sounds dull as well.";
    let fields = view! {
        {radios(field("ring", "What it sounded like").hint(hint), heard.to_vec())}
        {submit("Tapped")}
    };
    view! { {form(FORM, fields)} {back(&named.path)} }
}

/// A turn.
pub fn flipped(data: &Flipped) -> impl IntoView + use<> {
    let against = data.against.clone();
    let hint = "Common practice for cordierite at cone 8 to 10: every 5 to 10 firings, or past 1 mm of sag.";
    let fields = view! {
        {radios(field("face", "Face that is up now").value(data.named.up.other().key()).hint(hint), options::<Face>())}
        {submit("Turned over")}
    };
    view! {
        {(!against.is_empty()).then(|| view! { <div class="caution" role="note"><p>{against}</p></div> })}
        {form(FORM, fields)}
        {back(&data.named.path)}
    }
}

/// A grade by eye.
pub fn graded(named: &Named) -> impl IntoView + use<> {
    let hint = "The most demanding use it is fit for, by eye. A reading made later replaces it.";
    let uses: Vec<(String, String)> =
        Use::all().iter().map(|use_of| (use_of.key().to_owned(), use_of.said().to_owned())).collect();
    let fields = view! { {radios(field("fit_for", "Fit for").hint(hint), uses)} {submit("Graded")} };
    view! { {form(FORM, fields)} {back(&named.path)} }
}
