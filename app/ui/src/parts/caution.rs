//! What is said before anyone grinds: dust, wet silicon carbide, lifting.
use leptos::prelude::*;

/// The caution on top of a grinding run. `wet` and `lifting` may be empty.
pub fn grinding(wet: String, lifting: String) -> impl IntoView {
    view! {
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
    }
}
