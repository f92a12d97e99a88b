//! A sheet as it prints: one drawing a page of paper, to scale.
use leptos::prelude::*;
use tripoise_core::label::sheet::{Place, TextLine};
use tripoise_core::view::labels::sheet::SheetPage;

/// The sheets.
pub fn render(data: &SheetPage) -> impl IntoView + use<> {
    let (width, height) = data.grid.paper.size();
    let (width, height) = (width.mm(), height.mm());
    let paper = format!("sheet {}", data.grid.paper.key());
    let sheets: Vec<_> = (0..data.n_sheets)
        .map(|at| {
            let labels: Vec<_> = data.places.iter().filter(|place| place.sheet == at).map(label).collect();
            let said = format!("Sheet {} of {}: {} labels", at + 1, data.n_sheets, labels.len());
            view! {
                <svg class=paper.clone() viewBox=format!("0 0 {width} {height}") role="img" aria-label=said>
                    <rect width=width.to_string() height=height.to_string() fill="#fff"></rect>
                    {labels}
                </svg>
            }
        })
        .collect();
    let replaced = (!data.replaced.is_empty()).then(|| {
        let codes = data.replaced.join(", ");
        view! {
            <p class="notices screen">
                {format!("Newer labels have taken the place of these since: {codes}. Scanned, the old ones say so.")}
            </p>
        }
    });
    let pdf = data.pdf.clone();
    view! {
        <p class="say screen">{data.said.clone()}</p>
        {replaced}
        <p class="screen">
            "Print without scaling (100 %, no margins). Try it on plain paper first and hold it against the label sheet."
        </p>
        <div class="actions">
            <a class="button first" href=pdf>
                "Open as PDF"
            </a>
            <a class="button" href="/labels">
                "Other labels"
            </a>
        </div>
        <div class="sheets">{sheets}</div>
    }
}

fn label(place: &Place) -> impl IntoView + use<> {
    let [left, top, width, height] = place.frame;
    let [x, y, side] = place.symbol_at;
    let scale = side / f64::from(place.symbol.side_with_quiet());
    let lines: Vec<_> = place.lines.iter().map(line).collect();
    let write = place.write.map(|[from, to, at]| {
        view! { <path d=format!("M{from} {at}H{to}") stroke="#000" stroke-width="0.2"></path> }
    });
    view! {
        <g>
            <rect
                class="cut"
                x=left.to_string()
                y=top.to_string()
                width=width.to_string()
                height=height.to_string()
                fill="none"
                stroke="#999"
                stroke-width="0.1"
            ></rect>
            <path
                d=place.symbol.path()
                transform=format!("translate({x} {y}) scale({scale})")
                fill="#000"
                shape-rendering="crispEdges"
            ></path>
            {lines}
            {write}
        </g>
    }
}

fn line(line: &TextLine) -> impl IntoView + use<> {
    let TextLine { text, x_mm, y_mm, size_mm, bold } = line.clone();
    let class = if bold { "code" } else { "" };
    view! {
        <text class=class transform=format!("translate({x_mm} {y_mm}) scale({})", size_mm / 10.0)>
            {text}
        </text>
    }
}
