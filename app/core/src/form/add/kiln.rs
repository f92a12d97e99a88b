//! Reads `/add/kiln`.
use super::line;
use crate::event::{Body, KilnAdded};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::KilnId;
use crate::view::Page;
use crate::view::add::kiln::AddKiln;

/// A kiln, and on to its shelves.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &AddKiln,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "kiln" {
        return Err(no_form(values));
    }
    let corrected = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::KilnAdded(kiln)) => Some(kiln),
        Some(_) => return Err(no_form(values)),
        None => None,
    };
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let name = line(&mut reader, "name");
    let own = corrected.is_some_and(|kiln| kiln.name.eq_ignore_ascii_case(&name));
    if name.is_empty() {
        reader.problem("name", "give the kiln a name, such as the big gas kiln");
    } else if !own && data.names.iter().any(|taken| taken.eq_ignore_ascii_case(&name)) {
        reader.problem("name", format!("another kiln is called {name}; choose another name"));
    }
    let (fuel, usual_cone) = (reader.choice("fuel"), reader.cone("cone"));
    let parts = fuel.zip(usual_cone);
    let (fuel, usual_cone) = reader.finish(parts)?;
    let kiln = corrected.map_or_else(|| KilnId(new_id()), |kiln| kiln.kiln);
    let next = match corrected {
        Some(_) => format!("/rack?kiln={kiln}"),
        None => format!("/add/shelves?kiln={kiln}"),
    };
    Ok(Submission::new(vec![KilnAdded { kiln, name, fuel, usual_cone }.into()], next))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use crate::event::Body;
    use crate::testing::{Studio, said};

    fn check(fields: &[(&str, &str)], expected: &[&str]) {
        let (mut studio, _) = Studio::with_kiln();
        let fields: Vec<_> = [("do", "kiln")].into_iter().chain(fields.iter().copied()).collect();
        let problems = studio.submit("/add/kiln", &fields).err().unwrap_or_default();
        assert_eq!(said(&problems), expected, "{fields:?}");
    }

    #[test]
    fn kilns_as_people_type_them() {
        check(&[("name", " small electric "), ("fuel", "electric"), ("cone", "06")], &[]);
        check(
            &[("name", ""), ("fuel", "coal"), ("cone", "99")],
            &[
                "name: give the kiln a name, such as the big gas kiln",
                "fuel: choose one",
                "cone: \"99\" is not a cone; give 022 to 01 or 1 to 14, with its leading zero where it has one",
            ],
        );
        check(
            &[("name", "Big Gas"), ("fuel", "gas"), ("cone", "10")],
            &["name: another kiln is called Big Gas; choose another name"],
        );
    }

    #[test]
    fn a_new_kiln_leads_on_to_its_shelves_and_a_corrected_one_keeps_its_id() {
        let (mut studio, kiln) = Studio::with_kiln();
        let fields = [("do", "kiln"), ("name", "little one"), ("fuel", "electric"), ("cone", "6")];
        let next = studio.submit("/add/kiln", &fields).unwrap().next;
        assert!(next.starts_with("/add/shelves?kiln="), "{next}");

        let added = studio.world().log[0].event.id;
        let fields = [("do", "kiln"), ("name", "big gas"), ("fuel", "gas"), ("cone", "9")];
        let read = studio.submit(&format!("/add/kiln?corrects={added}"), &fields).unwrap();
        assert_eq!(read.corrects, Some(added));
        assert!(matches!(&read.bodies[..], [Body::KilnAdded(body)] if body.kiln == kiln));
        studio.take(read);
        assert_eq!(studio.world().kilns[&kiln].usual_cone.to_string(), "9");
    }
}
