//! The fields and the caution of kiln wash, for one shelf and for several.
use crate::parts::field::{Field, number, radios, text};
use leptos::prelude::*;
use tripoise_core::view::shelf::log::RECIPES;

/// What is said before anyone mixes wash. `no_silica` may be empty.
pub fn caution(no_silica: &str) -> impl IntoView + use<> {
    let no_silica = no_silica.to_owned();
    view! {
        <div class="caution" role="note">
            <p><strong>"Dry powder of wash is dust as well."</strong></p>
            <ul>
                <li>"Mask on while weighing and mixing; wipe up damp. Follow your local rules."</li>
                {(!no_silica.is_empty()).then(|| view! { <li>{no_silica}</li> })}
                <li>"A washed shelf is a wet shelf until it has dried."</li>
            </ul>
        </div>
    }
}

/// What it was made of, and how many coats. `last` is the recipe used last, where it is none of the known two.
pub fn fields(form: &'static str, last: &str) -> impl IntoView + use<> {
    let recipes: Vec<(String, String)> = RECIPES
        .iter()
        .map(|(key, said)| ((*key).to_owned(), (*said).to_owned()))
        .chain([("own".to_owned(), "another one, written below".to_owned())])
        .collect();
    let first = if last.is_empty() { "halves" } else { "own" };
    let field = |name: &str, label: &str| Field::new(form, name, label);
    view! {
        {radios(field("recipe", "Wash").value(first).hint("The two recipes are common practice; neither has silica added."), recipes)}
        {text(field("own", "Another wash").value(last).hint("As you would say it: what, how much of each."), "text")}
        {number(field("coats", "Coats").value("2").hint("Two thin coats are usual. Leave 6 to 12 mm bare at the edge; none on the underside."))}
    }
}
