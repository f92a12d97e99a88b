//! Where and how to put a code on the piece itself.
use leptos::prelude::*;
use tripoise_core::view::labels::marking::{Guide, Marking};

/// The guide.
pub fn render(data: &Marking) -> impl IntoView + use<> {
    let guides: Vec<_> = data.materials.iter().map(guide).collect();
    let place = data.materials.first().map(|guide| guide.place.clone()).unwrap_or_default();
    let example = data.example.clone();
    view! {
        <p class="say">"Paper and plastic burn off. A notch, an engraved code or an oxide wash stays."</p>
        <div class="caution">
            <p>
                "Cutting, filing and engraving make dust that harms the lungs: fitted mask, wet or with extraction, eyes covered. Silicon carbide that got wet goes on hold until it is dry. Your supplier\u{2019}s sheet and local rules come first."
            </p>
        </div>
        <h2>"Where"</h2>
        <p>{place}</p>
        <figure>
            <svg viewBox="0 0 400 120" width="100%" role="img" aria-label="A shelf seen on its long edge, the code near one corner">
                <path d="M10 40H390V80H10Z" fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                <text x="56" y="67" font-size="22">{example}</text>
                <path d="M200 30V90" stroke="var(--iron)" stroke-width="2" stroke-dasharray="6 5"></path>
                <text x="208" y="108" font-size="14">"not here"</text>
                <text x="40" y="108" font-size="14">"here"</text>
            </svg>
            <figcaption>"The long edge of a shelf. Not in the middle, where it bends most."</figcaption>
        </figure>
        {guides}
    }
}

fn guide(guide: &Guide) -> impl IntoView + use<> {
    let Guide { material, here, how, never, .. } = guide.clone();
    let title = if here { format!("{material}, in your racks") } else { material };
    view! {
        <section>
            <h2>{title}</h2>
            <p>{how}</p>
            <p>
                <strong>{never}</strong>
            </p>
            <p class="hint">"Common practice, no source."</p>
        </section>
    }
}
