//! `tripoise calc three-post`: a shelf on three posts in, its tilt, shares and tipping masses out.
//!
//! What this does not do: compute; that is [`crate::geometry::three_post`].
use super::input::{HEIGHT, LENGTH, MASS, Node, OWN_MASS, Object, POSITION, Quantity, UNCERTAINTY};
use super::output::Output;
use super::{CalcError, Kind};
use crate::geometry::Face;
use crate::geometry::three_post::{Lie, Load, Post, Setting, ThreePostError, judge};

pub(super) const KIND: Kind = Kind { name: "three-post", run, help: HELP };

const HELP: &str = "\
A shelf on three posts: tilt, what each post carries, and how near it is to tipping. Rigid shelf, small tilt.

Input:  posts   three of {x_mm, y_mm, height_mm}
        shelf   {length_mm, width_mm, mass_kg, shape}; shape is rectangle (when left out), disc or half-disc.
                The rectangle runs from (0,0) to (length, width). A disc's length and width are its diameter.
                Half a disc has its straight edge from (0,0) to (length, 0), and its width is half its length.
        loads   (optional) any of {x_mm, y_mm, mass_kg}
        u_height_mm   (optional) standard uncertainty of each height
Output: spread_mm, slope_mm_per_m, tilt_deg
        downhill_deg    direction of steepest descent, counter-clockwise from +x; null when level
        tilt_u_deg      standard uncertainty of the tilt; null without u_height_mm
        centre_of_mass  {x_mm, y_mm} of the shelf with its loads
        reaction_shares what part of the weight each post carries; below 0 it would lift
        margin_mm       least distance of the centre of mass from the sides of the triangle of posts; below 0
                        it tips
        tips            true or false
        corner_tip_kg   per corner (0,0), (length,0), (length,width), (0,width): the least mass which, set
                        there, brings the shelf as loaded to the point of tipping; null where no mass can.
                        A disc has no corners, half a disc its first two
        rim_tip         {x_mm, y_mm, mass_kg}: the place on the rim where the least mass does it, or null
        off_shelf       indices of posts whose middle is not under the shelf

Example:
tripoise calc three-post <<'END'
{\"posts\":[{\"x_mm\":40,\"y_mm\":40,\"height_mm\":150.2},{\"x_mm\":560,\"y_mm\":40,\"height_mm\":149.8},{\"x_mm\":300,\"y_mm\":260,\"height_mm\":150.3}],\"shelf\":{\"length_mm\":600,\"width_mm\":300,\"mass_kg\":8.2},\"loads\":[{\"x_mm\":150,\"y_mm\":200,\"mass_kg\":1.5}],\"u_height_mm\":0.05}
END
";

/// House choice: more pieces than a shelf holds.
const MOST_LOADS: usize = 10_000;

fn run(input: &Node<'_>) -> Result<String, CalcError> {
    let object = input.object(&["posts", "shelf", "loads", "u_height_mm"])?;
    let field = object.field("posts", "three posts with x_mm, y_mm, height_mm")?;
    let posts = field.list("posts", 3, 3)?.read(post)?;
    let [a, b, c] = posts.as_slice() else {
        return Err(field.refuse("a list of posts", "3 of them"));
    };
    let (face, shelf_mass_kg) = shelf(&object)?;
    let loads =
        object.optional("loads").map(|node| node.list("loads", 0, MOST_LOADS)?.read(load)).transpose()?;
    let u_height_mm = object.optional_number("u_height_mm", &UNCERTAINTY)?;
    let setting =
        Setting { posts: [*a, *b, *c], face, shelf_mass_kg, loads: loads.unwrap_or_default(), u_height_mm };
    let lie = judge(&setting).map_err(|err| {
        let text = err.to_string();
        let (cause, want) = text.split_once("; give ").unwrap_or((&text, "other values"));
        let path = match err {
            ThreePostError::OneLine => "posts",
            ThreePostError::NoMass => "shelf.mass_kg",
        };
        CalcError::together(path, cause, want)
    })?;
    written(&lie)
}

fn written(lie: &Lie) -> Result<String, CalcError> {
    let mut out = Output::new();
    out.number("spread_mm", lie.spread_mm)
        .number("slope_mm_per_m", lie.slope_mm_per_m)
        .number("tilt_deg", lie.tilt_deg)
        .number_or_null("downhill_deg", lie.downhill_deg)
        .number_or_null("tilt_u_deg", lie.tilt_u_deg)
        .object("centre_of_mass", |out| {
            out.number("x_mm", lie.centre_of_mass.x_mm).number("y_mm", lie.centre_of_mass.y_mm);
        })
        .numbers("reaction_shares", &lie.reaction_shares)
        .number("margin_mm", lie.margin_mm)
        .boolean("tips", lie.tips)
        .numbers_or_null("corner_tip_kg", &lie.corner_tip_kg);
    match lie.rim_tip {
        Some(tip) => out.object("rim_tip", |out| {
            out.number("x_mm", tip.x_mm).number("y_mm", tip.y_mm).number("mass_kg", tip.mass_kg);
        }),
        None => out.null("rim_tip"),
    };
    out.wholes("off_shelf", &lie.off_shelf);
    out.finish()
}

/// A post {x_mm, y_mm, height_mm}.
pub(super) fn post(node: &Node<'_>) -> Result<Post, CalcError> {
    let object = node.object(&["x_mm", "y_mm", "height_mm"])?;
    Ok(Post {
        x_mm: object.number("x_mm", &POSITION)?,
        y_mm: object.number("y_mm", &POSITION)?,
        height_mm: object.number("height_mm", &HEIGHT)?,
    })
}

fn load(node: &Node<'_>) -> Result<Load, CalcError> {
    let object = node.object(&["x_mm", "y_mm", "mass_kg"])?;
    Ok(Load {
        x_mm: object.number("x_mm", &POSITION)?,
        y_mm: object.number("y_mm", &POSITION)?,
        mass_kg: object.number("mass_kg", &MASS)?,
    })
}

fn shelf(input: &Object<'_>) -> Result<(Face, f64), CalcError> {
    let node = input.field("shelf", "an object with length_mm, width_mm, mass_kg")?;
    let object = node.object(&["length_mm", "width_mm", "mass_kg", "shape"])?;
    let length_mm = object.number("length_mm", &LENGTH)?;
    let width_mm = object.number("width_mm", &LENGTH)?;
    let mass_kg = object.number("mass_kg", &OWN_MASS)?;
    let shape =
        object.optional("shape").map(|node| node.word("a shape", &["rectangle", "disc", "half-disc"]));
    let face = match shape.transpose()? {
        Some("disc") => Face::Disc { diameter_mm: length_mm },
        Some("half-disc") => Face::HalfDisc { diameter_mm: length_mm },
        _ => Face::Rectangle { length_mm, width_mm },
    };
    // House choice: 0.001 mm, far below what a shelf is measured to.
    let wanted = face.bounds().y_mm;
    let fits = Quantity {
        noun: "the width of this shape",
        want: "the diameter for a disc, half of length_mm for half a disc",
        low: wanted - 1e-3,
        high: wanted + 1e-3,
        above_low: false,
    };
    object.number("width_mm", &fits)?;
    Ok((face, mass_kg))
}

#[cfg(test)]
mod tests {
    use crate::calc::run;

    const SHELF: &str = r#""shelf":{"length_mm":400,"width_mm":400,"mass_kg":6}"#;

    fn posts(heights: [f64; 3]) -> String {
        let [a, b, c] = heights;
        format!(
            r#""posts":[{{"x_mm":0,"y_mm":0,"height_mm":{a}}},{{"x_mm":400,"y_mm":0,"height_mm":{b}}},{{"x_mm":200,"y_mm":400,"height_mm":{c}}}]"#
        )
    }

    fn check(fields: &[&str], wanted: &str) {
        let text =
            run("three-post", &format!("{{{}}}", fields.join(","))).unwrap_or_else(|err| err.to_string());
        assert!(text.contains(wanted), "{text}\nshould hold\n{wanted}");
    }

    #[test]
    fn a_level_shelf_worked_by_hand() {
        let level = posts([150.0, 150.0, 150.0]);
        check(
            &[&level, SHELF],
            r#"{"spread_mm":0.0,"slope_mm_per_m":0.0,"tilt_deg":0.0,"downhill_deg":null,"tilt_u_deg":null,"centre_of_mass":{"x_mm":200.0,"y_mm":200.0},"reaction_shares":[0.25,0.25,0.5]"#,
        );
        // The far corners lie 400·2/√5 beyond a slanted side, the centre 200/√5 inside it: half the mass.
        check(&[&level, SHELF], r#""tips":false,"corner_tip_kg":[null,null,3.0"#);
        check(&[&level, SHELF, r#""u_height_mm":0"#], r#""tilt_u_deg":0.0"#);
    }

    #[test]
    fn a_pot_on_the_free_corner_tips_it() {
        let level = posts([150.0, 150.0, 150.0]);
        let pot = |kg: f64| format!(r#""loads":[{{"x_mm":400,"y_mm":400,"mass_kg":{kg}}}]"#);
        check(&[&level, SHELF, &pot(2.99)], r#""tips":false"#);
        check(
            &[&level, SHELF, &pot(3.01)],
            r#""tips":true,"corner_tip_kg":[null,null,0.0,0.0],"rim_tip":{"x_mm":400.0,"y_mm":400.0,"mass_kg":0.0}"#,
        );
    }

    #[test]
    fn round_shelves_tip_over_the_middle_of_a_side() {
        let disc = r#""shelf":{"length_mm":400,"width_mm":400,"mass_kg":6,"shape":"disc"}"#;
        // The front side runs along y = 0, which the disc only touches: the slanted ones decide. The rim
        // reaches 200 − 200/√5 beyond them, the centre lies 200/√5 inside: 6 / (√5 − 1) kg.
        let level = posts([150.0, 150.0, 150.0]);
        check(&[&level, disc], r#""corner_tip_kg":[],"rim_tip":{"x_mm":378.885438199983"#);
        check(&[&level, disc], r#""mass_kg":4.854101966249"#);
        let half = r#""shelf":{"length_mm":400,"width_mm":200,"mass_kg":6,"shape":"half-disc"}"#;
        check(&[&level, half], r#""corner_tip_kg":[null,null],"rim_tip":{"#);
        let wrong = r#""shelf":{"length_mm":400,"width_mm":300,"mass_kg":6,"shape":"disc"}"#;
        check(
            &[&level, wrong],
            "shelf.width_mm: 300 is not the width of this shape; give the diameter for a disc",
        );
        let unknown = r#""shelf":{"length_mm":400,"width_mm":300,"mass_kg":6,"shape":"hexagon"}"#;
        check(
            &[&level, unknown],
            r#"shelf.shape: "hexagon" is not a shape; give one of rectangle, disc, half-disc"#,
        );
    }

    #[test]
    fn bad_input_names_the_field() {
        check(
            &[&posts([150.0, 150.0, -3.0]), SHELF],
            "posts[2].height_mm: -3 is not a height; give a length above 0",
        );
        check(
            &[&posts([150.0, 150.0, 1e6]), SHELF],
            "posts[2].height_mm: 1000000 is not a height; give a length above 0, at most 100000",
        );
        let line = r#""posts":[{"x_mm":0,"y_mm":0,"height_mm":1},{"x_mm":1,"y_mm":1,"height_mm":1},{"x_mm":2,"y_mm":2,"height_mm":1}]"#;
        check(&[line, SHELF], "posts: the three stand in one line; give posts that form a triangle");
        check(&[r#""posts":[]"#, SHELF], "posts: 0 is not the number of posts wanted; give 3 of them");
        let good = posts([150.0, 150.0, 150.0]);
        check(&[&good], "shelf: missing; give an object with length_mm, width_mm, mass_kg");
        check(
            &[&good, r#""shelf":{"length_mm":400,"width_mm":0,"mass_kg":6}"#],
            "shelf.width_mm: 0 is not a length; give a length above 0",
        );
        check(
            &[&good, r#""shelf":{"length_mm":400,"width_mm":400,"mass_kg":0}"#],
            "shelf.mass_kg: 0 is not a mass; give kilograms above 0",
        );
        check(
            &[&good, SHELF, r#""loads":[{"x_mm":1,"y_mm":1,"mass_kg":-1}]"#],
            "loads[0].mass_kg: -1 is not a mass; give kilograms from 0",
        );
        check(
            &[&good, SHELF, r#""load":[]"#],
            "load: not a known field; give posts, shelf, loads, u_height_mm",
        );
        check(
            &[&good, SHELF, r#"": gis":{}"#],
            r#"": gis": not a known field; give posts, shelf, loads, u_height_mm"#,
        );
    }
}
