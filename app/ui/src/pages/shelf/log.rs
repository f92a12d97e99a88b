//! The short forms: ground, washed, tapped, turned over, graded.
use super::back;
use crate::parts::caution;
use crate::parts::field::{Field, length, number, options, radios};
use crate::parts::form::{form, submit};
use crate::parts::wash;
use leptos::prelude::*;
use tripoise_core::event::values::{Choice, Face, GrindMethod, Mask, Ring, Use};
use tripoise_core::view::shelf::log::{Flipped, Ground, Named, Washed};

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
    let caution = caution::grinding(wet.to_owned(), data.lifting.clone());
    let (mask, minutes) = data.like.map_or((Mask::NotNoted, None), |like| (like.mask, like.minutes));
    let minutes = minutes.map_or_else(String::new, |n| n.to_string());
    let remembered = if minutes.is_empty() { "" } else { " As last time." };
    let clock = format!("Leave it empty where nobody looked at the clock.{remembered}");
    let fields = view! {
        {face("Face that was ground", &data.named)}
        {radios(field("method", "How").value(data.method.key()), options::<GrindMethod>())}
        {radios(field("mask", "Mask").value(mask.key()), options::<Mask>())}
        {length(field("removed", "Taken off, if measured").hint("Leave it empty where nobody measured."))}
        {number(field("minutes", "Minutes").value(minutes).hint(clock))}
        {submit("Ground")}
    };
    view! { {caution} {form(FORM, fields)} {back(&data.named.path)} }
}

/// Kiln wash.
pub fn washed(data: &Washed) -> impl IntoView + use<> {
    let fields = view! {
        {face("Face that was washed", &data.named)}
        {wash::fields(FORM, &data.last_recipe)}
        {submit("Washed")}
    };
    view! {
        {wash::caution(&data.no_silica)}
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
