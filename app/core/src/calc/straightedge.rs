//! `tripoise calc straightedge`: feeler readings along lines in, heights and flatness out.
//!
//! What this does not do: compute; that is [`crate::geometry::straightedge`].
use super::flatness::{refused, write};
use super::input::{LENGTH, Node, Object, Quantity, READING};
use super::output::Output;
use super::{CalcError, Kind};
use crate::geometry::PlanPoint;
use crate::geometry::flatness::measure;
use crate::geometry::straightedge::{Line, MERGED_MM, Reading, StraightedgeError, solve};

pub(super) const KIND: Kind = Kind { name: "straightedge", run, help: HELP };

const HELP: &str = "\
Heights and flatness of a shelf from feelers under a straightedge that rests on two equal spacers, one at each
end of a line.

Input:  length_mm, width_mm   the shelf; every line runs within it
        lines   1 to 100 of {from {x_mm,y_mm}, to {x_mm,y_mm}, readings 1 to 100 of {at, dip_mm}}
                at: the fraction of the way along the line; dip_mm: feeler less spacer, how far the surface
                lies below the chord between the line's ends (negative: above it)
        Places within 0.1 mm are one place; the lines must join into one network by such places.
Output: the fields of flatness, and
        points          every place with its solved height
        closure_rms_mm  root mean square of what the readings disagree by; null where none checks another
        closure_worst   {line, reading, residual_mm}: the reading that fits worst, or null
        undetermined    how many ways the places could still move without any reading changing, planes
                        aside; where it is not 0, the smallest heights that fit are given

Example:
tripoise calc straightedge <<'END'
{\"length_mm\":600,\"width_mm\":300,\"lines\":[{\"from\":{\"x_mm\":0,\"y_mm\":0},\"to\":{\"x_mm\":600,\"y_mm\":300},\"readings\":[{\"at\":0.5,\"dip_mm\":0.4}]},{\"from\":{\"x_mm\":0,\"y_mm\":300},\"to\":{\"x_mm\":600,\"y_mm\":0},\"readings\":[{\"at\":0.5,\"dip_mm\":0.5}]},{\"from\":{\"x_mm\":0,\"y_mm\":150},\"to\":{\"x_mm\":600,\"y_mm\":150},\"readings\":[{\"at\":0.5,\"dip_mm\":0.3}]}]}
END
";

const AT: Quantity = Quantity::from_zero("a fraction of the line", "a number from 0 to 1", 1.0);
const MOST_LINES: usize = 100;
const MOST_READINGS: usize = 100;

fn run(input: &Node<'_>) -> Result<String, CalcError> {
    let object = input.object(&["length_mm", "width_mm", "lines"])?;
    let shelf = (object.number("length_mm", &LENGTH)?, object.number("width_mm", &LENGTH)?);
    let field = object.field("lines", "1 to 100 lines with from, to, readings")?;
    let lines = field.list("lines", 1, MOST_LINES)?.read(|node| line(node, shelf))?;
    let solved = solve(&lines).map_err(|err| named(&field, &lines, &err))?;
    let flatness = measure(&solved.points).map_err(|err| refused(&field, &err))?;
    let mut out = Output::new();
    write(&mut out, &flatness);
    out.objects("points", &solved.points, |out, point| {
        out.number("x_mm", point.x_mm).number("y_mm", point.y_mm).number("z_mm", point.z_mm);
    });
    out.number_or_null("closure_rms_mm", solved.closure_rms_mm);
    match solved.closure_worst {
        Some(worst) => out.object("closure_worst", |out| {
            out.whole("line", worst.line).whole("reading", worst.reading);
            out.number("residual_mm", worst.residual_mm);
        }),
        None => out.null("closure_worst"),
    };
    out.whole("undetermined", solved.undetermined);
    out.finish()
}

fn line(node: &Node<'_>, shelf: (f64, f64)) -> Result<Line, CalcError> {
    let object = node.object(&["from", "to", "readings"])?;
    let readings = object.field("readings", "1 to 100 readings with at, dip_mm")?;
    Ok(Line {
        from: place(&object, "from", shelf)?,
        to: place(&object, "to", shelf)?,
        readings: readings.list("readings", 1, MOST_READINGS)?.read(reading)?,
    })
}

fn reading(node: &Node<'_>) -> Result<Reading, CalcError> {
    let object = node.object(&["at", "dip_mm"])?;
    Ok(Reading { at: object.number("at", &AT)?, dip_mm: object.number("dip_mm", &READING)? })
}

fn place(line: &Object<'_>, name: &'static str, shelf: (f64, f64)) -> Result<PlanPoint, CalcError> {
    let node = line.field(name, "a place with x_mm, y_mm")?;
    let object = node.object(&["x_mm", "y_mm"])?;
    let within = |name: &'static str, size: f64| {
        let field = object.field(name, "a place on the shelf")?;
        let quantity = Quantity {
            noun: "on the shelf",
            want: "a place from 0 to its length_mm or width_mm",
            low: -MERGED_MM,
            high: size + MERGED_MM,
            above_low: false,
        };
        field.number(&quantity)
    };
    Ok(PlanPoint { x_mm: within("x_mm", shelf.0)?, y_mm: within("y_mm", shelf.1)? })
}

/// The geometry's refusal, with the path of the field at fault in front.
fn named(field: &Node<'_>, lines: &[Line], err: &StraightedgeError) -> CalcError {
    let text = err.to_string();
    let (cause, want) = text.split_once("; give ").unwrap_or((&text, "other lines"));
    let path = match *err {
        StraightedgeError::NoLength { line } | StraightedgeError::Apart { line } => format!("lines[{line}]"),
        StraightedgeError::OffLine { line, reading, .. } => format!("lines[{line}].readings[{reading}].at"),
        StraightedgeError::DipAtEnd { line, reading, .. } => {
            format!("lines[{line}].readings[{reading}].dip_mm")
        }
        StraightedgeError::OneLine | StraightedgeError::TooMany { .. } => field.path(),
    };
    let cause = match *err {
        StraightedgeError::Apart { line } => lines.get(line).map_or_else(String::new, |l| {
            format!("from ({}, {}) to ({}, {}) {cause}", l.from.x_mm, l.from.y_mm, l.to.x_mm, l.to.y_mm)
        }),
        _ => cause.to_owned(),
    };
    CalcError::together(path, cause, want)
}

#[cfg(test)]
mod tests {
    use crate::calc::run;

    fn check(lines: &str, wanted: &str) {
        let input = format!(r#"{{"length_mm":600,"width_mm":300,"lines":[{lines}]}}"#);
        let text = run("straightedge", &input).unwrap_or_else(|err| err.to_string());
        assert!(text.contains(wanted), "{text}\nshould hold\n{wanted}");
    }

    fn line(from: (f64, f64), to: (f64, f64), at: f64, dip: f64) -> String {
        let ((x, y), (u, v)) = (from, to);
        format!(
            r#"{{"from":{{"x_mm":{x},"y_mm":{y}}},"to":{{"x_mm":{u},"y_mm":{v}}},"readings":[{{"at":{at},"dip_mm":{dip}}}]}}"#
        )
    }

    #[test]
    fn the_quick_reading_leaves_one_way_open() {
        let quick = [
            line((0.0, 0.0), (600.0, 300.0), 0.5, 0.4),
            line((0.0, 300.0), (600.0, 0.0), 0.5, 0.4),
            line((0.0, 150.0), (600.0, 150.0), 0.5, 0.4),
        ];
        check(&quick.join(","), r#""closure_rms_mm":null,"closure_worst":null,"undetermined":1}"#);
        // A crossing that is off by less than the places merge by changes nothing of note.
        let off = [quick[0].clone(), quick[1].clone(), line((0.0, 150.05), (600.0, 150.0), 0.5001, 0.4)];
        check(&off.join(","), r#""closure_rms_mm":null,"closure_worst":null,"undetermined":1}"#);
    }

    #[test]
    fn bad_lines_are_named() {
        let diagonal = line((0.0, 0.0), (600.0, 300.0), 0.5, 0.4);
        check(&diagonal, "lines: all places lie on one line; give lines across the face as well");
        let apart = line((0.0, 300.0), (300.0, 300.0), 0.5, 0.1);
        check(
            &[diagonal.clone(), apart].join(","),
            "lines[1]: from (0, 300) to (300, 300) shares no place with the other lines; give it an end",
        );
        check(
            &line((0.0, 0.0), (0.05, 0.0), 0.5, 0.1),
            "lines[0]: the ends are less than 0.1 mm apart; give two",
        );
        check(&line((0.0, 0.0), (700.0, 0.0), 0.5, 0.1), "lines[0].to.x_mm: 700 is not on the shelf; give");
        check(&line((0.0, 0.0), (600.0, 0.0), 1.5, 0.1), "lines[0].readings[0].at: 1.5 is not a fraction");
        check(
            &line((0.0, 0.0), (600.0, 0.0), 0.0, 0.1),
            "lines[0].readings[0].dip_mm: 0.1 is not a reading at the end of a line, where the straightedge rests",
        );
        check("", "lines: 0 is not the number of lines wanted; give 1 to 100 of them");
    }
}
