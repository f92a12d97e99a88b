//! `/add/kiln`.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use tripoise_core::cone_name::ConeName;
use tripoise_core::event::values::Fuel;
use tripoise_core::view::Page;

/// A kiln's name, fuel and usual cone.
pub fn render(page: &Page) -> impl IntoView + use<> {
    let button = if page.correcting.is_some() { "Correct it" } else { "Go on to its shelves" };
    let cones = ConeName::all().map(|cone| (cone.to_string(), format!("cone {cone}"))).collect();
    let fields = view! {
        {field::text(Field::new("kiln", "name", "What you call it").hint("such as the big gas kiln"), "text")}
        {field::radios(Field::new("kiln", "fuel", "What heats it"), field::options::<Fuel>())}
        {field::select(
            Field::new("kiln", "cone", "The cone it usually goes to").value("6").hint("any firing can differ"),
            cones,
        )}
        {submit(button)}
    };
    form("kiln", fields)
}
