//! Reading a shelf's flatness: the lines on a drawing, one field each, or a grid of numbers.
use super::back;
use crate::app::Frame;
use crate::browser;
use crate::parts::aloud;
use crate::parts::field::{Field, area, length, number, options, radios, text};
use crate::parts::form::{form, submit};
use crate::parts::keypad::{Pad, Sketch, keypad};
use leptos::prelude::*;
use tripoise_core::event::values::{Face, Instrument};
use tripoise_core::outline::{Line, Outline};
use tripoise_core::view::shelf::drawing::{Scale, WIDTH};
use tripoise_core::view::shelf::measure::{How, Measure};
use tripoise_core::view::{Link, Page};

const FORM: &str = "record";

fn field(name: impl Into<String>, label: impl Into<String>) -> Field {
    Field::new(FORM, name, label)
}

/// The form for a reading.
pub fn render(page: &Page, data: &Measure) -> impl IntoView + use<> {
    let current = RwSignal::new(0_usize);
    let pad = pad(page, data);
    let instrument = if data.how == How::Grid { Instrument::DialIndicator } else { Instrument::Feeler };
    let bare = if data.bare { "yes" } else { "no" };
    let yes_no = vec![("yes".to_owned(), "bare".to_owned()), ("no".to_owned(), "washed".to_owned())];
    let fields = view! {
        {radios(field("face", "Face up").value(data.named.up.key()), options::<Face>())}
        {reading(data, current, &pad)}
        {radios(field("instrument", "Read with").value(instrument.key()), options::<Instrument>())}
        {radios(
            field("bare", "The face is").value(bare).hint("Lumps of wash spoil a reading: read it bare where you can."),
            yes_no,
        )}
        {text(field("note", "Note").hint("May stay empty."), "text")}
        {submit("Record the reading")}
    };
    view! {
        <p>"Cold, on a level bench, the ends of the straightedge over the ends of the line."</p>
        {form(FORM, fields)}
        {(data.how != How::Grid).then(aloud::switch)}
        {ways(data)}
        {back(&data.named.path)}
    }
}

fn ways(data: &Measure) -> impl IntoView + use<> {
    let links: Vec<_> = data
        .ways
        .iter()
        .map(|way| {
            let Link { href, text } = way.clone();
            view! {
                <a class="button quiet" href=href>
                    {text}
                </a>
            }
        })
        .collect();
    view! {
        <nav aria-label="Other ways to read it">
            <h2>"Read it another way"</h2>
            <div class="actions">{links}</div>
        </nav>
    }
}

/// The pad that types into every gap in turn.
fn pad(page: &Page, data: &Measure) -> Pad {
    let stations: &[(u16, &str)] = match data.how {
        How::Full => &[(250, "a quarter of the way, "), (500, ""), (750, "three quarters, ")],
        How::Quick | How::Against => &[(500, "")],
        How::Grid => &[],
    };
    let fields = data.lines.iter().flat_map(|line| {
        let said = line.name.said();
        stations
            .iter()
            .map(move |(at, where_)| (format!("{}_{at}", line.name.key()), format!("{where_}{said}")))
    });
    let along: Vec<u16> = stations.iter().map(|(at, _)| *at).collect();
    Pad {
        form: FORM,
        unit: page.unit,
        fields: fields.collect(),
        feelers: true,
        sketch: Some(sketch(data, &along)),
        at: RwSignal::new(0),
    }
}

/// Where each of the pad's fields is read, so many thousandths along its line.
fn sketch(data: &Measure, along: &[u16]) -> Sketch {
    let scale = Scale::of(&data.outline);
    let fields = data.lines.iter().flat_map(|line| {
        let ((x0, y0), (x1, y1)) = (scale.spot(line.from), scale.spot(line.to));
        let path = scale.line(line.from, line.to);
        along.iter().map(move |at| {
            let share = f64::from(*at) / 1000.0;
            (path.clone(), (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share))
        })
    });
    Sketch { size: (WIDTH, scale.height()), outline: scale.outline(&data.outline), fields: fields.collect() }
}

fn reading(data: &Measure, current: RwSignal<usize>, pad: &Pad) -> AnyView {
    match data.how {
        How::Grid => grid().into_any(),
        How::Against => {
            let hint =
                "Face to face. The gap belongs to both shelves: it says at most how far this one is off.";
            view! { {text(field("other", "The other shelf\u{2019}s code").hint(hint), "text")} {lines(data, current, pad)} }.into_any()
        }
        How::Quick | How::Full => view! { {edge()} {lines(data, current, pad)} }.into_any(),
    }
}

fn edge() -> impl IntoView {
    let edges = vec![
        ("straight".to_owned(), "straight on the face".to_owned()),
        ("spacers".to_owned(), "on two equal spacers".to_owned()),
    ];
    let hint =
        "On spacers type the feeler that just slides under: over the spacer is a dish, under it a hump.";
    view! {
        {radios(field("edge", "The straightedge lies").value("straight").hint(hint), edges)}
        {length(field("spacer", "Spacers\u{2019} thickness").hint("Only where it lies on spacers."))}
    }
}

fn lines(data: &Measure, current: RwSignal<usize>, pad: &Pad) -> impl IntoView + use<> {
    let quarters = data.how == How::Full;
    let fieldsets: Vec<_> = data
        .lines
        .iter()
        .enumerate()
        .map(|(idx, line)| {
            let last = data.last.get(idx).cloned().unwrap_or_default();
            line_fields(idx, line, last, quarters, current, pad)
        })
        .collect();
    view! { {drawing(&data.outline, &data.lines, current)} {fieldsets} {keypad(pad.clone())} }
}

fn line_fields(
    idx: usize,
    line: &Line,
    last: String,
    quarters: bool,
    current: RwSignal<usize>,
    pad: &Pad,
) -> impl IntoView + use<> {
    let (frame, pad) = (Frame::get(), pad.clone());
    let key = line.name.key();
    let said = line.name.said();
    let bends = vec![("dish".to_owned(), "dish".to_owned()), ("hump".to_owned(), "hump".to_owned())];
    let hint = if last.is_empty() {
        "A length, or a feeler: card, 2 cards, paper.".to_owned()
    } else {
        format!("A length or a feeler; {last}.")
    };
    let quarter = move |at: u16, which: &str| {
        quarters.then(|| {
            length(
                field(format!("{key}_{at}"), format!("Gap {which} of the way, {said}"))
                    .hint("May stay empty."),
            )
        })
    };
    let focused = move |event: leptos::ev::FocusEvent| {
        current.set(idx);
        if let Some(id) = browser::pad::id_of(&event) {
            pad.follow(&id);
        }
    };
    // Typed on a keyboard: checked when the field is left.
    let changed = move |event: leptos::ev::Event| {
        if let Some(id) = browser::pad::id_of(&event) {
            browser::pad::check(frame, FORM, &id);
        }
    };
    view! {
        <fieldset class="line" on:focusin=focused on:change=changed>
            <legend>{format!("{}. {said}", idx + 1)}</legend>
            {quarter(250, "a quarter")}
            {length(field(format!("{key}_500"), format!("Gap in the middle, {said}")).hint(hint))}
            {quarter(750, "three quarters")}
            {radios(field(format!("{key}_bend"), format!("It is a \u{2026} ({said})")).value("dish"), bends)}
        </fieldset>
    }
}

/// The outline with the lines numbered; the one whose field has the focus is thick.
fn drawing(outline: &Outline, lines: &[Line], current: RwSignal<usize>) -> impl IntoView + use<> {
    let scale = Scale::of(outline);
    let height = scale.height();
    let drawn: Vec<_> = lines
        .iter()
        .enumerate()
        .map(|(idx, line)| {
            let here = move || current.get() == idx;
            let ((x0, y0), (x1, y1)) = (scale.spot(line.from), scale.spot(line.to));
            // The number stands a sixth of the way along, where no two lines cross.
            let at = |from: f64, to: f64| (from + (to - from) / 6.0).to_string();
            view! {
                <path
                    d=scale.line(line.from, line.to)
                    fill="none"
                    stroke=move || if here() { "var(--cobalt)" } else { "var(--dim)" }
                    stroke-width=move || if here() { "6" } else { "2" }
                ></path>
                <circle cx=at(x0, x1) cy=at(y0, y1) r="11" fill="var(--wash)" stroke="currentColor"></circle>
                <text x=at(x0, x1) y=at(y0 + 6.0, y1 + 6.0) text-anchor="middle">
                    {(idx + 1).to_string()}
                </text>
            }
        })
        .collect();
    let names: Vec<String> =
        lines.iter().enumerate().map(|(idx, line)| format!("{} {}", idx + 1, line.name.said())).collect();
    let label = format!("The outline from above with its lines: {}", names.join(", "));
    view! {
        <figure>
            <svg viewBox=format!("0 0 {WIDTH} {height}") width="100%" role="img" aria-label=label>
                <path d=scale.outline(outline) fill="var(--slab)" stroke="currentColor" stroke-width="2"></path>
                {drawn}
            </svg>
            <figcaption>"From above, front at the bottom. The thick line is the one to read."</figcaption>
        </figure>
    }
}

fn grid() -> impl IntoView {
    let hint = "Paste or type rows of numbers, the front row first, left to right; - where there is no surface. Higher is more. Where the zero lies does not matter.";
    view! {
        {length(field("inset", "Outermost places stand in from the edge by").value("20 mm"))}
        {area(field("heights", "Heights").hint(hint), 8)}
        {number(field("columns", "Numbers in a row").hint("May stay empty: they are counted."))}
        {number(field("rows", "Rows").hint("May stay empty: they are counted."))}
    }
}
