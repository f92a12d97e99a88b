//! `/about`: what the tool is, what it does not know, the cautions, the licence.
use leptos::prelude::*;

const UNKNOWN: [&str; 7] = [
    "It never says that a stack will stand. It says which checks passed, and on which number each rests.",
    "No published limit was found for how flat a studio shelf must be, or for how closely posts must match. Those limits are common practice or worked out from geometry; the settings say which.",
    "A reading too near a limit for its instrument is called undecided (the rule of ISO 14253-1), not passed.",
    "A reading is only as good as the straightedge, the feeler and the cleaned face. Wash and glaze spoil it.",
    "A quick reading of three lines takes the shelf as even where it was not read.",
    "It knows nothing of strength at heat, of the floor under the kiln, or of what nobody typed in.",
    "It cannot tell whether a shelf is dry. It keeps what you say a release rests on.",
];

const CAUTIONS: [(&str, &str); 6] = [
    (
        "Dust",
        "Shelves, wash and grinding dust hold silica. Work wet or with extraction, wear a fitted half mask with P100 or FFP3 filters, sweep nothing dry, blow nothing with air.",
    ),
    (
        "Grinding",
        "Guard eyes, ears and hands. Chisel drips parallel to the face, away from yourself. A wheel throws what it breaks.",
    ),
    (
        "Lifting",
        "Shelves are heavy. Lift close, with two hands or two people, and mind the reach down into a top-loader.",
    ),
    (
        "Wet silicon carbide",
        "It can burst when it is fired wet. Dry it by the supplier's sheet, at least 24 h at about 95 \u{b0}C.",
    ),
    (
        "Electricity",
        "Silicon carbide conducts. In an electric kiln, power off while loading, and nothing loose near an element.",
    ),
    ("Heat", "Never set a hot shelf on concrete or on a wet floor. Look and tap only when it is cold."),
];

/// Plain text; nothing here depends on the studio.
pub fn render() -> impl IntoView {
    let unknown: Vec<_> = UNKNOWN.iter().map(|line| view! { <li>{*line}</li> }).collect();
    let cautions: Vec<_> = CAUTIONS
        .iter()
        .map(|(title, text)| {
            view! {
                <dt>{*title}</dt>
                <dd>{*text}</dd>
            }
        })
        .collect();
    view! {
        <p class="say">
            "Tripoise keeps a kiln's furniture true: shelves, posts and the sets that posts stand in, what was measured, what was done, and why a piece was set aside."
        </p>
        <h2>"What it does not know"</h2>
        <ul>{unknown}</ul>
        <h2>"Cautions"</h2>
        <div class="caution">
            <dl>{cautions}</dl>
            <p>
                "Your supplier's sheets, your local rules and licensed practice come before anything said here."
            </p>
        </div>
        <h2>"Licence"</h2>
        <p>
            "MIT: use it, change it, pass it on, with its notice. It comes as it is, without warranty of any kind."
        </p>
    }
}
