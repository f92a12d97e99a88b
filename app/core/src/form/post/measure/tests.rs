//! Heights as people type them, by the pages that ask for them.
use crate::event::{Body, PostMeasured};
use crate::testing::{Studio, said};

/// A post P01 of 150 mm, last read as 149.6 mm where `measured`.
fn studio(measured: bool) -> Studio {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    if measured {
        studio.height(post, 149.6);
    }
    studio
}

fn measured(bodies: &[Body]) -> Vec<&PostMeasured> {
    bodies
        .iter()
        .filter_map(|body| match body {
            Body::PostMeasured(body) => Some(body),
            _ => None,
        })
        .collect()
}

/// One height typed into the card's form; what was understood in nanometres, or what was said.
fn check(had_one: bool, fields: &[(&str, &str)], expected: Result<i64, &[&str]>) {
    let mut studio = studio(had_one);
    let all: Vec<(&str, &str)> =
        [("do", "measure"), ("instrument", "caliper")].iter().chain(fields).copied().collect();
    match (studio.submit("/post/P01/measure", &all), expected) {
        (Ok(read), Ok(nm)) => {
            assert_eq!(measured(&read.bodies).iter().map(|body| body.height.nm.0).collect::<Vec<_>>(), [nm]);
            assert_eq!(read.next, "/post/P01");
        }
        (Err(problems), Err(expected)) => assert_eq!(said(&problems), expected, "{fields:?}"),
        (got, _) => panic!("{fields:?}: {got:?}"),
    }
}

#[test]
fn heights_as_people_type_them() {
    check(true, &[("height", "149.4")], Ok(149_400_000));
    check(true, &[("height", "\u{a0}149,4 mm ")], Ok(149_400_000));
    check(true, &[("height", "5 7/8\"")], Ok(149_225_000));
    check(true, &[("height", "5.875 in"), ("square", "0,3")], Ok(149_225_000));
    check(true, &[("height", "")], Err(&["height: type a length, for example 150.4, or 5 7/8 in"]));
    check(
        true,
        &[("height", "tall")],
        Err(&["height: \"tall\" is not a unit here; use mm, cm, in, thou or a feeler such as card"]),
    );
    check(true, &[("height", "-3")], Err(&["height: \u{2212}3 mm cannot be; give 75 mm to 300 mm"]));
    check(true, &[("height", "74.9")], Err(&["height: 74.9 mm cannot be; give 75 mm to 300 mm"]));
    check(true, &[("height", "1494")], Err(&["height: 1494 mm cannot be; give 75 mm to 300 mm"]));
}

#[test]
fn a_height_far_from_the_last_is_asked_about_and_then_taken() {
    // 3 mm off 149.6 is just not odd; 3.01 is.
    check(true, &[("height", "146.6")], Ok(146_600_000));
    let odd = "?height: 146.59 mm is 3.01 mm less than last time (149.6 mm); tick the box if it is right";
    check(true, &[("height", "146.59")], Err(&[odd]));
    check(true, &[("height", "146.59"), ("confirm_height", "146.59")], Ok(146_590_000));
    // A tick for another value does not count.
    check(true, &[("height", "146.59"), ("confirm_height", "14.659")], Err(&[odd]));
    let off =
        "?height: 153.1 mm is 3.1 mm more than its nominal height (150 mm); tick the box if it is right";
    check(false, &[("height", "153.1")], Err(&[off]));
    check(false, &[("height", "147.2")], Ok(147_200_000));
}

#[test]
fn all_problems_come_at_once() {
    let mut studio = studio(true);
    let fields = [("do", "measure"), ("height", "0"), ("square", "-1")];
    let problems = studio.submit("/post/P01/measure", &fields).err().unwrap_or_default();
    assert_eq!(
        said(&problems),
        [
            "instrument: choose one",
            "height: 0 mm cannot be; give 75 mm to 300 mm",
            "square: \u{2212}1 mm cannot be; give 0 mm to 10 mm"
        ]
    );
    let old = studio.submit("/post/P01/measure", &[("do", "weigh")]).err().unwrap_or_default();
    assert_eq!(said(&old), ["do: this page has no form \"weigh\"; open it again"]);
}

#[test]
fn a_list_takes_what_was_filled_in_and_no_more() {
    let (mut studio, kiln) = Studio::with_kiln();
    for code in ["P01", "P02", "P03"] {
        studio.post(code, 150.0, kiln);
    }
    let address = "/posts/measure?nominal=150&all=1";
    let nothing = [("do", "measure"), ("instrument", "tape"), ("height_P01", " ")];
    let problems = studio.submit(address, &nothing).err().unwrap_or_default();
    assert_eq!(said(&problems), ["height_P01: type at least one height"]);
    let bad = [("do", "measure"), ("instrument", "tape"), ("height_P01", "149"), ("height_P03", "-149")];
    let problems = studio.submit(address, &bad).err().unwrap_or_default();
    assert_eq!(said(&problems), ["height_P03: \u{2212}149 mm cannot be; give 75 mm to 300 mm"]);
    let good = [("do", "measure"), ("instrument", "tape"), ("height_P01", "149"), ("height_P03", "150,5")];
    let read = studio.submit(address, &good).unwrap_or_else(|problems| panic!("{problems:?}"));
    let texts: Vec<&str> = measured(&read.bodies).iter().map(|body| body.height.text.as_str()).collect();
    assert_eq!(texts, ["149", "150,5"]);
    assert_eq!(read.next, "/posts?nominal=150000000");
}

#[test]
fn a_correction_begins_with_what_was_typed_and_stands_in_its_place() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    let wrong = studio.height(post, 194.6);
    studio.height(post, 149.5);
    let address = format!("/post/P01/measure?corrects={wrong}");
    let page = studio.get(&address);
    assert_eq!(page.title, "Correct P01");
    assert_eq!(page.form.values.get("height").map(Vec::as_slice), Some(&["194.6".to_owned()][..]));
    let fields = [("do", "measure"), ("instrument", "caliper"), ("height", "149.6")];
    let read = studio.submit(&address, &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    assert_eq!(read.corrects, Some(wrong));
    studio.take(read);
    let world = studio.world();
    let heights: Vec<f64> = world.posts[&post].readings.iter().map(|reading| reading.height.mm()).collect();
    assert_eq!(heights, [149.6, 149.5]);
}
