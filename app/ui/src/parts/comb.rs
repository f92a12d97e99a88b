//! Sets the comb of posts down: bars from the bench up, bands of sets, codes.
use leptos::prelude::*;
use tripoise_core::view::comb::{BAR, Band, Bar, Comb, Look, Strip, WIDTH};

/// The figure.
pub fn comb(comb: &Comb) -> impl IntoView + use<> {
    let caption = comb.caption.clone();
    let n_strips = comb.strips.len();
    let strips: Vec<_> = comb
        .strips
        .iter()
        .enumerate()
        .map(|(at, drawn)| {
            let said = if n_strips == 1 {
                comb.said.clone()
            } else {
                format!("{}; strip {} of {n_strips}", comb.said, at + 1)
            };
            strip(drawn, said)
        })
        .collect();
    view! {
        <figure class="comb">
            {strips} <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn strip(strip: &Strip, said: String) -> impl IntoView + use<> {
    let Strip { height, foot, nominal, .. } = *strip;
    let bands: Vec<_> = strip.bands.iter().map(|drawn| band(drawn, height)).collect();
    let bars: Vec<_> = strip.bars.iter().map(|drawn| bar(drawn, foot)).collect();
    view! {
        <svg viewBox=format!("0 0 {WIDTH} {height}") width="100%" role="img" aria-label=said>
            {bands}
            <path
                d=format!("M0 {nominal}H{WIDTH}")
                stroke="var(--dim)"
                stroke-width="1"
                stroke-dasharray="2 4"
                fill="none"
            ></path>
            {bars}
            <path d=format!("M0 {foot}H{WIDTH}") stroke="currentColor" stroke-width="2" fill="none"></path>
        </svg>
    }
}

fn band(band: &Band, height: f64) -> impl IntoView + use<> {
    let Band { x, width, between, label } = band.clone();
    view! {
        {between
            .map(|(top, bottom)| {
                view! {
                    <rect
                        x=x
                        y=top
                        width=width
                        height=bottom - top
                        fill="var(--moss)"
                        fill-opacity="0.18"
                        stroke="var(--moss)"
                        stroke-width="1"
                    ></rect>
                }
            })}
        <text x=x + 2.0 y=height - 4.0 font-size="13" font-weight="650" fill="currentColor">
            {label}
        </text>
    }
}

fn bar(bar: &Bar, foot: f64) -> impl IntoView + use<> {
    let Bar { x, top, code, look } = bar.clone();
    let (fill, stroke, dashes) = match look {
        Look::Measured => ("currentColor", "none", "none"),
        Look::Out => ("var(--iron)", "none", "none"),
        Look::Dashed => ("none", "currentColor", "4 4"),
    };
    let struck = (look == Look::Out).then(|| {
        let (left, right) = (x, x + BAR);
        view! {
            <path
                d=format!("M{left} {}L{right} {}", top + 24.0, top + 12.0)
                stroke="var(--wash)"
                stroke-width="3"
            ></path>
        }
    });
    view! {
        <rect
            x=x
            y=top
            width=BAR
            height=foot - top
            fill=fill
            stroke=stroke
            stroke-width="2"
            stroke-dasharray=dashes
        ></rect>
        {struck}
        <text x=x + BAR / 2.0 y=foot + 14.0 font-size="11" text-anchor="middle" fill="currentColor">
            {code}
        </text>
    }
}
