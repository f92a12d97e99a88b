//! The two drawings on a shelf's card: from the side, and its face from above.
use leptos::prelude::*;
use tripoise_core::view::shelf::drawing::{FaceMap, MapLine, MapPoint, SideView, WIDTH};

/// The shelf from the side.
pub fn side(view: &SideView) -> impl IntoView + use<> {
    let SideView { path, top, height, dashed, caption } = view.clone();
    let dash = dashed.then_some("14 9");
    let width = if dashed { "5" } else { "9" };
    view! {
        <figure>
            <svg viewBox=format!("0 {top} {WIDTH} {height}") width="100%" role="img" aria-label=caption.clone()>
                <path d="M9 0H349" fill="none" stroke="var(--edge)" stroke-width="1" stroke-dasharray="2 4"></path>
                <path d=path fill="none" stroke="currentColor" stroke-width=width stroke-dasharray=dash></path>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

/// The face from above, and its numbers behind a tap.
pub fn face(map: &FaceMap) -> impl IntoView + use<> {
    let FaceMap { height, outline, caption, .. } = map.clone();
    let lines: Vec<_> = map.lines.iter().map(level).collect();
    let cracks: Vec<_> = map
        .cracks
        .iter()
        .map(|path| view! { <path d=path.clone() fill="none" stroke="var(--iron)" stroke-width="5"></path> })
        .collect();
    let posts: Vec<_> = map.posts.iter().map(post).collect();
    let points: Vec<_> = map.points.iter().map(point).collect();
    view! {
        <figure>
            <svg viewBox=format!("0 0 {WIDTH} {height}") width="100%" role="img" aria-label=caption.clone()>
                <path d=outline fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                {lines}
                {cracks}
                {posts}
                {points}
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
        {numbers(map)}
    }
}

fn level(line: &MapLine) -> impl IntoView + use<> {
    let MapLine { path, level } = line.clone();
    view! {
        <path d=path fill="none" stroke="var(--cobalt)" stroke-width="2"></path>
        {label(&level, "map-level")}
    }
}

fn post(place: &MapPoint) -> impl IntoView + use<> {
    view! { <circle cx=place.x.to_string() cy=place.y.to_string() r="7" fill="currentColor"></circle> }
}

/// A place that was read: a small ring, its number above it, inside the drawing.
fn point(place: &MapPoint) -> impl IntoView + use<> {
    let MapPoint { x, y, text } = place.clone();
    let beside =
        MapPoint { x: x.clamp(22.0, WIDTH - 22.0), y: if y < 30.0 { y + 20.0 } else { y - 8.0 }, text };
    view! {
        <circle cx=x.to_string() cy=y.to_string() r="3.5" fill="var(--wash)" stroke="currentColor" stroke-width="2"></circle>
        {label(&beside, "map-height")}
    }
}

/// A number with a rim of the ground's colour, so that lines under it do not make it hard to read.
fn label(place: &MapPoint, class: &'static str) -> impl IntoView + use<> {
    let MapPoint { x, y, text } = place.clone();
    (!text.is_empty()).then(|| {
        view! {
            <text
                x=x.to_string()
                y=y.to_string()
                text-anchor="middle"
                paint-order="stroke"
                stroke="var(--slab)"
                stroke-width="4"
                class=class
            >
                {text}
            </text>
        }
    })
}

fn numbers(map: &FaceMap) -> impl IntoView + use<> {
    let rows: Vec<_> = map
        .table
        .iter()
        .map(|[x, y, z]| {
            view! {
                <tr>
                    <td>{x.clone()}</td>
                    <td>{y.clone()}</td>
                    <td>{z.clone()}</td>
                </tr>
            }
        })
        .collect();
    (!rows.is_empty()).then(|| {
        view! {
            <details>
                <summary>"The map\u{2019}s numbers"</summary>
                <table>
                    <caption>
                        "Heights from the highest place down, over the plane that fits best; places from the front left corner"
                    </caption>
                    <thead>
                        <tr>
                            <th scope="col">"to the right"</th>
                            <th scope="col">"to the back"</th>
                            <th scope="col">"height"</th>
                        </tr>
                    </thead>
                    <tbody>{rows}</tbody>
                </table>
            </details>
        }
    })
}
