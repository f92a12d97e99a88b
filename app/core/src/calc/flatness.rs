//! `tripoise calc flatness`: the points of a face in, its flatness out.
//!
//! What this does not do: compute; that is [`crate::geometry::flatness`].
use super::input::{Node, POSITION, READING};
use super::output::Output;
use super::{CalcError, Kind};
use crate::geometry::SurfacePoint;
use crate::geometry::flatness::{FEWEST, Flatness, FlatnessError, MOST, measure};

pub(super) const KIND: Kind = Kind { name: "flatness", run, help: HELP };

const HELP: &str = "\
Flatness of a face from points on it: minimum zone (ISO 1101) and least squares (ISO 12781).

Input: points (4 to 100,000, not on one line in plan), each with x_mm, y_mm in plan and z_mm, the height.
Output: minimum_zone_mm   least distance between two parallel planes that hold every point, measured normal
                          to them; exact to 1e-9 mm
        least_squares_mm  peak to valley of the distances to the least-squares plane (FLTt)
        peak_mm, valley_mm, rms_mm   highest over it, lowest under it (positive), root mean square
        bow_mm, twist_mm  of the fitted second-degree surface: middle less mean of the corners (hump positive,
                          dish negative), half the corners' alternating sum; null below 6 points or where
                          the points cannot tell them apart
        contact           indices of the points that touch the two planes of the minimum zone

Example:
tripoise calc flatness <<'END'
{\"points\":[{\"x_mm\":0,\"y_mm\":0,\"z_mm\":0.12},{\"x_mm\":600,\"y_mm\":0,\"z_mm\":0},{\"x_mm\":600,\"y_mm\":300,\"z_mm\":0.2},{\"x_mm\":0,\"y_mm\":300,\"z_mm\":0.1},{\"x_mm\":300,\"y_mm\":150,\"z_mm\":-0.7}]}
END
";

fn run(input: &Node<'_>) -> Result<String, CalcError> {
    let object = input.object(&["points"])?;
    let field = object.field("points", "4 to 100000 points with x_mm, y_mm, z_mm")?;
    let points = field.list("points", FEWEST, MOST)?.read(point)?;
    let found = measure(&points).map_err(|err| refused(&field, &err))?;
    let mut out = Output::new();
    write(&mut out, &found);
    out.finish()
}

fn point(node: &Node<'_>) -> Result<SurfacePoint, CalcError> {
    let object = node.object(&["x_mm", "y_mm", "z_mm"])?;
    Ok(SurfacePoint {
        x_mm: object.number("x_mm", &POSITION)?,
        y_mm: object.number("y_mm", &POSITION)?,
        z_mm: object.number("z_mm", &READING)?,
    })
}

/// The refusal of a list of points as the geometry words it ("cause; give ...").
pub(super) fn refused(field: &Node<'_>, err: &FlatnessError) -> CalcError {
    let text = err.to_string();
    let (cause, want) = text.split_once("; give ").unwrap_or((&text, "other points"));
    field.cannot(cause, want)
}

/// Writes the fields of flatness.
pub(super) fn write(out: &mut Output, found: &Flatness) {
    out.number("minimum_zone_mm", found.minimum_zone_mm)
        .number("least_squares_mm", found.least_squares_mm)
        .number("peak_mm", found.peak_mm)
        .number("valley_mm", found.valley_mm)
        .number("rms_mm", found.rms_mm)
        .number_or_null("bow_mm", found.bow_mm)
        .number_or_null("twist_mm", found.twist_mm)
        .wholes("contact", &found.contact);
}

#[cfg(test)]
mod tests {
    use crate::calc::run;

    fn check(input: &str, wanted: &str) {
        let text = run("flatness", input).unwrap_or_else(|err| err.to_string());
        assert_eq!(text, wanted, "{input}");
    }

    #[test]
    fn bad_input_names_the_field() {
        check("{}", "points: missing; give 4 to 100000 points with x_mm, y_mm, z_mm");
        check("[]", "input: a list of 0 is not an object; give an object with points");
        check(r#"{"points":7}"#, "points: 7 is not a list of points; give 4 to 100000 of them");
        check(r#"{"points":[]}"#, "points: 0 is not the number of points wanted; give 4 to 100000 of them");
        let with = |point: &str| {
            format!(r#"{{"points":[{point},{ok},{ok},{ok}]}}"#, ok = r#"{"x_mm":0,"y_mm":0,"z_mm":0}"#)
        };
        check(
            &with(r#"{"x_mm":0,"y_mm":0}"#),
            "points[0].z_mm: missing; give millimetres between -100000 and 100000",
        );
        check(
            &with(r#"{"x_mm":"0"}"#),
            r#"points[0].x_mm: "0" is not a position; give millimetres between -100000 and 100000"#,
        );
        check(
            &with(r#"{"x_mm":null}"#),
            "points[0].x_mm: null is not a position; give millimetres between -100000 and 100000",
        );
        check(
            &with(r#"{"x_mm":1e300}"#),
            "points[0].x_mm: 1e+300 is not a position; give millimetres between -100000 and 100000",
        );
        check(&with(r#"{"x":0}"#), "points[0].x: not a known field; give x_mm, y_mm, z_mm");
        check(
            &with(r#"{"x_mm":0,"y_mm":0,"z_mm":0}"#),
            "points: the 4 points lie on one line; give points across the face as well",
        );
    }

    #[test]
    fn what_is_not_json_is_placed() {
        let input = "{\"points\":[{\"x_mm\":NaN}]}";
        check(
            input,
            "points[0].x_mm: NaN cannot be read as JSON (line 1, column 20); give a finite number or what --help shows there",
        );
        check(
            "{\"points\":[{\"x_mm\":1e999}]}",
            "points[0].x_mm: 1e999 cannot be read as JSON (line 1, column 24); give a finite number or what --help shows there",
        );
        check(
            "",
            "input: the end of the text cannot be read as JSON (line 1, column 0); give one JSON object",
        );
        check("{} x", "input: x cannot be read as JSON (line 1, column 4); give one JSON object");
    }
}
