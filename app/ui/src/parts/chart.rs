//! Sets readings over firings down: dots, limits, the fitted line with its band; and what is said of the wear.
use leptos::prelude::*;
use tripoise_core::view::chart::{Chart, Dot, Fit, Level, SIZE, WearSaid};

/// The figure.
pub fn chart(chart: &Chart) -> impl IntoView + use<> {
    let Chart { said, caption, passes, now, ends: (first, last), .. } = chart.clone();
    let (width, height) = SIZE;
    let levels: Vec<_> = chart.levels.iter().map(level).collect();
    let dots: Vec<_> = chart.dots.iter().map(dot).collect();
    view! {
        <figure class="heights">
            <svg viewBox=format!("0 0 {width} {height}") width="100%" role="img" aria-label=said>
                {passes
                    .map(|(top, bottom)| {
                        view! {
                            <rect
                                x="0"
                                y=top.to_string()
                                width=width.to_string()
                                height=(bottom - top).max(0.0).to_string()
                                fill="var(--moss)"
                                fill-opacity="0.18"
                            ></rect>
                        }
                    })}
                {chart.fit.as_ref().map(fit)}
                {now
                    .map(|x| {
                        view! {
                            <path d=format!("M{x} 4V{}", height - 22.0) stroke="var(--dim)" stroke-width="1.5"></path>
                        }
                    })}
                {levels}
                {dots}
                <text x="2" y=(height - 6.0).to_string() font-size="13" fill="currentColor">
                    {first}
                </text>
                <text x=(width - 2.0).to_string() y=(height - 6.0).to_string() font-size="13" text-anchor="end" fill="currentColor">
                    {last}
                </text>
            </svg>
            <figcaption>{caption}</figcaption>
        </figure>
    }
}

fn level(level: &Level) -> impl IntoView + use<> {
    let Level { y, label, is_limit, at_right } = level.clone();
    let width = SIZE.0;
    let (stroke, thick) = if is_limit { ("var(--iron)", "2") } else { ("var(--dim)", "1") };
    let (x, anchor) = if at_right { (width - 2.0, "end") } else { (2.0, "start") };
    view! {
        <path d=format!("M0 {y}H{width}") stroke=stroke stroke-width=thick></path>
        <text
            x=x.to_string()
            y=(y - 4.0).to_string()
            font-size="12"
            text-anchor=anchor
            paint-order="stroke"
            stroke="var(--wash)"
            stroke-width="3"
            fill="currentColor"
        >
            {label}
        </text>
    }
}

fn fit(fit: &Fit) -> impl IntoView + use<> {
    let Fit { line, ahead, band } = fit.clone();
    view! {
        <path d=band fill="currentColor" fill-opacity="0.14"></path>
        <path d=line fill="none" stroke="currentColor" stroke-width="2"></path>
        <path d=ahead fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="6 5"></path>
    }
}

fn dot(dot: &Dot) -> impl IntoView + use<> {
    let Dot { x, y, holds } = dot.clone();
    let fill = if holds { "currentColor" } else { "none" };
    view! {
        <circle cx=x.to_string() cy=y.to_string() r="5" fill=fill stroke="currentColor" stroke-width="2"></circle>
    }
}

/// What is said of the wear, with what it rests on.
pub fn wear(said: &WearSaid) -> Option<impl IntoView + use<>> {
    let WearSaid { lines, rests_on } = said.clone();
    (!lines.is_empty()).then(|| {
        let lines: Vec<_> = lines.into_iter().map(|line| view! { <p class="wear">{line}</p> }).collect();
        view! {
            {lines}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">"Rests on: " {rests_on} "."</p> })}
        }
    })
}
