//! Reads a dressing: what came off, how long, wet or dry, which mask.
use crate::event::values::{GrindMethod, Mask};
use crate::event::{Body, PostDressed};
use crate::form::quantity::Feelers;
use crate::form::{Bounds, FormValues, Problem, Reader, Submission, no_form};
use crate::view::Page;
use crate::view::post::dress::{FORM, PostDress};

/// What one dressing takes off. House choice: rubbing takes tenths; over 20 mm it is cutting to another
/// height, and over 3 mm is more than a worn end is ever out.
const OFF: Bounds = Bounds { least_mm: 0.0, most_mm: 20.0, usual_mm: (0.0, 3.0) };

/// The longest dressing taken, in minutes. House choice: one working day of eight hours.
const MOST_MINUTES: u32 = 480;

/// One dressing.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &PostDress, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let post = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::PostDressed(body)) => body.post,
        None => data.post,
        Some(_) => return Err(no_form(values)),
    };
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let removed = reader.optional_length("removed", OFF);
    let minutes = reader.optional_count("minutes", MOST_MINUTES);
    let method: Option<GrindMethod> = reader.choice("method");
    let mask: Option<Mask> = reader.choice("mask");
    let (method, mask) = reader.finish(method.zip(mask))?;
    let body = PostDressed { post, removed_nm: removed.map(|typed| typed.nm), minutes, method, mask };
    Ok(Submission::new(vec![body.into()], format!("/post/{}", data.code)))
}

#[cfg(test)]
mod tests {
    use crate::event::Body;
    use crate::testing::{Studio, said};

    fn check(fields: &[(&str, &str)], expected: Result<(Option<i64>, Option<u32>), &[&str]>) {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.post("P01", 150.0, kiln);
        let all: Vec<(&str, &str)> = [("do", "dress")].iter().chain(fields).copied().collect();
        match (studio.submit("/post/P01/dressed", &all), expected) {
            (Ok(read), Ok(expected)) => {
                assert_eq!(read.next, "/post/P01");
                let found = read.bodies.iter().find_map(|body| match body {
                    Body::PostDressed(body) => Some((body.removed_nm.map(|off| off.0), body.minutes)),
                    _ => None,
                });
                assert_eq!(found, Some(expected));
            }
            (Err(problems), Err(expected)) => assert_eq!(said(&problems), expected),
            (got, _) => panic!("{fields:?}: {got:?}"),
        }
    }

    #[test]
    fn dressings_as_people_type_them() {
        let usual = [("method", "wet"), ("mask", "fitted")];
        let with = |more: &[(&'static str, &'static str)]| [&usual, more].concat();
        check(&with(&[]), Ok((None, None)));
        check(&with(&[("removed", " 0,4 "), ("minutes", "12")]), Ok((Some(400_000), Some(12))));
        check(&with(&[("removed", "1/64 in")]), Ok((Some(396_875), None)));
        check(&with(&[("removed", "-1")]), Err(&["removed: \u{2212}1 mm cannot be; give 0 mm to 20 mm"]));
        check(
            &with(&[("removed", "4"), ("minutes", "ages")]),
            Err(&[
                "?removed: 4 mm is unusual; tick the box if it is right",
                "minutes: \"ages\" is not a count here; type a whole number up to 480",
            ]),
        );
        check(&with(&[("removed", "4"), ("confirm_removed", "4")]), Ok((Some(4_000_000), None)));
        check(&[], Err(&["method: choose one", "mask: choose one"]));
    }

    #[test]
    fn a_correction_begins_with_what_was_recorded_and_keeps_the_post() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.post("P01", 150.0, kiln);
        let fields = [("do", "dress"), ("removed", "0.4"), ("method", "wet"), ("mask", "fitted")];
        let read = studio.submit("/post/P01/dressed", &fields).unwrap_or_else(|p| panic!("{p:?}"));
        let events = studio.take(read);
        let address = format!("/post/P01/dressed?corrects={}", events[0]);
        let page = studio.get(&address);
        assert_eq!(page.form.values.get("removed").map(Vec::as_slice), Some(&["0.4".to_owned()][..]));
        let again = [("do", "dress"), ("removed", "0.5"), ("method", "wet"), ("mask", "fitted")];
        let read = studio.submit(&address, &again).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!(read.corrects, Some(events[0]));
    }
}
