//! The form for a reading along lines, against a straightedge or another shelf.
use super::{Typing, exact, fields, grid, reader};
use crate::event::values::{Face, Instrument, Typed};
use crate::event::{Against, Dip, LineReading, ShelfMeasured, SurfaceReading};
use crate::form::reader::Bounds;
use crate::form::{FormValues, Problem, Reader, Submission};
use crate::outline::{Line, LineName};
use crate::units::Length;
use crate::view::Page;
use crate::view::shelf::measure::{How, Measure};
use crate::view::text::{LengthUnit, length};
use std::collections::BTreeMap;

/// A dip beyond this is refused, beyond [`USUAL_MM`] asked about.
/// House choice: past every use is 6.4 mm; ten times that is another thing than a shelf.
const MOST_MM: f64 = 50.0;
const USUAL_MM: f64 = 10.0;
/// Where a line may be read, in thousandths.
const STATIONS: [u16; 3] = [250, 500, 750];

/// Reads the form.
pub(super) fn read(page: &Page, data: &Measure, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let mut form = reader(page, &data.named, values);
    let face = form.choice::<Face>("face");
    let reading = match data.how {
        How::Grid => grid::read(&mut form, &data.outline, page.unit, &data.named.feelers),
        How::Against => {
            let against = other(&mut form, data);
            lines(&mut form, data, against, Edge::Straight, page.unit)
        }
        How::Quick | How::Full => {
            let against = edge(&mut form);
            let edge = match &against {
                Some(Against::Spacers { spacer }) => Edge::Spacers(spacer.nm),
                Some(_) => Edge::Straight,
                None => Edge::Unknown,
            };
            lines(&mut form, data, against, edge, page.unit)
        }
    };
    let instrument = form.choice::<Instrument>("instrument");
    let bare = match form.text("bare") {
        "yes" => Some(true),
        "no" => Some(false),
        _ => {
            form.problem("bare", "choose one");
            None
        }
    };
    let note = form.text("note").to_owned();
    let shelf = data.named.shelf;
    let body = face.zip(bare).zip(instrument).zip(reading).map(|(((face, bare), instrument), reading)| {
        ShelfMeasured { shelf, face, bare, instrument, reading, note }.into()
    });
    form.finish(body).map(|body| Submission::new(vec![body], data.named.path.clone()))
}

fn edge(form: &mut Reader<'_>) -> Option<Against> {
    match form.text("edge") {
        "straight" => Some(Against::Straightedge),
        "spacers" => {
            let bounds = Bounds { least_mm: 0.1, most_mm: 100.0, usual_mm: (0.5, 25.0) };
            form.length("spacer", bounds).map(|spacer| Against::Spacers { spacer })
        }
        _ => {
            form.problem("edge", "choose one");
            None
        }
    }
}

fn other(form: &mut Reader<'_>, data: &Measure) -> Option<Against> {
    let code = form.code("other")?;
    let known = data.others.iter().find(|(other, _)| other == code.as_str());
    if known.is_none() {
        form.problem("other", format!("no other shelf in service has the code {code}"));
    }
    known.map(|(_, other)| Against::Shelf { other: *other })
}

/// What a typed gap is a gap over.
#[derive(Clone, Copy)]
enum Edge {
    /// An edge, or a shelf, straight on the face.
    Straight,
    /// An edge on spacers of this thickness.
    Spacers(Length),
    /// Not known, since that field is wrong: the gaps are only read, so that all problems show at once.
    Unknown,
}

fn lines(
    form: &mut Reader<'_>,
    data: &Measure,
    against: Option<Against>,
    edge: Edge,
    unit: LengthUnit,
) -> Option<SurfaceReading> {
    let mut read = Vec::new();
    let mut whole = true;
    for line in &data.lines {
        match dips(form, data, line, edge, unit) {
            Some(dips) if dips.is_empty() => {}
            Some(dips) => read.push(LineReading { line: line.name, from: line.from, to: line.to, dips }),
            None => whole = false,
        }
    }
    if whole && read.is_empty() {
        let first = data.lines.first().map_or(String::new(), |line| field(line.name, 500));
        form.problem(&first, "read at least one line; two that cross show the face");
        return None;
    }
    whole.then_some(SurfaceReading::Lines { against: against?, lines: read })
}

/// The line's readings; none where one of them is wrong, empty where the line was left out.
fn dips(
    form: &mut Reader<'_>,
    data: &Measure,
    line: &Line,
    edge: Edge,
    unit: LengthUnit,
) -> Option<Vec<Dip>> {
    let hump = form.text(&bend(line.name)) == "hump";
    let mut dips = Vec::new();
    let mut whole = true;
    for at_permille in STATIONS {
        let field = field(line.name, at_permille);
        if form.text(&field).is_empty() {
            continue;
        }
        let read = match edge {
            Edge::Spacers(spacer) => over_spacer(form, &field, spacer, hump, unit),
            Edge::Straight => gap(form, &field, hump, USUAL_MM),
            Edge::Unknown => gap(form, &field, hump, MOST_MM),
        };
        match read {
            Some((dip_nm, text)) => {
                if let Some(question) = odd(form, data, line, at_permille, dip_nm, unit) {
                    form.ask(&field, question);
                }
                dips.push(Dip { at_permille, dip_nm, text });
            }
            None => whole = false,
        }
    }
    whole.then_some(dips)
}

/// What is asked about a reading that is far off the last one of that place; not against another shelf, whose own
/// bow is in it, and not between a washed face and a bare one.
fn odd(
    form: &Reader<'_>,
    data: &Measure,
    line: &Line,
    at_permille: u16,
    dip: Length,
    unit: LengthUnit,
) -> Option<String> {
    if data.how == How::Against {
        return None;
    }
    let (face, bare) = (form.text("face"), form.text("bare"));
    let before = data.before.iter().find(|before| {
        (before.line, before.at_permille) == (line.name, at_permille)
            && before.face.key() == face
            && (if before.bare { "yes" } else { "no" }) == bare
    })?;
    let off = (dip - before.dip).abs();
    if off <= before.allowed {
        return None;
    }
    let said = |dip: Length| match dip.0.signum() {
        0 => length(dip, unit),
        -1 => format!("a hump of {}", length(dip.abs(), unit)),
        _ => format!("a dish of {}", length(dip, unit)),
    };
    Some(format!(
        "{} is {} off the last reading there ({} on {}); read it again, or tick the box if it is right",
        said(dip),
        length(off, unit),
        said(before.dip),
        before.on
    ))
}

/// A gap straight under the edge: a dip, unless hump was chosen or a minus typed.
fn gap(form: &mut Reader<'_>, field: &str, hump: bool, usual_mm: f64) -> Option<(Length, String)> {
    let bounds = Bounds { least_mm: -MOST_MM, most_mm: MOST_MM, usual_mm: (-usual_mm, usual_mm) };
    let Typed { nm, text } = form.length(field, bounds)?;
    Some((if hump { Length(-nm.abs().0) } else { nm }, text))
}

/// A feeler under an edge on spacers: the dip is what it has over the spacer, its sign comes with it.
fn over_spacer(
    form: &mut Reader<'_>,
    field: &str,
    spacer: Length,
    hump: bool,
    unit: LengthUnit,
) -> Option<(Length, String)> {
    let most_mm = spacer.mm() + MOST_MM;
    let usual_mm = (spacer.mm() - USUAL_MM, spacer.mm() + USUAL_MM);
    let Typed { nm, text } = form.length(field, Bounds { least_mm: 0.0, most_mm, usual_mm })?;
    let dip = nm - spacer;
    if hump && dip.0 > 0 {
        let said = format!(
            "{} is more than the spacer, which makes it a dish; choose dish or read it again",
            length(nm, unit)
        );
        form.problem(field, said);
        return None;
    }
    Some((dip, text))
}

/// The name of a line's field.
fn field(line: LineName, at_permille: u16) -> String {
    format!("{}_{at_permille}", line.key())
}

/// The name of a line's choice between dish and hump.
fn bend(line: LineName) -> String {
    format!("{}_bend", line.key())
}

/// The fields as they were when this body was read.
pub(super) fn values_of(body: &ShelfMeasured, how: Typing<'_>) -> BTreeMap<String, Vec<String>> {
    let mut values = fields([
        ("face", body.face.key().to_owned()),
        ("bare", if body.bare { "yes" } else { "no" }.to_owned()),
        ("instrument", body.instrument.key().to_owned()),
        ("note", body.note.clone()),
    ]);
    match &body.reading {
        SurfaceReading::Grid { columns, rows, inset_nm, heights } => {
            let cell =
                |height: &Option<Typed>| height.as_ref().map_or("-".to_owned(), |typed| how.text(typed));
            let per_row = usize::from(*columns).max(1);
            let lines =
                heights.chunks(per_row).map(|row| row.iter().map(cell).collect::<Vec<_>>().join("; "));
            values.extend(fields([
                ("columns", columns.to_string()),
                ("rows", rows.to_string()),
                ("inset", exact(*inset_nm, how.unit)),
                ("heights", lines.collect::<Vec<_>>().join("\n")),
            ]));
        }
        SurfaceReading::Lines { against, lines } => {
            values.extend(match against {
                Against::Straightedge => fields([("edge", "straight".to_owned())]),
                Against::Spacers { spacer } => {
                    fields([("edge", "spacers".to_owned()), ("spacer", how.text(spacer))])
                }
                // The page puts the other shelf's code in: a body has only its id.
                Against::Shelf { .. } => BTreeMap::new(),
            });
            let spacer = match against {
                Against::Spacers { spacer } => spacer.nm,
                Against::Straightedge | Against::Shelf { .. } => Length::ZERO,
            };
            lines.iter().for_each(|line| line_values(&mut values, line, spacer, how));
        }
    }
    values
}

fn line_values(
    values: &mut BTreeMap<String, Vec<String>>,
    line: &LineReading,
    spacer: Length,
    how: Typing<'_>,
) {
    // Hump was chosen where a gap typed without a minus was kept as a hump.
    let is_plain = |dip: &Dip| dip.dip_nm.0 < 0 && how.reads(&dip.text).is_some_and(|typed| typed.0 > 0);
    let hump = spacer == Length::ZERO
        && line.dips.iter().all(|dip| dip.dip_nm.0 < 0)
        && line.dips.iter().any(is_plain);
    values.insert(bend(line.line), vec![if hump { "hump" } else { "dish" }.to_owned()]);
    for dip in &line.dips {
        let shown = dip.dip_nm + spacer;
        let is_minus = how.reads(&dip.text).is_some_and(|typed| typed.0 < 0);
        let typed = Typed { nm: if hump && !is_minus { shown.abs() } else { shown }, text: dip.text.clone() };
        values.insert(field(line.line, dip.at_permille), vec![how.text(&typed)]);
    }
}
