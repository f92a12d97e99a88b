//! Try another shelf or inset: a plain form whose address carries the choice.
use leptos::prelude::*;
use tripoise_core::view::set::choose::Stand;

/// The form. Nothing is recorded by it.
pub fn render(path: &str, stand: &Stand, unit: &'static str) -> impl IntoView + use<> {
    let options: Vec<_> = shelves(stand)
        .into_iter()
        .map(|(code, said)| {
            let here = code == stand.shelf;
            view! {
                <option value=code selected=here>
                    {said}
                </option>
            }
        })
        .collect();
    let Stand { inset_text, inset_problem, .. } = stand.clone();
    let invalid = (!inset_problem.is_empty()).then_some("true");
    view! {
        <form method="get" action=path.to_owned()>
            <div class="field">
                <label for="stand-shelf">"Under which shelf"</label>
                <select id="stand-shelf" name="shelf">
                    {options}
                </select>
            </div>
            <div class="field">
                <label for="stand-inset">{format!("Posts in from the edge, {unit}")}</label>
                <input
                    type="text"
                    id="stand-inset"
                    name="inset"
                    value=inset_text
                    autocomplete="off"
                    aria-invalid=invalid
                    aria-describedby="stand-inset-problem"
                />
                <div id="stand-inset-problem">
                    {(!inset_problem.is_empty()).then(|| view! { <span class="problem">{inset_problem}</span> })}
                </div>
            </div>
            <button class="quiet" type="submit">
                "Judge it there"
            </button>
        </form>
    }
}

/// No shelf, then every shelf, as options.
pub fn shelves(stand: &Stand) -> Vec<(String, String)> {
    let none = (String::new(), "no shelf in particular".to_owned());
    std::iter::once(none)
        .chain(stand.shelves.iter().map(|shelf| (shelf.code.clone(), shelf.said.clone())))
        .collect()
}
