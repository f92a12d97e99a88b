//! Sets the plan of a shelf down: outline, posts, the arrow downhill.
use leptos::prelude::*;
use tripoise_core::view::plan::{Place, Plan};

/// The figure.
pub fn plan(plan: &Plan) -> impl IntoView + use<> {
    let Plan { said, caption, size: (width, height), path, arrow, .. } = plan.clone();
    let posts: Vec<_> = plan.posts.iter().map(post).collect();
    view! {
        <figure class="plan">
            <svg viewBox=format!("0 0 {width} {height}") width="100%" role="img" aria-label=said>
                <path d=path fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                {arrow.map(arrow_down)}
                {posts}
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn post(place: &Place) -> impl IntoView + use<> {
    let Place { x, y, code, free, .. } = place.clone();
    // The front row's codes stand above their posts, so that the edge does not run through them.
    let below = if place.front { y - 15.0 } else { y + 25.0 };
    let fill = if free { "var(--slab)" } else { "currentColor" };
    view! {
        <circle cx=x cy=y r="9" fill=fill stroke="currentColor" stroke-width="2"></circle>
        <text x=x y=below font-size="13" font-weight="650" text-anchor="middle" fill="currentColor">
            {code}
        </text>
    }
}

fn arrow_down([x1, y1, x2, y2]: [f64; 4]) -> impl IntoView {
    // The head: two strokes back from the tip, square to each other.
    let (dx, dy) = ((x2 - x1) * 0.2, (y2 - y1) * 0.2);
    let d = format!(
        "M{x1} {y1}L{x2} {y2}M{:.1} {:.1}L{x2} {y2}L{:.1} {:.1}",
        x2 - dx - dy,
        y2 - dy + dx,
        x2 - dx + dy,
        y2 - dy - dx
    );
    view! { <path d=d stroke="var(--cobalt)" stroke-width="4" fill="none" stroke-linecap="round"></path> }
}
